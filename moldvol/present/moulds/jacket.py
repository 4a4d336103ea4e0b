"""How the jacket over a skin of rubber is told: plaster in two bowls, or gel coat and mat session by session."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mould.jacket import Jacket
from moldvol.materials.mixtures.laminate import Laminate
from moldvol.materials.mixtures.plaster import PlasterMix
from moldvol.present import numbers
from moldvol.present.mixing.laminate import batch_json, batches_section
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section


def jacket_sections(jacket: Jacket, units: Units) -> tuple[Section, ...]:
    """The jacket and what to mix for it."""
    if jacket.plaster is not None:
        return (Section("The plaster jacket", (*_shape(jacket, units), *_plaster(jacket.plaster, units))),)
    made = () if jacket.laminate is None else _laminate(jacket, jacket.laminate, units)
    section = Section("The glass jacket", (*_shape(jacket, units), *made))
    return (section, batches_section(jacket.lay_up, units)) if jacket.lay_up else (section,)


def _shape(jacket: Jacket, units: Units) -> tuple[Row, ...]:
    return (
        Row("Covers", numbers.area(jacket.area_mm2, units), "the outside of the rubber"),
        Row("Thick", numbers.length(jacket.thickness_mm, units)),
    )


def _plaster(mix: PlasterMix, units: Units) -> tuple[Row, ...]:
    rise = f"{mix.adiabatic_rise_c:.0f} °C" if units is Units.METRIC else f"{1.8 * mix.adiabatic_rise_c:.0f} °F"
    return (
        Row("1. Water", numbers.mass(mix.water_g, units), numbers.volume(mix.water_g * 1000, units), "amount"),
        Row("2. Plaster", numbers.mass(mix.plaster_g, units), f"consistency {mix.consistency:g}", "amount"),
        Row("Weighs", numbers.mass(mix.wet_mass_g, units), f"wet; {numbers.mass(mix.dry_mass_g, units)} when dry"),
        Row("Gets hotter by", rise, "than the room at most, in a thick pour"),
    )


def _laminate(jacket: Jacket, made: Laminate, units: Units) -> tuple[Row, ...]:
    mats = f"{len(made.sessions)} session" + ("s" if len(made.sessions) > 1 else "")
    layers = sum(len(session.mats_g_m2) for session in made.sessions)
    return (
        Row("Mats", f"{layers} in {mats}", f"{numbers.mass(made.mat_g, units)} of glass, offcuts counted in"),
        Row("Resin", numbers.mass(made.resin_g, units), f"and {numbers.mass(made.gel_coat_g, units)} of gel coat"),
        Row("Weighs", numbers.mass(jacket.mass_g, units), "without the catalyst and what is cut off"),
    )


def jacket_json(jacket: Jacket) -> dict[str, Any]:
    """The ``jacket`` of a mould."""
    plaster, made = jacket.plaster, jacket.laminate
    return {
        "kind": {"laminate": "glass"}.get(jacket.kind, jacket.kind),
        "area_mm2": jacket.area_mm2,
        "thickness_mm": jacket.thickness_mm,
        "mass_g": jacket.mass_g,
        "cost": jacket.cost,
        "plaster": None
        if plaster is None
        else {
            "consistency": plaster.consistency,
            "slurry_volume_mm3": plaster.slurry_volume_mm3,
            "plaster_g": plaster.plaster_g,
            "water_g": plaster.water_g,
            "dry_mass_g": plaster.dry_mass_g,
        },
        "laminate": None
        if made is None
        else {"gel_coat_g": made.gel_coat_g, "mat_g": made.mat_g, "resin_g": made.resin_g},
        "batches": None if jacket.lay_up is None else [batch_json(batch) for batch in jacket.lay_up.batches],
    }

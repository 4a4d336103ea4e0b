"""How a plaster slurry is told."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mixing.slurry import SlurryPlan
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing.weigh_out import reading
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, grave, messages


def report(plan: SlurryPlan, units: Units) -> Report:
    """The sheet: water first, then the powder."""
    mix, powder = plan.mix, plan.request.powder
    return Report(
        f"{numbers.volume(mix.slurry_volume_mm3, units)} of {powder.name}",
        "",
        (_weigh_out(plan, units), _set(plan, units)),
        messages(plan.notices),
        plan.cautions,
        line=f"Sift {_powder(plan)} of {powder.name} into {_water(plan)} of water.",
        grave=grave(plan.notices),
    )


def _water(plan: SlurryPlan) -> str:
    return reading(plan.water_reading_g, plan.request.scale.readability_g)


def _powder(plan: SlurryPlan) -> str:
    return reading(plan.powder_reading_g, plan.request.scale.readability_g)


def _weigh_out(plan: SlurryPlan, units: Units) -> Section:
    allowance = plan.request.allowance
    rows = [
        Row("1. Water", _water(plan), numbers.volume(plan.water_reading_g * 1000, units), weight="amount"),
        Row("2. Plaster", _powder(plan), "sifted into the water, left to soak, then stirred", weight="amount"),
        Row("Consistency", f"{plan.mix.consistency:g}", _consistency_remark(plan)),
    ]
    if plan.request.powder_g is None:
        share = f"{numbers.per_cent(allowance)} more than the volume" if allowance else "none; add --allowance 10%"
        rows.append(Row("Allowance", share))
    if plan.cost is not None:
        rows.append(Row("Cost", numbers.money(plan.cost), str(plan.request.powder.grades.get("price_per_kg") or "")))
    return Section("Weigh out", tuple(rows))


def _consistency_remark(plan: SlurryPlan) -> str:
    own = plan.request.consistency is None
    grade = plan.request.powder.grades.get("consistency") if own else None
    return "of water to 100 of plaster by weight" + (f"; {grade}" if grade else "")


def _set(plan: SlurryPlan, units: Units) -> Section:
    mix, powder = plan.mix, plan.request.powder
    rows = [
        Row("Poured", numbers.mass(mix.wet_mass_g, units), f"{mix.wet_density_g_ml:.3g} g/ml"),
        Row(
            "Dried out", numbers.mass(mix.dry_mass_g, units), f"{mix.dry_density_g_ml:.3g} g/ml, when all water is gone"
        ),
        Row("Gets hotter by", _rise(mix.adiabatic_rise_c, units), "than the room at most, in a thick pour"),
    ]
    if powder.setting_expansion is not None:
        grade = powder.grades.get("setting_expansion")
        rows.append(Row("Grows", f"{numbers.per_cent(powder.setting_expansion)} in length", str(grade or "")))
    return Section("What becomes of it", tuple(rows))


def _rise(celsius: float, units: Units) -> str:
    return f"{celsius:.0f} °C" if units is Units.METRIC else f"{1.8 * celsius:.0f} °F"


def document(plan: SlurryPlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    mix = plan.mix
    return {
        "plaster": {
            "plaster": plan.request.powder.key,
            "consistency": mix.consistency,
            "slurry_volume_mm3": mix.slurry_volume_mm3,
            "plaster_g": mix.plaster_g,
            "water_g": mix.water_g,
            "plaster_reading_g": plan.powder_reading_g,
            "water_reading_g": plan.water_reading_g,
            "wet_mass_g": mix.wet_mass_g,
            "dry_mass_g": mix.dry_mass_g,
            "wet_density_g_ml": mix.wet_density_g_ml,
            "dry_density_g_ml": mix.dry_density_g_ml,
            "adiabatic_rise_c": mix.adiabatic_rise_c,
            "cost": plan.cost,
        },
        "warnings": warnings(plan.notices),
        "cautions": list(plan.cautions),
    }

"""The tables a shelf file may hold, as typed structs, and the materials they become.

The file speaks as the bench does (minutes, per cent, mPa·s); the materials speak the house's own units.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

import msgspec

from moldvol.materials import kinds
from moldvol.materials.chemistry.stoichiometry import WeightParts
from moldvol.materials.filler import CLOSEST_PACKING, Filler, FillerKind
from moldvol.materials.grade import GRADE_NAMES, Grade, parse_grade
from moldvol.materials.reading.entry_types import Above0, Celsius, Density, Grades, NotNegative, Percent, Text
from moldvol.materials.reading.part_entries import CatalystEntry, PartEntry, catalyst_of, own_ratio_of, parts_of
from moldvol.materials.reading.shelf_file import Place, shown, typed_entry
from moldvol.materials.resin import KINDS, Kind, Resin, Setting
from moldvol.materials.sundries import PlasterPowder, SmallMould


class ResinEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """One resin, rubber or foam, as written."""

    kind: Text
    cured_density_g_ml: Density
    pot_life_min: Annotated[float, msgspec.Meta(gt=0, le=100_000)]
    parts: Annotated[tuple[PartEntry, ...], msgspec.Meta(min_length=1)] = ()
    eew: Above0 | None = None
    ahew: Above0 | None = None
    oh_value: Above0 | None = None
    nco_percent: Above0 | None = None
    index: Above0 | None = None
    name: Text | None = None
    pot_life_mass_g: Annotated[float, msgspec.Meta(ge=0.1, le=1e6)] | None = None
    pot_life_temperature_c: Celsius | None = None
    gel_time_min: Above0 | None = None
    demould_min: Above0 | None = None
    demould_h: Above0 | None = None
    largest_section_mm: Above0 | None = None
    price_per_kg: NotNegative | None = None
    viscosity_mpas: Above0 | None = None
    ratio_tolerance_percent: Percent | None = None
    activation_energy_kj_mol: Annotated[float, msgspec.Meta(gt=0, le=500)] | None = None
    shrinkage_percent: Annotated[float, msgspec.Meta(ge=0, lt=50)] | None = None
    sets: Text | None = None
    working_low_c: Celsius | None = None
    working_high_c: Celsius | None = None
    catalyst: CatalystEntry | None = None
    overpack_percent: Annotated[float, msgspec.Meta(ge=0, lt=100)] | None = None
    heat_of_reaction_j_g: Annotated[float, msgspec.Meta(gt=0, le=5000)] | None = None
    heat_capacity_j_gk: Annotated[float, msgspec.Meta(ge=0.1, le=10)] | None = None
    conductivity_w_mk: Annotated[float, msgspec.Meta(gt=0, le=1000)] | None = None
    peak_c: Celsius | None = None
    peak_mass_g: Above0 | None = None
    note: str = ""
    grades: Grades = {}


class FillerEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """One filler or pigment, as written."""

    density_g_ml: Density
    kind: Text = "filler"
    name: Text | None = None
    percent_low: Above0 | None = None
    percent_high: Above0 | None = None
    packing_limit_percent: Percent | None = None
    price_per_kg: NotNegative | None = None
    note: str = ""
    grades: Grades = {}


class PlasterEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """One plaster, as written."""

    consistency: Above0
    consistency_low: Above0 | None = None
    consistency_high: Above0 | None = None
    powder_density_g_ml: Density = 2.70
    setting_expansion_percent: Annotated[float, msgspec.Meta(ge=0, lt=10)] | None = None
    price_per_kg: NotNegative | None = None
    name: Text | None = None
    note: str = ""
    grades: Grades = {}


class SmallMouldEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """Small moulds of one kind for left-overs, as written."""

    volume_ml: Above0
    count: Annotated[int, msgspec.Meta(ge=1)] = 1
    name: Text | None = None
    note: str = ""


# Where the file's name of a figure differs from the field's, for the grades.
_FIELD_OF = {
    "pot_life_min": "pot_life_s", "gel_time_min": "gel_time_s", "demould_min": "demould_s", "demould_h": "demould_s",
    "viscosity_mpas": "viscosity_pa_s", "ratio_tolerance_percent": "ratio_tolerance", "shrinkage_percent": "shrinkage",
    "activation_energy_kj_mol": "activation_energy_j_mol", "overpack_percent": "overpack",
    "packing_limit_percent": "packing_limit", "setting_expansion_percent": "setting_expansion",
}  # fmt: skip
_OWN_FIGURES = ("eew", "ahew", "oh_value", "nco_percent", "index")
_NO_FIGURES = {"name", "kind", "note", "grades"}


def resin_of(values: Mapping[str, Any], place: Place) -> Resin:
    """The resin an entry describes. Raises `ShelfError` for what does not hang together."""
    entry = typed_entry(ResinEntry, values, place)
    kind: Kind = _one_of(entry.kind, KINDS, "kind", place)
    setting: Setting | None = None if entry.sets is None else _one_of(entry.sets, ("gradual", "snap"), "sets", place)
    common = kinds.FIGURES[kind]
    low, high = _working_band(entry, common, place)
    own = own_ratio_of({figure: getattr(entry, figure) for figure in _OWN_FIGURES}, kind, place)
    return Resin(
        key=place.key,
        name=entry.name or place.key,
        kind=kind,
        parts=parts_of(entry.parts, kind, own, place),
        cured_density_g_ml=entry.cured_density_g_ml,
        pot_life_s=entry.pot_life_min * 60,
        pot_life_mass_g=entry.pot_life_mass_g or kinds.POT_LIFE_MASS_G,
        pot_life_temperature_c=_or(entry.pot_life_temperature_c, kinds.POT_LIFE_TEMPERATURE_C),
        ratio_tolerance=_share(entry.ratio_tolerance_percent) or common.ratio_tolerance,
        activation_energy_j_mol=(entry.activation_energy_kj_mol or 0) * 1000 or common.activation_energy_j_mol,
        working_low_c=low,
        working_high_c=high,
        gel_time_s=_times(entry.gel_time_min, 60),
        demould_s=_demould_s(entry, place),
        largest_section_mm=entry.largest_section_mm,
        price_per_kg=entry.price_per_kg,
        viscosity_pa_s=_times(entry.viscosity_mpas, 0.001),
        shrinkage=_share(entry.shrinkage_percent),
        sets=setting,
        catalyst=catalyst_of(entry.catalyst, len(entry.parts), kind, place),
        overpack=_share(entry.overpack_percent),
        heat_of_reaction_j_g=entry.heat_of_reaction_j_g,
        heat_capacity_j_gk=entry.heat_capacity_j_gk,
        conductivity_w_mk=entry.conductivity_w_mk,
        peak_c=entry.peak_c,
        peak_mass_g=entry.peak_mass_g,
        note=entry.note,
        shelf=place.file,
        grades=_resin_grades(entry, values, kind, own, place),
    )


def filler_of(values: Mapping[str, Any], place: Place) -> Filler:
    """The filler an entry describes. Raises `ShelfError` for what does not hang together."""
    entry = typed_entry(FillerEntry, values, place)
    kind: FillerKind = _one_of(entry.kind, ("filler", "metal", "thickener", "pigment"), "kind", place)
    _in_order(entry.percent_low, entry.percent_high, "percent_high", place)
    return Filler(
        key=place.key,
        name=entry.name or place.key,
        kind=kind,
        density_g_ml=entry.density_g_ml,
        percent_low=entry.percent_low,
        percent_high=entry.percent_high,
        packing_limit=_share(entry.packing_limit_percent) or CLOSEST_PACKING,
        price_per_kg=entry.price_per_kg,
        note=entry.note,
        shelf=place.file,
        grades=_grades(entry.grades, values, place),
    )


def plaster_of(values: Mapping[str, Any], place: Place) -> PlasterPowder:
    """The plaster an entry describes. Raises `ShelfError` for what does not hang together."""
    entry = typed_entry(PlasterEntry, values, place)
    low, high = entry.consistency_low or entry.consistency, entry.consistency_high or entry.consistency
    _in_order(low, entry.consistency, "consistency", place)
    _in_order(entry.consistency, high, "consistency_high", place)
    return PlasterPowder(
        key=place.key,
        name=entry.name or place.key,
        consistency=entry.consistency,
        consistency_low=low,
        consistency_high=high,
        powder_density_g_ml=entry.powder_density_g_ml,
        setting_expansion=_share(entry.setting_expansion_percent),
        price_per_kg=entry.price_per_kg,
        note=entry.note,
        shelf=place.file,
        grades=_grades(entry.grades, values, place),
    )


def small_mould_of(values: Mapping[str, Any], place: Place) -> SmallMould:
    """The small mould an entry describes. Raises `ShelfError` for what does not fit."""
    entry = typed_entry(SmallMouldEntry, values, place)
    return SmallMould(
        key=place.key,
        name=entry.name or place.key,
        volume_ml=entry.volume_ml,
        count=entry.count,
        note=entry.note,
        shelf=place.file,
    )


def _working_band(entry: ResinEntry, common: kinds.KindFigures, place: Place) -> tuple[float, float]:
    low = _or(entry.working_low_c, common.working_low_c)
    high = _or(entry.working_high_c, common.working_high_c)
    if not -50 < low < high < 300:
        raise place.wrong("working_high_c", f"a temperature above {low:g} is expected, not {high:g}; correct it.")
    return low, high


def _demould_s(entry: ResinEntry, place: Place) -> float | None:
    if entry.demould_min is not None and entry.demould_h is not None:
        raise place.wrong("demould_h", "the time is given as demould_min already; remove one of the two.")
    return _times(entry.demould_min, 60) if entry.demould_h is None else entry.demould_h * 3600


def _resin_grades(
    entry: ResinEntry, values: Mapping[str, Any], kind: Kind, own: WeightParts | None, place: Place
) -> Mapping[str, Grade]:
    common = {
        "ratio_tolerance": kinds.TOLERANCE_GRADES[kind],
        "activation_energy_j_mol": kinds.FIGURES[kind].energy_grade,
        "working_low_c": kinds.WORKING_GRADE,
        "working_high_c": kinds.WORKING_GRADE,
        "pot_life_mass_g": kinds.POT_LIFE_GRADE,
        "pot_life_temperature_c": kinds.POT_LIFE_GRADE,
    }
    if kind == "polyester" and entry.catalyst is None:
        common["catalyst"] = Grade("common practice", "1 to 2 per cent by weight in a warm workshop")
    grades = common | dict(_grades(entry.grades, values, place))
    if own is not None:
        # The ratio is as good as the figure it follows from.
        first = next(figure for figure in _OWN_FIGURES if figure in values)
        grades["parts"] = Grade(grades[first].name, own.basis)
    return grades


def _grades(stated: Grades, values: Mapping[str, Any], place: Place) -> Mapping[str, Grade]:
    grades = {_FIELD_OF.get(key, key): Grade("own figure") for key in values if key not in _NO_FIGURES}
    for key, text in stated.items():
        if key not in values:
            raise place.wrong(f"grades, {key}", "this entry gives no such figure to grade; remove the line.")
        grade = parse_grade(text)
        if grade is None:
            words = ", ".join(GRADE_NAMES)
            raise place.wrong(f"grades, {key}", f"one of {words} is expected, not {shown(text)}; put it first.")
        grades[_FIELD_OF.get(key, key)] = grade
    return grades


def _in_order(low: float | None, high: float | None, key: str, place: Place) -> None:
    if low is not None and high is not None and high < low:
        raise place.wrong(key, f"a number of at least {low:g} is expected, not {high:g}; correct it.")


def _one_of(word: str, allowed: tuple[Any, ...], key: str, place: Place) -> Any:
    if word not in allowed:
        raise place.wrong(key, f"one of {', '.join(allowed)} is expected, not {shown(word)}; choose one.")
    return word


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _share(percent: float | None) -> float | None:
    return _times(percent, 0.01)

"""How heat is told: how hot, where and when first, then what bears it and what helps; always with its band."""

from __future__ import annotations

import math
from typing import Any

from moldvol.casting.heat.cup import Figure
from moldvol.casting.heat.plan import Band, HeatPlan
from moldvol.casting.heat_of_cast import CastHeat
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.heat_pictures import hottest_cut, over_time
from moldvol.present.measure import solid_json, solid_report
from moldvol.present.numbers import Units
from moldvol.present.pictures import Drawing
from moldvol.present.report import Report, Row, Section, Table


def report(plan: CastHeat, units: Units) -> Report:
    """The sheet of a cast's heat."""
    sections = [_peak_section(plan, units), _mould_section(plan.heat, units), _limits_section(plan, units)]
    if plan.heat.remedies:
        sections.append(_helps_section(plan.heat, units))
    sections.append(_grounds_section(plan.heat))
    return solid_report(plan.solid, units).followed_by(
        *sections, warnings=tuple(notice.message for notice in plan.heat.notices), cautions=plan.cautions
    )


def _band(band: Band, units: Units) -> str:
    low, high = (numbers.temperature(round(degrees), units) for degrees in (band.low_c, band.high_c))
    return f"between {low} and {high}"


def _when(seconds: float) -> str:
    return numbers.duration(seconds) if math.isfinite(seconds) else "not in this run"


def _peak_section(plan: CastHeat, units: Units) -> Section:
    heat = plan.heat
    cast = "solid" if heat.wall_mm is None else f"hollow, wall {numbers.length(heat.wall_mm, units)}"
    rows = [
        Row("Cast", cast, f"in {heat.resin}, room at {numbers.temperature(heat.room_c, units)}"),
        Row("Gets as hot as", numbers.temperature(round(heat.peak.usual_c), units), _band(heat.peak, units), "amount"),
        Row("Where", numbers.place(heat.peak_at_mm), f"after {_when(heat.hot_from_s)}"),
        Row("Gels inside", _when(heat.gel.core_s), f"at the skin after {_when(heat.gel.skin_s)}"),
        Row(
            "Never above",
            numbers.temperature(round(heat.adiabatic_c), units),
            "if no heat at all got out of the usual resin",
        ),
    ]
    if plan.pot_life is not None:
        life = plan.pot_life
        told = f"between {numbers.duration(life.low_s)} and {numbers.duration(life.high_s)}, {life.mass_g:.0f} g in it"
        rows.append(Row("The pot lives", numbers.duration(life.usual_s), told))
    return Section("How hot", tuple(rows))


def _mould_section(heat: HeatPlan, units: Units) -> Section:
    if heat.face_limit_c is None:
        return Section("The mould", (Row("Mould", "none", "the cast stands in the air"),))
    bears = "bears it" if heat.face.high_c <= heat.face_limit_c else "may suffer"
    if heat.face.low_c > heat.face_limit_c:
        bears = "will suffer"
    return Section(
        "The mould",
        (
            Row("Mould", f"{numbers.length(heat.mould_thickness_mm, units)} of {heat.mould}"),
            Row("Its face gets", numbers.temperature(round(heat.face.usual_c), units), _band(heat.face, units)),
            Row("It", bears, f"good to about {numbers.temperature(heat.face_limit_c, units)}", "strong"),
        ),
    )


def _limits_section(plan: CastHeat, units: Units) -> Section:
    heat = plan.heat
    limit = numbers.temperature(heat.section_limit_c, units)
    rows = tuple(
        Row(
            section.form.capitalize(),
            "any thickness" if section.across_mm is None else f"up to {numbers.length(section.across_mm, units)}",
        )
        for section in heat.sections
    )
    return Section(f"How thick stays below {limit} in this mould", rows)


def _helps_section(heat: HeatPlan, units: Units) -> Section:
    rows = tuple(
        (
            remedy.what,
            numbers.temperature(round(remedy.peak_c), units),
            numbers.temperature(round(remedy.face_peak_c), units),
            _when(remedy.core_gel_s),
        )
        for remedy in heat.remedies
    )
    return Section("What helps, reckoned", table=Table(("", "peak", "face", "gels"), rows, frozenset({1, 2, 3})))


def _grounds_section(heat: HeatPlan) -> Section:
    rows = tuple(Row(figure.name.capitalize(), _written(figure), _origin(figure)) for figure in heat.figures)
    account = (
        f"Heat released and heat stored or lost differ by {numbers.per_cent(heat.account.error)}; "
        f"a coarser grid moves the peak by {heat.peak.grid_error_k:.1f} K ({heat.cells:,} cells of "
        f"{numbers.length(heat.spacing_mm)})."
    )
    return Section("What it rests on", rows, remarks=(account,))


def _written(figure: Figure) -> str:
    """The figure with its unit; a pure number, whose unit is 1, stands alone."""
    return f"{numbers.significant(figure.value, 3)} {figure.unit}".removesuffix(" 1")


def _origin(figure: Figure) -> str:
    """Where a figure is from: fitted to the cup, stated by the shelf, or common to the class with its grade."""
    told = {"fitted": "fitted to the cup on the data sheet", "shelf": "from the shelf"}
    return told.get(figure.origin, f"of the class; {figure.grade}" if figure.grade else "of the class")


def pictures(plan: CastHeat) -> tuple[Drawing, ...]:
    """Temperature over time, and the hottest cut."""
    return (over_time(plan.heat), hottest_cut(plan.heat))


def _band_json(band: Band) -> dict[str, float]:
    return {"low": band.low_c, "usual": band.usual_c, "high": band.high_c, "grid_error_k": band.grid_error_k}


def document(plan: CastHeat) -> dict[str, Any]:
    """The plan as one JSON object; a time that never came is null."""
    heat = plan.heat
    mesh = solid_json(plan.solid)
    life = plan.pot_life
    return {
        **mesh,
        "heat": {
            "resin": plan.request.resin.key,
            "mould": plan.request.mould,
            "mould_thickness_mm": heat.mould_thickness_mm,
            "wall_mm": heat.wall_mm,
            "room_c": heat.room_c,
            "resin_c": heat.resin_c,
            "peak_c": _band_json(heat.peak),
            "peak_at_mm": heat.peak_at_mm,
            "peak_from_s": heat.hot_from_s,
            "floor_c": heat.floor_c,
            "adiabatic_c": heat.adiabatic_c,
            "gel_core_s": heat.gel.core_s,
            "gel_skin_s": heat.gel.skin_s,
            "gel_last_s": heat.gel.last_s,
            "face_c": _band_json(heat.face),
            "face_limit_c": heat.face_limit_c,
            "balance_error": heat.account.error,
            "cells": heat.cells,
            "spacing_mm": heat.spacing_mm,
            "sections": [
                {"form": one.form, "limit_c": one.limit_c, "across_mm": one.across_mm} for one in heat.sections
            ],
            "remedies": [
                {"code": one.code, "what": one.what, "peak_c": one.peak_c, "face_peak_c": one.face_peak_c}
                for one in heat.remedies
            ],
            "figures": [
                {
                    "name": one.name,
                    "value": one.value,
                    "unit": one.unit,
                    "origin": one.origin,
                    "grade": None if one.grade is None else str(one.grade),
                }
                for one in heat.figures
            ],
            "pot_life_s": None if life is None else {"low": life.low_s, "usual": life.usual_s, "high": life.high_s},
        },
        "warnings": [*mesh["warnings"], *warnings(heat.notices)],
        "cautions": list(plan.cautions),
    }

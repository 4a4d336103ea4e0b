"""How ways of casting are told side by side."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from moldvol.casting.compare import ComparePlan, Way
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.measure import line_about, solid_json, solid_report
from moldvol.present.numbers import Units
from moldvol.present.pictures import Drawing, three_sides
from moldvol.present.report import Report, Row, Section, Table, grave, messages
from moldvol.quantities import G_PER_OUNCE


def report(plan: ComparePlan, units: Units) -> Report:
    """One table a resin, the solid cast on top."""
    resins = dict.fromkeys(way.resin.key for way in plan.ways)
    sections = [_resin_section(plan, key, units) for key in resins]
    head = solid_report(plan.part.solid, units, "Solid and hollow, side by side")
    return replace(head, line=line_about(plan.part.solid, _line(plan, units))).followed_by(
        *sections, warnings=messages(plan.notices), grave=grave(plan.notices)
    )


def _line(plan: ComparePlan, units: Units) -> str:
    lightest = min(plan.ways, key=lambda way: way.finished_mass_g)
    cheapest = min(plan.ways, key=lambda way: float("inf") if way.cost is None else way.cost)
    if cheapest is lightest and cheapest.cost is not None:
        return f"Lightest and cheapest: {_in_words(lightest, plan, units)}"
    said = [f"Lightest: {_in_words(lightest, plan, units)}"]
    if cheapest.cost is not None:
        said.append(f"Cheapest: {_in_words(cheapest, plan, units)}")
    return " ".join(said)


def _in_words(way: Way, plan: ComparePlan, units: Units) -> str:
    resin = f" in {way.resin.key}" if len({one.resin.key for one in plan.ways}) > 1 else ""
    cost = "" if way.cost is None else f", costs {numbers.money(way.cost)}"
    return f"{way.name}{resin}, weighs {numbers.mass(way.finished_mass_g, units)}{cost}."


def _resin_section(plan: ComparePlan, key: str, units: Units) -> Section:
    ways = [way for way in plan.ways if way.resin.key == key]
    unit = "g" if units is Units.METRIC else "oz"
    columns = ("", f"mix {unit}", f"weighs {unit}", "cost", "saves", "pours", "min", "thick")
    rows = tuple(_way_row(way, units) for way in ways)
    lines = []
    if plan.copies > 1:
        best = min(ways, key=lambda way: way.run_cost if way.run_cost is not None else float("inf"))
        if best.run_saving:
            saved = f"saves {numbers.money(best.run_saving)} over solid"
            lines.append(Row(f"{plan.copies} casts", f"cheapest {best.name}", saved))
    for way in ways:
        # Back-fill comes when the wall has cooled: its ways are as hot as the hollow ones.
        if way.peak is not None and not way.name.endswith("foam"):
            band = f"estimate, between {way.peak.low_c:.0f} and {way.peak.high_c:.0f} °C in 15 mm of silicone"
            lines.append(Row(f"Peak, {way.name}", f"{way.peak.usual_c:.0f} °C", band))
    return Section(
        ways[0].resin.name,
        tuple(lines),
        Table(columns, rows, frozenset(range(1, len(columns))), leads=True),
        ("All figures are for one cast; 'min' is bench time, 'thick' what sets at once, in mm.",),
    )


def _way_row(way: Way, units: Units) -> tuple[str, ...]:
    return (
        way.name,
        _bare_mass(way.mass_g, units),
        _bare_mass(way.finished_mass_g, units),
        "–" if way.cost is None else numbers.money(way.cost),
        "–" if way.saving is None else numbers.money(way.saving),
        str(way.pours),
        f"{way.bench_time_s / 60:.0f}",
        numbers.significant(way.section_mm, 3),
    )


def _bare_mass(grams: float, units: Units) -> str:
    """A mass whose unit stands in the heading."""
    return numbers.significant(grams if units is Units.METRIC else grams / G_PER_OUNCE)


def pictures(plan: ComparePlan, units: Units) -> tuple[Drawing, ...]:
    """The part from three sides."""
    del units
    return (three_sides(plan.part.solid.mesh),)


def document(plan: ComparePlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    mesh = solid_json(plan.part.solid)
    return {
        **mesh,
        "copies": plan.copies,
        "thickest_mm": plan.part.thickest.diameter_mm,
        "thickest_at_mm": plan.part.thickest.centre_mm,
        "ways": [
            {
                "name": way.name,
                "resin": way.resin.key,
                "wall_mm": way.wall_mm,
                "mass_g": way.mass_g,
                "finished_mass_g": way.finished_mass_g,
                "cost": way.cost,
                "run_cost": way.run_cost,
                "saving": way.saving,
                "run_saving": way.run_saving,
                "pours": way.pours,
                "bench_time_s": way.bench_time_s,
                "section_mm": way.section_mm,
                "adiabatic_rise_k": way.adiabatic_rise_k,
                "closed_off": way.closed_off,
                "peak_c": None
                if way.peak is None
                else {"low": way.peak.low_c, "usual": way.peak.usual_c, "high": way.peak.high_c},
            }
            for way in plan.ways
        ],
        "warnings": [*mesh["warnings"], *warnings(plan.notices)],
    }

"""How a mould to be filled is told: what it holds, the resin for it, the air that stays and the best way up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from moldvol.casting.fill import FillPlan
from moldvol.casting.mixing.pots import PotPlan
from moldvol.casting.needed import Needed
from moldvol.geometry.moulding.directions import RankedDirection
from moldvol.geometry.moulding.levels import Basin
from moldvol.notices import Notice
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.measure import line_about, solid_json, solid_report
from moldvol.present.mixing import pots, weigh_out
from moldvol.present.moulds import vents
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Step, Table, grave, messages

TAKEN_FOR = {
    "open mould": "an open mould",
    "mould with a sprue": "a closed mould with a sprue",
    "two halves": "the two halves of a mould side by side",
    "cavity": "a master; its inside is the cavity of the mould",
}
MOST_BASINS = 8


def report(plan: FillPlan, split: PotPlan | None, units: Units) -> Report:
    """The sheet of a mould to be filled."""
    head = solid_report(plan.solid, units, "What it holds")
    named = () if plan.mix is None else (Row("Resin", plan.mix.request.resin.name, plan.mix.request.resin.key),)
    return replace(head, verdict=_verdict(plan, units), line=_line(plan, split, units)).followed_by(
        *_sections(plan, split, units),
        warnings=messages(_notices(plan, split)),
        grave=grave(_notices(plan, split)),
        cautions=() if plan.mix is None else plan.mix.cautions,
        about=named,
    )


def _verdict(plan: FillPlan, units: Units) -> str:
    held = numbers.volume(plan.held_volume_mm3, units)
    mixed = "" if plan.needed is None else f": mix {numbers.mass(plan.needed.total_mass_g, units)}"
    air = ""
    if plan.kind != "two halves":
        count = len(plan.pockets)
        air = f" Air stays in {vents.places(count)}." if count else " No air stays."
    mended = "" if plan.solid.closed else "Open as read, closed by mending. "
    return f"{mended}Taken for {TAKEN_FOR[plan.kind]}. It holds {held}{mixed}.{air}"


def _line(plan: FillPlan, split: PotPlan | None, units: Units) -> str:
    said = _verdict(plan, units)
    if plan.mix is None:
        return line_about(plan.solid, said)
    mixed = weigh_out.portions(plan.mix) if split is None else pots.portions_of(split)
    return line_about(plan.solid, f"{said} That is {mixed}.")


def _notices(plan: FillPlan, split: PotPlan | None) -> tuple[Notice, ...]:
    """With pots, what is said of one cup with everything in it does not matter."""
    if split is None or plan.mix is None:
        return plan.notices
    own = tuple(notice for notice in plan.notices if notice not in plan.mix.notices)
    return own + split.notices


def _sections(plan: FillPlan, split: PotPlan | None, units: Units) -> Iterator[Section]:
    yield _held_section(plan, units)
    if len(plan.basins) > 1:
        yield _basins_section(plan.basins, units)
    if plan.mix is not None:
        yield pots.weighing_section(plan.mix, split, units)
    if plan.kind != "two halves":
        yield _air_section(plan, units)
    if plan.directions:
        yield _directions_section(plan, units)
    if plan.release is not None:
        yield _release_section(plan, units)


def _held_section(plan: FillPlan, units: Units) -> Section:
    rows = [
        Row("Taken for", TAKEN_FOR[plan.kind], _why_taken(plan)),
        *([] if plan.kind == "two halves" else [Row("Stands with", f"{vents.way(plan.up)} up")]),
    ]
    if plan.basins:
        rows += _level_rows(plan, plan.basins[0], units)
    doubt = plan.held_volume_error_mm3
    rows.append(
        Row(
            "Holds",
            numbers.volume(plan.held_volume_mm3, units),
            f"± {numbers.volume(doubt, units, 2)}" if doubt > 5e-4 * plan.held_volume_mm3 else "exact to 0.05 %",
            "strong",
        )
    )
    if plan.needed is not None:
        rows += _needed_rows(plan.needed, units)
    return Section("What it holds", tuple(rows))


def _why_taken(plan: FillPlan) -> str:
    return "--kind tells it otherwise" if plan.request.taken_as == "auto" else "as you said"


def _level_rows(plan: FillPlan, basin: Basin, units: Units) -> list[Row]:
    drop = plan.request.drop_mm
    level = "to the brim" if drop == 0 else f"{numbers.length(drop, units)} below the rim"
    surface = numbers.area(basin.surface_mm2, units)
    return [
        Row("Filled", level, f"a free surface of {surface}"),
        Row("Spills at", numbers.place(basin.spills_at_mm), "the lowest place of its rim"),
    ]


def _needed_rows(needed: Needed, units: Units) -> list[Row]:
    rows = [
        Row("Fills it", numbers.mass(needed.net_mass_g, units), f"cured, {needed.density_g_ml:.4g} g/ml"),
        Row(
            "Allowance",
            numbers.mass(needed.allowance_g, units),
            f"{numbers.per_cent(needed.allowed.share)}, {needed.allowed.origin}",
        ),
        Row("To mix", numbers.mass(needed.total_mass_g, units), weight="amount"),
    ]
    if needed.mix.cost is not None:
        rows.append(Row("Material cost", numbers.money(needed.mix.cost), "in the shelf's currency"))
    return rows


def _basins_section(basins: tuple[Basin, ...], units: Units) -> Section:
    rows = tuple(
        (str(number), numbers.place(basin.lowest_mm), vents.room(basin.volume_mm3, units))
        for number, basin in enumerate(basins[:MOST_BASINS], start=1)
    )
    more = len(basins) - len(rows)
    return Section(
        "Hollows that fill by themselves",
        table=Table(("", "lowest at", "holds"), rows, frozenset({2})),
        remarks=(f"… and {more} smaller {'one' if more == 1 else 'ones'}.",) if more > 0 else (),
    )


def _air_section(plan: FillPlan, units: Units) -> Section:
    rows = [vents.air_row(plan.trapped_air_mm3, plan.trapped_air_error_mm3, plan.pockets, units)]
    if plan.kind == "cavity":
        openings = len(plan.request.openings_mm)
        way_out = f"by {vents.places(openings)} you named" if openings else "by its highest place, the sprue"
        rows.insert(0, Row("Air leaves", way_out))
    remarks = vents.more_pockets(plan.pockets)
    if plan.pockets and not plan.directions:
        remarks += ("--try-directions looks for a better way up.",)
    return Section("Trapped air", tuple(rows), vents.vents_table(plan.pockets, units), remarks)


def _directions_section(plan: FillPlan, units: Units) -> Section:
    holds = plan.kind != "cavity"
    columns = ("up", "air stays", "vents", *(("holds",) if holds else ()))
    rows = tuple(
        (
            vents.way(rank.up),
            vents.room(rank.trapped_air_mm3, units) if rank.trapped_air_mm3 else "none",
            str(rank.vents) if rank.vents else "–",
            *((vents.room(rank.held_volume_mm3, units),) if holds else ()),
        )
        for rank in plan.directions
    )
    order = "by what they hold beside the air" if holds else "by the air that stays, then by vents"
    return Section(
        "The best ways up",
        table=Table(columns, rows, frozenset(range(1, len(columns)))),
        remarks=(f"Of 26 ways, {order}.", *_advice(plan, plan.directions[0])),
    )


def _advice(plan: FillPlan, best: RankedDirection) -> tuple[str, ...]:
    if best.up == plan.up or plan.kind != "cavity" or best.trapped_air_mm3 >= plan.trapped_air_mm3:
        return ()
    typed = ",".join(f"{round(number, 2) + 0.0:g}" for number in best.up)
    return (f"Pour it with --up {typed}.",)


def _release_section(plan: FillPlan, units: Units) -> Section:
    if plan.release is None:
        return Section("Will it come off")
    if plan.kind == "cavity":
        splits = () if plan.split is None else (plan.split,)
        rows = vents.release_rows(plan.release, plan.best_release, splits, units)
        return Section("Will it come off", rows, remarks=("Rubber gives way where a rigid mould is held.",))
    freed = vents.held_back(plan.release)
    rows = (Row("Straight up", freed, "if the mould is rigid; rubber gives way"),)
    worst = plan.release.worst_at_mm
    if worst is not None and plan.release.undercut_share > vents.COMES_OFF:
        rows += (vents.held_around(worst, plan.release.undercut_mm2, units),)
    return Section("Will the cast come out", rows)


def steps(plan: FillPlan, units: Units) -> tuple[Step, ...]:
    """What is done in turn, for the printed sheet."""
    turn = () if plan.kind == "two halves" else (Step(f"Stand it level, {vents.way(plan.up)} up", before=True),)
    holes = tuple(
        Step(f"Vent {number}: drill or cut it at {numbers.place(pocket.at_mm)}", before=True)
        for number, pocket in enumerate(plan.pockets[: vents.MOST_SHOWN], start=1)
    )
    drop = plan.request.drop_mm
    level = f"stop {numbers.length(drop, units)} below the rim" if drop else ""
    return (*turn, *holes, Step(f"Pour slowly, {_where(plan)}", remark=level))


def _where(plan: FillPlan) -> str:
    """Where resin goes in: of a cavity by its sprue, as its picture shows; else low down, so that air is driven up."""
    if plan.kind != "cavity":
        return "at the lowest place"
    return "by an opening you named" if plan.request.openings_mm else "by the sprue at its highest place"


def document(plan: FillPlan, split: PotPlan | None) -> dict[str, Any]:
    """The plan as one JSON object."""
    mesh = solid_json(plan.solid)
    return {
        **mesh,
        "fill": _fill_json(plan),
        "mix": None if plan.mix is None else weigh_out.document(plan.mix),
        "pots": None if split is None else pots.document(split),
        "warnings": [*mesh["warnings"], *warnings(_notices(plan, split))],
        "cautions": [] if plan.mix is None else list(plan.mix.cautions),
    }


def _fill_json(plan: FillPlan) -> dict[str, Any]:
    needed = plan.needed
    return {
        "kind": plan.kind,
        "up": plan.up,
        "drop_mm": plan.request.drop_mm,
        "held_volume_mm3": plan.held_volume_mm3,
        "held_volume_error_mm3": plan.held_volume_error_mm3,
        "basins": [_basin_json(basin) for basin in plan.basins],
        "trapped_air_mm3": plan.trapped_air_mm3,
        "trapped_air_error_mm3": plan.trapped_air_error_mm3,
        "pockets": vents.air_json(plan.pockets),
        "directions": [
            {
                "up": rank.up,
                "trapped_air_mm3": rank.trapped_air_mm3,
                "vents": rank.vents,
                "held_volume_mm3": rank.held_volume_mm3 if plan.kind != "cavity" else plan.held_volume_mm3,
            }
            for rank in plan.directions
        ],
        "release": vents.release_json(plan.release),
        "best_release": vents.release_json(plan.best_release),
        "split": vents.split_json(plan.split),
        "resin": None if plan.mix is None else plan.mix.request.resin.key,
        "net_mass_g": None if needed is None else needed.net_mass_g,
        "allowance_percent": None if needed is None else 100 * needed.allowed.share,
        "allowance_source": None if needed is None else needed.allowed.source,
        "allowance_g": None if needed is None else needed.allowance_g,
        "total_mass_g": None if needed is None else needed.total_mass_g,
        "cost": None if needed is None else needed.mix.cost,
    }


def _basin_json(basin: Basin) -> dict[str, Any]:
    return {
        "lowest_mm": basin.lowest_mm,
        "spills_at_mm": basin.spills_at_mm,
        "level_mm": basin.level_mm,
        "volume_mm3": basin.volume_mm3,
        "volume_error_mm3": basin.volume_error_mm3,
        "surface_mm2": basin.surface_mm2,
    }

"""How a hollow cast is told: the wall, the coats in their order, and what closes off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from moldvol.casting.hollow import HollowPlan, shell_curve_of
from moldvol.casting.mixing.recipe import MixPlan
from moldvol.geometry.triangles import measures
from moldvol.materials.mixtures.foam import FoamCharge
from moldvol.materials.resin import Resin
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.hollowing.curve import Curve, curve_drawing
from moldvol.present.hollowing.cut import cut_drawing
from moldvol.present.measure import line_about, solid_json, solid_report
from moldvol.present.mixing import weigh_out
from moldvol.present.numbers import Units
from moldvol.present.pictures import Drawing, three_sides
from moldvol.present.report import Report, Row, Section, Step, Table, grave, messages

LEAST_HOLLOW_SHARE = 0.01  # of the shell: less room than that is no hollow
WORTH_SAYING_SHARE = 0.05  # of the room that stays empty: what lies behind a neck is said first
CURVE_WALLS = 2.5  # how many times the chosen wall the curve goes on, where the part is thick enough


def report(plan: HollowPlan, units: Units) -> Report:
    """The sheet of a hollow cast."""
    sections = [_wall_section(plan, units), _coats_section(plan, units)]
    if plan.closed_off:
        sections.append(_closed_section(plan, units))
    if plan.foam is not None and plan.request.backfill is not None:
        sections.append(_foam_section(plan, plan.foam, plan.request.backfill, units))
    copies, resin = plan.request.copies, plan.request.mix.resin
    head = solid_report(plan.solid, units, "Hollow cast" if copies == 1 else f"{copies} hollow casts")
    verdict = " ".join([head.verdict, *_cannot_be_had(plan, units)])
    return replace(head, verdict=verdict, line=line_about(plan.solid, _line(plan, units))).followed_by(
        *sections,
        warnings=messages(plan.notices),
        grave=grave(plan.notices),
        cautions=plan.cautions,
        about=(Row("Resin", resin.name, resin.key), Row("Wall", numbers.length(plan.request.wall_mm, units))),
    )


def _line(plan: HollowPlan, units: Units) -> str:
    """Weight, what is mixed for each coat of one cast, and what the wall asked for comes to."""
    wall, weight = numbers.length(plan.request.wall_mm, units), numbers.mass(plan.shell_mass_g, units)
    coats = "1 coat" if len(plan.coats) == 1 else f"{len(plan.coats)} coats"
    mixed = ", then ".join(weigh_out.portions(coat.mix) for coat in plan.coats)
    weighs = f"A wall of {wall} weighs {weight}; {coats} for each cast: {mixed}."
    return " ".join([weighs, *_cannot_be_had(plan, units)])


def _cannot_be_had(plan: HollowPlan, units: Units) -> Iterator[str]:
    """What must be heard first of the wall asked for: that it comes out solid, or is thinner where a neck closes."""
    if plan.core_volume_mm3 <= max(plan.shell.error_mm3, LEAST_HOLLOW_SHARE * plan.shell.volume_mm3):
        yield "At this wall it comes out solid: plan it as a solid cast, or take a thinner wall."
        return
    shut = [pocket for pocket in plan.closed_off if pocket.volume_mm3 > WORTH_SAYING_SHARE * plan.core_volume_mm3]
    if not shut:
        return
    largest = max(shut, key=lambda pocket: pocket.volume_mm3)
    at = numbers.length(largest.closes_at_wall_mm, units)
    behind = numbers.volume(largest.volume_mm3, units)
    of = numbers.volume(plan.core_volume_mm3, units)
    others = f" ({len(shut)} necks close)" if len(shut) > 1 else ""
    yield (
        f"A neck closes at {at}: behind it, round {behind} of the {of} that stay empty, the wall gets no thicker than "
        f"that{others}; try another way in, or a thinner wall."
    )


def _wall_section(plan: HollowPlan, units: Units) -> Section:
    request = plan.request
    doubt = f"± {numbers.volume(plan.shell.error_mm3, units, 2)}"
    rows = [
        Row("Wall", numbers.length(request.wall_mm, units), request.mix.resin.name),
        Row("Resin in it", numbers.volume(plan.shell.volume_mm3, units), doubt),
        Row("One cast", numbers.mass(plan.shell_mass_g, units), f"± {numbers.mass(plan.shell_mass_error_g, units, 2)}"),
        Row("If solid", numbers.mass(plan.solid_mass_g, units), _saved(plan)),
        Row("Stays empty", numbers.volume(plan.core_volume_mm3, units)),
        Row("Resin enters", f"near {numbers.place(plan.part.reach.seed_at_mm)}", "--opening takes another place"),
        Row(
            "Thickest place",
            numbers.length(plan.part.thickest.diameter_mm, units),
            f"before hollowing, around {numbers.place(plan.part.thickest.centre_mm)}",
        ),
    ]
    if request.copies > 1:
        rows.append(Row(f"For {request.copies} casts", numbers.mass(plan.shell_mass_g * request.copies, units)))
    allowance = f"{numbers.per_cent(plan.allowed.share)}, {plan.allowed.origin}"
    rows.append(Row("Allowance", numbers.mass(_allowance_g(plan), units), allowance))
    rows.append(Row("To mix in all", numbers.mass(plan.mix.total_mass_g, units), weight="amount"))
    if plan.cost is not None:
        each = f"{numbers.money(plan.cost / request.copies)} each, " if request.copies > 1 else ""
        rows.append(Row("Material cost", numbers.money(plan.cost), f"{each}in the shelf's currency"))
    return Section("The hollow cast", tuple(rows))


def _allowance_g(plan: HollowPlan) -> float:
    return plan.shell_mass_g * plan.request.copies * plan.allowed.share


def _saved(plan: HollowPlan) -> str:
    share = 1 - plan.shell_mass_g / plan.solid_mass_g
    return f"the hollow one saves {numbers.per_cent(max(share, 0.0))} of it"


def _coats_section(plan: HollowPlan, units: Units) -> Section:
    first = plan.coats[0].mix
    hardest = plan.hardest_coat.mix
    step = first.request.scale.readability_g
    names = tuple(component.name for component in first.components)
    rows = tuple(
        (
            str(coat.number),
            numbers.length(coat.wall_mm, units),
            *(weigh_out.to_weigh(component, step) for component in coat.mix.components),
            weigh_out.reading(coat.mix.components[-1].scale_reading_g, step),
            numbers.clock(coat.start_s),
            numbers.clock(coat.turn_until_s),
        )
        for coat in plan.coats
    )
    columns = ("coat", "wall then", *names, "in all", "mix at", "turn until")
    lines = (
        Row("Pour within", numbers.duration(first.pot_life_s), "pot life of each coat"),
        Row("Bench time", numbers.duration(plan.bench_time_s), "for one cast, all coats"),
        Row("Ratio", f"± {numbers.per_cent(hardest.ratio_error_percent / 100)}", _ratio_remark(plan, hardest)),
    )
    return Section(
        "Coats of one cast, one after the other",
        lines,
        Table(
            columns,
            rows,
            frozenset(range(1, len(columns))),
            ticks=True,
            large=frozenset({0, *range(2, len(names) + 3)}),
        ),
        (
            "Mix a coat, pour it in, turn the mould slowly every way until it no longer runs, then mix the next.",
            "Times run from the first mix, minutes:seconds; a coat follows when the one before has gelled.",
            "A thin coat stays cooler than the cup its gel time is stated for and can run far longer: tilt the mould "
            "and look before you mix the next.",
        ),
    )


def _ratio_remark(plan: HollowPlan, hardest: MixPlan) -> str:
    where = "" if len(plan.coats) == 1 else ", in the coat your scale holds least"
    return f"at worst{where}; the resin forgives {hardest.tolerance_percent:g} %"


def _closed_section(plan: HollowPlan, units: Units) -> Section:
    rows = tuple(
        (
            numbers.place(pocket.neck_at_mm),
            numbers.length(pocket.closes_at_wall_mm, units),
            numbers.volume(pocket.volume_mm3, units),
            numbers.place(pocket.deepest_at_mm),
        )
        for pocket in plan.closed_off[:20]
    )
    more = len(plan.closed_off) - len(rows)
    return Section(
        "Closes off on the way",
        table=Table(("neck at", "closes at wall", "empty behind it", "deepest at"), rows, frozenset({1, 2})),
        remarks=(
            "Behind a closed neck the wall stays as thin as it was: no later coat reaches it.",
            *((f"… and {more} more.",) if more > 0 else ()),
        ),
    )


def _foam_section(plan: HollowPlan, foam: FoamCharge, resin: Resin, units: Units) -> Section:
    rows = (
        Row("Foam", resin.name, f"free rise {1000 * foam.free_rise_g_ml:g} kg/m³"),
        Row("Fills", numbers.volume(foam.core_volume_mm3, units), "what foam can still reach"),
        Row(
            "Mix",
            numbers.mass(foam.liquid_mass_g, units),
            f"{numbers.per_cent(foam.overpack)} over free rise",
            "strong",
        ),
        Row("Cast then weighs", numbers.mass(plan.finished_mass_g, units)),
    )
    return Section("Back-fill of one cast", rows)


def steps(plan: HollowPlan, units: Units) -> tuple[Step, ...]:
    """What follows on the coats, for the printed sheet: back-fill, and when the cast may come out."""
    last, resin = plan.coats[-1], plan.request.mix.resin
    found = []
    if plan.foam is not None and plan.request.backfill is not None:
        foam = numbers.mass(plan.foam.liquid_mass_g, units)
        at = numbers.clock(last.turn_until_s)
        found.append(Step(f"Back-fill with {plan.request.backfill.name}", foam, at, remark="each cast, vents open"))
    if resin.demould_s is not None:
        at = numbers.duration(max(last.start_s + resin.demould_s, last.turn_until_s))
        told = numbers.duration(resin.demould_s)
        found.append(
            Step("Take it out of the mould", at=at, remark=f"{told} after the last coat is mixed, by the shelf")
        )
    return tuple(found)


def pictures(plan: HollowPlan, units: Units) -> tuple[Drawing, ...]:
    """The part from three sides, the cut with each coat, and the curve around the chosen wall."""
    levels = [coat.wall_mm for coat in plan.coats]
    cut = cut_drawing(plan.part.field, levels, plan.part.reach, units)
    return three_sides(plan.solid.mesh), cut, curve_drawing(_curve(plan), units)


def _curve(plan: HollowPlan) -> Curve:
    wall = plan.request.wall_mm
    most = max(wall, min(CURVE_WALLS * wall, plan.part.thickest.diameter_mm / 2))
    # The chosen wall is a point of its own, so that the picture says the same as the table.
    shells = dict(sorted({**dict(zip(*shell_curve_of(plan.part, most), strict=True)), wall: plan.shell}.items()))
    return Curve(
        walls_mm=np.array(list(shells)),
        shells=tuple(shells.values()),
        solid_mm3=plan.part.field.solid_mm3,
        area_mm2=measures(plan.solid.outer).area_mm2,
        density_g_ml=plan.density_g_ml,
        chosen_mm=wall,
    )


def hollow_json(plan: HollowPlan) -> dict[str, Any]:
    """The ``hollow`` object of the contract."""
    return {
        "wall_mm": plan.request.wall_mm,
        "copies": plan.request.copies,
        "shell_volume_mm3": plan.shell.volume_mm3,
        "shell_volume_error_mm3": plan.shell.error_mm3,
        "core_volume_mm3": plan.core_volume_mm3,
        "shut_in_volume_mm3": plan.shut_in_mm3,
        "shell_mass_g": plan.shell_mass_g,
        "shell_mass_error_g": plan.shell_mass_error_g,
        "solid_mass_g": plan.solid_mass_g,
        "finished_mass_g": plan.finished_mass_g,
        "allowance_percent": 100 * plan.allowed.share,
        "allowance_g": _allowance_g(plan),
        "total_mass_g": plan.mix.total_mass_g,
        "cost": plan.cost,
        "bench_time_s": plan.bench_time_s,
        "solid_share": plan.solid_share,
        "thickest_mm": plan.part.thickest.diameter_mm,
        "thickest_at_mm": plan.part.thickest.centre_mm,
        "opening_at_mm": plan.part.reach.seed_at_mm,
        "coats": [
            {
                "number": coat.number,
                "wall_mm": coat.wall_mm,
                "mass_g": coat.mass_g,
                "mix_mass_g": coat.mix.total_mass_g,
                "start_s": coat.start_s,
                "turn_until_s": coat.turn_until_s,
                "components": [weigh_out.component_json(component) for component in coat.mix.components],
            }
            for coat in plan.coats
        ],
        "closed_off": [
            {
                "at_mm": pocket.neck_at_mm,
                "closes_at_wall_mm": pocket.closes_at_wall_mm,
                "volume_mm3": pocket.volume_mm3,
                "deepest_at_mm": pocket.deepest_at_mm,
            }
            for pocket in plan.closed_off
        ],
        "backfill": None
        if plan.foam is None
        else {
            "volume_mm3": plan.foam.core_volume_mm3,
            "liquid_mass_g": plan.foam.liquid_mass_g,
            "moulded_g_ml": plan.foam.moulded_g_ml,
        },
    }


def document(plan: HollowPlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    mesh = solid_json(plan.solid)
    return {
        **mesh,
        "hollow": hollow_json(plan),
        "mix": weigh_out.document(plan.mix),
        "warnings": [*mesh["warnings"], *warnings(plan.notices)],
        "cautions": list(plan.cautions),
    }

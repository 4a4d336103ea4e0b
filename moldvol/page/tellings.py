"""What each tab tells of the part: the same plans and the same sheets as the command line's, by the knobs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from moldvol.casting.cast import CastRequest, plan_cast
from moldvol.casting.compare import plan_compare
from moldvol.casting.hollow import HollowRequest, plan_hollow
from moldvol.casting.hollow_part import HollowPart
from moldvol.casting.mix import density_of
from moldvol.casting.recipe import MixRequest
from moldvol.materials.shelf import Shelf
from moldvol.page.draft import curve_walls_mm, draft_of
from moldvol.page.knobs import Asked
from moldvol.page.part import Part
from moldvol.present import cast, compare, hollow, measure
from moldvol.present.curve import Curve, curve_drawing
from moldvol.present.cut import cut_drawing
from moldvol.present.pictures import Drawing, Picture, drawn, three_sides
from moldvol.present.report import Report, Row, Section, Step

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToPour:
    """A mix that a sheet ends in, ready for the scale: ``net_g`` is what the mould takes of the ``planned_g``."""

    title: str
    request: MixRequest
    planned_g: float
    net_g: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One tab's sheet: its amounts, and ``pours``, its mixes in the order in which they are poured."""

    report: Report
    amounts: tuple[Row, ...] = ()
    pours: tuple[ToPour, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A sheet and how it would be printed; stays on the worker's side, for drawings do not travel.

    ``plots`` are the drawings that the page shows too, drawn only after the figures are out.
    """

    report: Report
    pours: tuple[ToPour, ...] = ()
    plots: Callable[[], Sequence[Drawing]] = tuple
    steps: Callable[[], Sequence[Step]] = tuple


@dataclass(frozen=True, slots=True, eq=False)
class Question:
    """What a tab is asked: the part, the knobs, and whether the answer is to be exact or at once."""

    part: Part
    asked: Asked
    shelf: Shelf
    progress: Progress
    exactly: bool = True

    @property
    def body(self) -> HollowPart:
        """The part as it is hollowed, with resin entering where the knobs say."""
        body = self.part.hollow(self.asked.opening)
        return body if self.exactly else draft_of(body)


def tell(plan: Plan) -> Told:
    """*plan* as plain data for the page."""
    amounts = tuple(row for one in plan.report.sections for row in one.rows if row.weight == "amount")
    return Told(report=plan.report, amounts=amounts, pours=plan.pours)


def plots(plan: Plan) -> tuple[Picture, ...]:
    """What the page shows beside the figures."""
    return tuple(drawn(drawing) for drawing in plan.plots())


def drawings(plan: Plan, part: Part) -> tuple[Drawing, ...]:
    """What the printed sheet shows: the part, and the plots."""
    return (three_sides(part.solid.mesh), *plan.plots())


def _part(question: Question) -> Plan:
    return Plan(report=measure.report(question.part.measured, question.asked.units))


def _solid(question: Question) -> Plan:
    part, asked, shelf = question.part, question.asked, question.shelf
    bench = asked.bench
    request = CastRequest(
        mix=bench.request(shelf.resin(asked.resin), shelf), copies=asked.copies, allowance=asked.allowance
    )
    plan = plan_cast(part.solid, request, wall=part.measured.wall)
    pots = bench.pots(plan.mix.request)
    pour = ToPour(title="Solid cast", request=plan.mix.request, planned_g=plan.mix.total_mass_g, net_g=plan.net_mass_g)
    return Plan(report=beside_the_part(cast.report(plan, pots, asked.units), part, asked), pours=(pour,))


def _hollow(question: Question) -> Plan:
    part, asked, shelf = question.part, question.asked, question.shelf
    body = question.body
    plan = plan_hollow(body, hollow_request(asked, shelf))
    pours = tuple(
        ToPour(
            title=f"Coat {coat.number} of {len(plan.coats)}",
            request=coat.mix.request,
            planned_g=coat.mix.total_mass_g,
            net_g=coat.mass_g or None,
        )
        for coat in plan.coats
    )
    return Plan(
        report=beside_the_part(hollow.report(plan, asked.units), part, asked),
        pours=pours,
        plots=lambda: [
            curve_drawing(shell_curve(body, asked, shelf), asked.units),
            cut_drawing(body.field, [coat.wall_mm for coat in plan.coats], reach=body.reach, units=asked.units),
        ],
        steps=lambda: hollow.steps(plan, asked.units),
    )


def _side_by_side(question: Question) -> Plan:
    part, asked, shelf = question.part, question.asked, question.shelf
    body, bench = question.body, asked.bench
    plan = plan_compare(
        body,
        [bench.request(shelf.resin(asked.resin), shelf)],
        walls_beside(asked.wall_mm),
        copies=asked.copies,
        allowance=asked.allowance,
        mixing_s=bench.mixing_s,
        pouring_s=bench.pouring_s,
    )
    return Plan(
        report=beside_the_part(compare.report(plan, asked.units), part, asked),
        plots=lambda: [curve_drawing(shell_curve(body, asked, shelf), asked.units)],
    )


def hollow_request(asked: Asked, shelf: Shelf) -> HollowRequest:
    """The hollow cast that the knobs ask for."""
    bench = asked.bench
    return HollowRequest(
        mix=bench.request(shelf.resin(asked.resin), shelf),
        wall_mm=asked.wall_mm,
        coats=asked.coats,
        copies=asked.copies,
        allowance=asked.allowance,
        mixing_s=bench.mixing_s,
        pouring_s=bench.pouring_s,
    )


def walls_beside(wall_mm: float) -> list[float]:
    """The walls shown side by side: a thinner one, the one asked for, a thicker one.

    >>> walls_beside(4.0)
    [3.0, 4.0, 6.0]
    """
    return [0.75 * wall_mm, wall_mm, 1.5 * wall_mm]


def shell_curve(body: HollowPart, asked: Asked, shelf: Shelf) -> Curve:
    """What every wall takes, up to the deepest place."""
    walls = sorted({*curve_walls_mm(body), asked.wall_mm})
    return Curve(
        walls_mm=np.array(walls),
        shells=[body.shell(wall) for wall in walls],
        solid_mm3=body.field.solid_mm3,
        area_mm2=body.solid.area_mm2,
        density_g_ml=density_of(asked.bench.request(shelf.resin(asked.resin), shelf)),
        chosen_mm=asked.wall_mm,
    )


def beside_the_part(report: Report, part: Part, asked: Asked) -> Report:
    """*report* without the sections that the part's own tab shows already; its warnings stay."""
    told: tuple[Section, ...] = measure.report(part.measured, asked.units).sections
    return replace(report, sections=tuple(section for section in report.sections if section not in told))


Planning = Callable[[Question], Plan]
PLANS: Mapping[str, Planning] = MappingProxyType(
    {"part": _part, "solid": _solid, "hollow": _hollow, "side": _side_by_side}
)

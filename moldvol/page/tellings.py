"""What each tab tells of the part: the same plans and the same sheets as the command line's, by the knobs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from moldvol.casting.cast import CastRequest, plan_cast
from moldvol.casting.recipe import MixRequest
from moldvol.materials.shelf import Shelf
from moldvol.page.knobs import Asked
from moldvol.page.part import Part
from moldvol.present import cast, measure
from moldvol.present.pictures import Drawing, three_sides
from moldvol.present.report import Report, Row, Section, Step

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToPour:
    """A mix that a sheet ends in, ready for the scale: ``net_g`` is what the mould takes of the ``planned_g``."""

    title: str
    request: MixRequest
    planned_g: float
    net_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One tab's sheet. ``pours`` are its mixes in order; ``plot`` an SVG; ``drawings`` what its printed sheet shows."""

    report: Report
    amounts: tuple[Row, ...] = ()
    pours: tuple[ToPour, ...] = ()
    plot: bytes | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A sheet and how it would be printed; stays on the worker's side, for drawings do not travel."""

    report: Report
    pours: tuple[ToPour, ...] = ()
    plot: Callable[[], bytes] | None = None
    drawings: Callable[[], Sequence[Drawing]] | None = None
    steps: Callable[[], Sequence[Step]] | None = None


def tell(plan: Plan) -> Told:
    """*plan* as plain data for the page."""
    amounts = tuple(row for one in plan.report.sections for row in one.rows if row.weight == "amount")
    return Told(report=plan.report, amounts=amounts, pours=plan.pours, plot=plan.plot() if plan.plot else None)


def _part(part: Part, asked: Asked, shelf: Shelf, progress: Progress) -> Plan:
    return Plan(report=measure.report(part.measured, asked.units), drawings=lambda: [three_sides(part.solid.mesh)])


def _solid(part: Part, asked: Asked, shelf: Shelf, progress: Progress) -> Plan:
    bench = asked.bench
    request = CastRequest(
        mix=bench.request(shelf.resin(asked.resin), shelf), copies=asked.copies, allowance=asked.allowance
    )
    plan = plan_cast(part.solid, request, wall=part.measured.wall)
    pots = bench.pots(plan.mix.request)
    pour = ToPour(title="Solid cast", request=plan.mix.request, planned_g=plan.mix.total_mass_g, net_g=plan.net_mass_g)
    return Plan(
        report=beside_the_part(cast.report(plan, pots, asked.units), part, asked),
        pours=(pour,),
        drawings=lambda: [three_sides(part.solid.mesh)],
    )


def beside_the_part(report: Report, part: Part, asked: Asked) -> Report:
    """*report* without the sections that the part's own tab shows already; its warnings stay."""
    told: tuple[Section, ...] = measure.report(part.measured, asked.units).sections
    kept = tuple(section for section in report.sections if section not in told)
    return Report(report.title, report.verdict, kept, report.warnings, report.cautions, report.job, report.about)


Planning = Callable[[Part, Asked, Shelf, Progress], Plan]
PLANS: Mapping[str, Planning] = MappingProxyType({"part": _part, "solid": _solid})

"""A tab's sheet on both sides of the process: planned where the part is, told as plain data where the page is."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from moldvol.casting.hollow_part import HollowPart
from moldvol.casting.mixing.pots import PotPlan
from moldvol.casting.mixing.recipe import MixPlan, MixRequest
from moldvol.casting.pour_book import mould_made_from, mould_named_by
from moldvol.materials.shelf import Shelf
from moldvol.page.draft import draft_of
from moldvol.page.knobs import Asked
from moldvol.page.part import Part
from moldvol.page.pour import cups_of
from moldvol.page.wording import for_the_page
from moldvol.present import measure
from moldvol.present.numbers import Units
from moldvol.present.pictures import Drawing, drawn, three_sides
from moldvol.present.report import Report, Row, Section, Step
from moldvol.present.sheet import sheet_html

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToPour:
    """A mix that a sheet ends in, ready for the scale in the ``cups`` that the sheet tells of.

    ``net_g`` is what the mould takes of the ``planned_g``, ``mould`` under which name the pour book keeps it.
    """

    title: str
    mould: str
    cups: tuple[MixRequest, ...]
    planned_g: float
    net_g: float | None

    @classmethod
    def of(cls, title: str, mix: MixPlan, net_g: float | None, *, mould: str, pots: PotPlan | None = None) -> ToPour:
        """The planned *mix*, of which *net_g* reach the *mould*; in one cup where there are no *pots*."""
        return cls(
            title=title,
            mould=mould,
            cups=cups_of(mix.request, pots),
            planned_g=pots.mixed_g if pots else mix.total_mass_g,
            net_g=net_g or None,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One tab's sheet: its amounts, and ``pours``, its mixes in the order in which they are poured."""

    report: Report
    amounts: tuple[Row, ...] = ()
    pours: tuple[ToPour, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A sheet and how it would be printed; stays on the worker's side, for drawings do not travel.

    ``report`` is told whole on paper, and on the page without what the part's own tab shows. ``plots`` are the drawings
    of both, drawn only after the figures are out; where they show the part themselves, ``shows_part``, a printed sheet
    needs no other picture of it. The ``curve`` is for the page only, and takes long unless it ``knows_curve``.
    """

    report: Report
    pours: tuple[ToPour, ...] = ()
    plots: Callable[[], Sequence[Drawing]] = tuple
    curve: Callable[[], Sequence[Drawing]] = tuple
    knows_curve: Callable[[], bool] = lambda: True
    steps: Callable[[], Sequence[Step]] = tuple
    shows_part: bool = False


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

    @property
    def mould(self) -> str:
        """The pour book's name for the mould in which the part is cast."""
        return mould_named_by(self.part.solid.name)

    @property
    def mould_itself(self) -> str:
        """Its name for pouring the rubber of that mould, which must not be taken for casts in it."""
        return mould_made_from(self.part.solid.name)

    @property
    def mix(self) -> MixRequest:
        """The resin asked for, its amount still open."""
        return self.mix_of(self.asked.resin)

    def mix_of(self, key: str) -> MixRequest:
        """The resin or rubber *key* on this bench, its amount still open."""
        return self.asked.bench.request(self.shelf.resin(key), self.shelf)


def tell(plan: Plan, told_elsewhere: Collection[Section] = ()) -> Told:
    """*plan* as plain data for the page, without the sections *told_elsewhere*; its warnings stay."""
    report = replace(plan.report, sections=tuple(one for one in plan.report.sections if one not in told_elsewhere))
    amounts = tuple(row for one in report.sections for row in one.rows if row.weight == "amount")
    return Told(report=for_the_page(report), amounts=amounts, pours=plan.pours)


def told_of_part(part: Part, units: Units) -> tuple[Section, ...]:
    """What the part's own tab tells of it, and no other tab tells again."""
    return measure.report(part.measured, units).sections


def sheet(plan: Plan, part: Part, settings: Mapping[str, str]) -> str:
    """*plan* as a page for the printer, as the command line's ``--sheet`` writes it."""
    drawings = (*(() if plan.shows_part else (three_sides(part.solid.mesh),)), *plan.plots())
    pictures = [drawn(drawing) for drawing in drawings if drawing.on_sheet]
    return sheet_html(for_the_page(plan.report), pictures=pictures, settings=settings, steps=plan.steps())

"""One job on the bench as plain data: knobs, part, sheets, what is being worked on, what is being poured.

Nothing here knows a browser, a process or a socket. Whoever shows a session is told by `Session.changed` what to draw
anew; several screens may show the same one, the workshop's and the phone's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from moldvol.errors import RequestError
from moldvol.materials.shelf import Shelf
from moldvol.page.choices import LABELS, in_words
from moldvol.page.knobs import USUAL, Asked, Knobs
from moldvol.page.pour import PourJob, cups_of
from moldvol.page.tabs import BY_KEY, Tab
from moldvol.quantities import parse_amount

if TYPE_CHECKING:
    from moldvol.page.part import Core, PartSummary, View
    from moldvol.page.told import Told, ToPour
    from moldvol.present.pictures import Picture

# What of a session has changed, for those who show it.
What = Literal["part", "look", "work", "knobs", "sheet", "pour"]


@dataclass(frozen=True, slots=True)
class Work:
    """What is going on now: in words, and the share of it that is done."""

    stage: str
    share: float


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a file could not be used, in one sentence; ``open_rims`` if it could be taken with a large error."""

    name: str
    sentence: str
    open_rims: bool = False


@dataclass(slots=True)
class Session:
    """The state of one job. ``told`` are the sheets by tab, ``told_for`` what each was made for; so with ``plots``, of
    which more are to come on the tabs that are ``unfinished``."""

    key: str
    knobs: Knobs = USUAL
    file_name: str = ""
    parts: tuple[str, ...] = ()
    part: PartSummary | None = None
    view: View | None = None
    view_number: int = 0
    core: bytes | None = None
    core_number: int = 0
    enters_at_mm: tuple[float, float, float] | None = None
    work: Work | None = None
    refused: Refused | None = None
    told: dict[str, Told] = field(default_factory=dict)
    told_for: dict[str, tuple[object, ...]] = field(default_factory=dict)
    failed: dict[str, str] = field(default_factory=dict)
    plots: dict[str, tuple[Picture, ...]] = field(default_factory=dict)
    plots_for: dict[str, tuple[object, ...]] = field(default_factory=dict)
    unfinished: set[str] = field(default_factory=set)
    pour: PourJob | None = None
    listeners: list[Callable[[What], None]] = field(default_factory=list)

    @property
    def asked(self) -> Asked:
        """What the knobs ask for."""
        return self.knobs.asked

    def changed(self, what: What) -> None:
        """Tell everybody who shows this session."""
        for listener in tuple(self.listeners):
            listener(what)

    def turn(self, name: str, text: str) -> None:
        """Set a knob to what was typed; one that cannot be understood keeps its last good setting."""
        self.knobs = self.knobs.turned(name, text)
        self.changed("knobs")

    def is_ready(self, tab: Tab) -> bool:
        """Whether there is all that *tab* needs."""
        return self.part is not None and (not tab.needs_depth or (self.part.has_depth and not self.part.trouble))

    def is_stale(self, tab: str) -> bool:
        """Whether the sheet of *tab* is missing, or was made for other knobs."""
        return self.told_for.get(tab) != BY_KEY[tab].matter(self.asked)

    def begin_file(self, name: str) -> None:
        """Another file comes: what was set for the last one does not hold for it. The same file, drawn anew, keeps
        its settings; that it may be open is asked for each time."""
        if self.file_name and name != self.file_name:
            self.knobs = self.knobs.for_another_file()
        self.knobs = self.knobs.turned("accept_open", "")
        self.file_name, self.parts = name, ()
        self.changed("knobs")

    def take_part(self, part: PartSummary) -> None:
        """A part is on the bench: what was told of an earlier one is void."""
        self._forget()
        self.part, self.parts = part, part.parts
        self.changed("part")

    def take_part_depth(self, part: PartSummary) -> None:
        """The depth of the part at hand is known now."""
        self.part = part
        self.changed("part")

    def take_view(self, view: View) -> None:
        """There is something new to look at."""
        self.view, self.view_number = view, self.view_number + 1
        self.changed("part")

    def refuse(self, refused: Refused) -> None:
        """The file could not be used; the bench is empty."""
        self._forget()
        self.refused = refused
        self.changed("part")

    def put_away(self) -> None:
        """Clear the bench, keep the knobs and what is being poured."""
        self._forget()
        self.work = None
        self.changed("part")

    def _forget(self) -> None:
        self.part, self.view, self.refused, self.core, self.enters_at_mm = None, None, None, None, None
        self.told, self.told_for, self.failed = {}, {}, {}
        self.plots, self.plots_for, self.unfinished = {}, {}, set()

    def take_sheet(self, tab: str, asked: Asked, told: Told | str) -> None:
        """The sheet of *tab*, or the sentence why there is none."""
        self.told_for[tab] = BY_KEY[tab].matter(asked)
        if isinstance(told, str):
            self.failed[tab] = told
            self.told.pop(tab, None)
        else:
            self.failed.pop(tab, None)
            self.told[tab] = told
        self.changed("sheet")

    def lacks_plots(self, tab: str) -> bool:
        """Whether the pictures beside the figures of *tab* are missing, or were drawn for other knobs."""
        return BY_KEY[tab].plots and tab in self.told and (self.has_old_plots(tab) or tab in self.unfinished)

    def has_old_plots(self, tab: str) -> bool:
        """Whether the pictures beside the figures of *tab* were drawn for other knobs, or not at all."""
        return self.plots_for.get(tab) != BY_KEY[tab].matter(self.asked)

    def take_plots(self, tab: str, asked: Asked, plots: tuple[Picture, ...], *, whole: bool = True) -> None:
        """The pictures beside the figures of *tab*, drawn for *asked*; not the *whole* of them where more follow."""
        self.plots[tab], self.plots_for[tab] = plots, BY_KEY[tab].matter(asked)
        (self.unfinished.discard if whole else self.unfinished.add)(tab)
        self.changed("sheet")

    def take_core(self, core: Core) -> None:
        """The hollow within the wall, to look at, and the place where resin enters."""
        self.core, self.core_number = core.content or None, self.core_number + 1
        self.enters_at_mm = core.enters_at_mm
        self.changed("look")

    def working(self, stage: str, share: float) -> None:
        """Something is going on."""
        self.work = Work(stage, share)
        self.changed("work")

    def idle(self) -> None:
        """Nothing is going on any more."""
        self.work = None
        self.changed("work")

    def begin_pour(self, mix: ToPour) -> None:
        """Take the mix of a sheet to the scale, in the cups that the sheet tells of."""
        self.pour = PourJob(title=mix.title, mould=mix.mould, planned_g=mix.planned_g, net_g=mix.net_g, cups=mix.cups)
        self.changed("pour")

    def begin_amount(self, text: str, shelf: Shelf) -> None:
        """Take an amount as typed to the scale, without a mesh. Raises `RequestError` for one that cannot be mixed."""
        amount = parse_amount(text)
        if not (amount.mass_g or amount.volume_ml or 0.0) > 0:
            raise RequestError(f"'{text}' is no amount to mix; give one above zero like 205g or 180ml.")
        bench = self.asked.bench
        request = bench.request(shelf.resin(self.asked.resin), shelf, mass_g=amount.mass_g, volume_ml=amount.volume_ml)
        pots = bench.pots(request)
        cups = cups_of(request, pots)
        job = PourJob(title=f"{text.strip()} of {request.resin.name}", mould="", planned_g=0.0, net_g=None, cups=cups)
        job.planned_g = pots.mixed_g if pots else job.plan.total_mass_g
        self.pour = job
        self.changed("pour")

    def end_pour(self) -> None:
        """The scale is free again."""
        self.pour = None
        self.changed("pour")


def settings_of(knobs: Knobs, tab: str) -> Mapping[str, str]:
    """The knobs that matter to *tab*, and what was done to the part, in the page's words for its printed sheet."""
    of_part = [name for name in BY_KEY["part"].knobs if knobs.typed[name] != USUAL.typed[name]]
    names = dict.fromkeys((*BY_KEY[tab].knobs, *of_part))
    return {LABELS[name].lower(): in_words(name, knobs.typed[name]) for name in names}

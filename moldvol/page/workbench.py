"""What can be asked of the part on the bench, by name; runs in the worker process, or in a test's own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from time import sleep
from typing import TYPE_CHECKING, Any

from moldvol.errors import MoldvolError, RequestError
from moldvol.materials.shelf import load_shelf
from moldvol.page.knobs import Asked
from moldvol.page.tabs import BY_KEY

if TYPE_CHECKING:
    from moldvol.geometry.reading import MeshFile
    from moldvol.materials.shelf import Shelf
    from moldvol.page.part import Core, Part, PartSummary, View
    from moldvol.page.told import Plan, Told
    from moldvol.present.pictures import Picture

Progress = Callable[[str, float], None]

LOOK_AGAIN_S = 0.01  # whether the figures that somebody waits for are out


@dataclass(slots=True)
class Workbench:
    """The one part in work. Heavy libraries are imported by the first question that needs them.

    Questions are answered side by side. Each order to read or remake has a number, and of several the one with the
    highest counts, whichever ends last; what the knobs ask of a part in another size than the one at hand is refused.
    Preparing for walls to come pauses while there are ``_waited_for`` figures.
    """

    file: MeshFile | None = None
    part: Part | None = None
    shelves: tuple[Path, ...] = ()
    _shelf: Shelf | None = None
    _unusable: MoldvolError | None = None
    _newest: int = 0
    _ordering: Lock = field(default_factory=Lock)
    _planned: dict[str, tuple[object, Plan]] = field(default_factory=dict)
    _waited_for: set[object] = field(default_factory=set)

    def answer(self, what: str, details: tuple[Any, ...], progress: Progress) -> Any:
        """The answer to one question; *what* is the name of one of the methods below."""
        questions: dict[str, Callable[..., Any]] = {
            "read": self.read,
            "remake": self.remake,
            "measure_depth": self.measure_depth,
            "view": self.view,
            "core": self.core,
            "fill_curve": self.fill_curve,
            "plots": self.plots,
            "plots_at_once": self.plots_at_once,
            "sides": self.sides,
            "tell": self.tell,
            "sheet": self.sheet,
        }
        return questions[what](progress, *details)

    def read(self, progress: Progress, order: int, path: str, name: str, asked: Asked) -> PartSummary:
        """The part in a file; the bench holds it from now on, and the file itself is needed no more."""
        from moldvol.geometry.reading import read_mesh

        self._begin(order)
        progress("Reading the file", 0.0)
        file, unusable = None, None
        try:
            file = read_mesh(Path(path), name=name)
        except MoldvolError as error:
            unusable = error
        with self._ordering:
            self._refuse_older(order)
            self.file, self._unusable = file, unusable
        return self.remake(progress, order, asked)

    def remake(self, progress: Progress, order: int, asked: Asked) -> PartSummary:
        """The same file as *asked*: with another unit or scale, or with its holes accepted."""
        from moldvol.page.part import Part

        self._begin(order)
        if self.file is None:
            raise self._unusable or RequestError("There is no file on the bench; drop one first.")
        part = Part.made(self.file, asked, progress)
        with self._ordering:
            self._refuse_older(order)
            self.part = part
            self._planned.clear()
        return part.summary()

    def _begin(self, order: int) -> None:
        """From here on nothing of an older order counts. Raises `RequestError` if this one is older itself."""
        with self._ordering:
            self._refuse_older(order)
            self._newest = order
        if self.part is not None:
            self.part.replaced = True

    def _refuse_older(self, order: int) -> None:
        if order < self._newest:
            raise RequestError("The part was asked for in another way meanwhile; see what comes of that.")

    def measure_depth(self, progress: Progress) -> PartSummary:
        """Measure the depth of the part at hand."""
        part = self._part()
        part.measure_depth(progress)
        return part.summary()

    def view(self, progress: Progress) -> View:
        """The part to look at."""
        return self._part().view()

    def core(self, progress: Progress, asked: Asked) -> Core:
        """The hollow to look at."""
        return self._part_for(asked).core(asked)

    def fill_curve(self, progress: Progress, asked: Asked) -> None:
        """Prepare for walls to come."""
        self._part_for(asked).fill_curve(asked.opening, self._rest)

    def _rest(self) -> None:
        """Wait while somebody waits for a figure, be it one after the other or several at once."""
        while self._waited_for:
            sleep(LOOK_AGAIN_S)

    def sides(self, progress: Progress) -> bytes:
        """The part from three sides as a PNG, for browsers that show no 3D."""
        from moldvol.present.pictures import drawn, three_sides

        return drawn(three_sides(self._part().solid.mesh)).content

    def tell(self, progress: Progress, tab: str, asked: Asked, exactly: bool = True) -> Told:
        """The sheet of one tab for the page; at once, or worked out *exactly*."""
        from moldvol.page.told import tell, told_of_part

        part, question = self._part_for(asked), object()
        try:
            self._waited_for.add(question)
            plan = self._plan(part, tab, asked, progress, exactly=exactly)
        finally:
            self._waited_for.discard(question)
        return tell(plan, () if tab == "part" else told_of_part(part, asked.units))

    def sheet(self, progress: Progress, tab: str, asked: Asked, settings: Mapping[str, str]) -> str:
        """The sheet of one tab for the printer, as a page of its own."""
        from moldvol.page.told import sheet

        part = self._part_for(asked)
        return sheet(self._plan(part, tab, asked, progress), part, settings)

    def plots(self, progress: Progress, tab: str, asked: Asked) -> tuple[Picture, ...]:
        """What the page shows beside the figures of one tab."""
        from moldvol.present.pictures import drawn

        plan = self._plan(self._part_for(asked), tab, asked, progress)
        return tuple(map(drawn, (*plan.plots(), *plan.curve())))

    def plots_at_once(self, progress: Progress, tab: str, asked: Asked) -> tuple[Picture, ...]:
        """Those of them that need not wait for the curve; none where there is nothing to wait for."""
        from moldvol.present.pictures import drawn

        plan = self._plan(self._part_for(asked), tab, asked, progress)
        return () if plan.knows_curve() else tuple(map(drawn, plan.plots()))

    def _plan(self, part: Part, tab: str, asked: Asked, progress: Progress, *, exactly: bool = True) -> Plan:
        from moldvol.page.tellings import PLANS
        from moldvol.page.told import Question

        if self._shelf is None:
            self._shelf = load_shelf(self.shelves)
        # The sheet, its pictures and its printed form are asked for one by one: the plan is the same.
        asked_for = (part, part.field is None, BY_KEY[tab].matter(asked), asked.bench)
        known, plan = self._planned.get(tab, (None, None))
        if plan is None or known != asked_for:
            plan = PLANS[tab](Question(part, asked, self._shelf, progress, exactly))
            if exactly:
                self._planned[tab] = (asked_for, plan)
        return plan

    def _part_for(self, asked: Asked) -> Part:
        """The part at hand. Raises `RequestError` where the knobs ask for it in another unit, size or way."""
        part = self._part()
        if part.asked.reading != asked.reading:
            raise RequestError("The part is being made anew for what was set last; wait a moment.")
        return part

    def _part(self) -> Part:
        if self.part is None:
            raise RequestError("There is no part on the bench; drop a file first.")
        return self.part

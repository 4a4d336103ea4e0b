"""The worker's side of the hand: questions come in numbered, each is answered in a thread of its own, or called off.

A sum that takes seconds is Python and libraries by turns; no sum need know that it may be called off. Its thread looks
before each step of ours whether the answer is still wanted, and if not raises `CalledOff` there. To throw something
into the thread from outside would be quicker, but it comes up anywhere: within Python's own semaphores, pools and
imports it leaves a lock taken for ever, and may even hit a thread that the sum has just begun. Looking makes sums in
numpy a few per cent slower, and drawing half as slow again.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from importlib import import_module
from multiprocessing.connection import Connection
from pathlib import Path
from types import FrameType
from typing import Any

from moldvol.errors import MoldvolError
from moldvol.page.workbench import Workbench

CALL_OFF = "call off"
SIDE_BY_SIDE = 4  # questions answered at once: a quick one need not wait for a slow one
# Libraries, and rooms of ours, that are loaded within functions.
LOADED_LATE = (
    "embreex.mesh_construction",
    "fcpw",
    "matplotlib.backends.backend_agg",
    "matplotlib.figure",
    "matplotlib.patheffects",
    "scipy.interpolate",
    "scipy.ndimage",
    "scipy.spatial",
    "scipy.sparse.linalg",
    "skimage.measure",
    "manifold3d",
    "igl",
    "moldvol.geometry.field.hidden_rooms",
    "moldvol.geometry.judging",
    "moldvol.geometry.plugging",
    "moldvol.page.part",
    "moldvol.page.tellings",
    "moldvol.present.hollowing.cut",
    "moldvol.present.hollowing.curve",
    "moldvol.present.heating.heat_pictures",
    "moldvol.present.moulds.mould_pictures",
    "moldvol.present.pictures",
    "moldvol.present.sheet",
    "moldvol.present.views",
)
BEFORE_A_STEP = ("call", "c_call")
SWITCH_S = 0.001  # threads take turns this often: a knob's figures must not wait behind a picture's


class CalledOff(BaseException):
    """Nobody wants this answer any more. No `Exception`, so that no sum takes it for a trouble of its own."""


@dataclass(slots=True, eq=False)
class Answering:
    """Questions being answered by *bench*, by number; what comes of those still ``_wanted`` goes to *say*."""

    bench: Workbench
    say: Callable[..., None]
    _wanted: set[int] = field(default_factory=set)
    _places: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(SIDE_BY_SIDE))

    def begin(self, number: int, what: str, details: tuple[Any, ...]) -> None:
        """Answer the question *number* in a thread of its own, as soon as there is a place."""
        self._wanted.add(number)
        threading.Thread(target=self._run, args=(number, what, details), daemon=True).start()

    def call_off(self, number: int) -> None:
        """Leave off the question *number*, if it is not answered yet."""
        self._wanted.discard(number)

    def _run(self, number: int, what: str, details: tuple[Any, ...]) -> None:
        with self._places:
            if number not in self._wanted:
                return
            sys.setprofile(self._look_for(number))
            try:
                answer = self._answered(number, what, details)
            except CalledOff:
                return
            finally:
                sys.setprofile(None)
        try:
            self._wanted.remove(number)
        except KeyError:  # called off at the last step, or a library has kept `CalledOff` to itself
            return
        self.say(number, *answer)

    def _look_for(self, number: int) -> Callable[[FrameType, str, object], None]:
        """What Python calls before and after each step of a thread; see `sys.setprofile`."""
        wanted = self._wanted

        def look(frame: FrameType, event: str, _: object) -> None:
            if number not in wanted and event in BEFORE_A_STEP and _is_of_a_sum(frame):
                raise CalledOff

        return look

    def _progress(self, number: int, *done: Any) -> None:
        if number in self._wanted:
            self.say(number, "progress", done)

    def _answered(self, number: int, what: str, details: tuple[Any, ...]) -> tuple[str, Any]:
        try:
            return "answer", self.bench.answer(what, details, partial(self._progress, number))
        except MoldvolError as error:
            return "error", error
        except MemoryError:
            message = "The machine's memory is not enough for this file; simplify the mesh or use a larger machine."
            return "error", MoldvolError(message, code="memory")
        except Exception as fault:  # noqa: BLE001  a fault of ours must not leave the page waiting for ever
            message = f"The bench could not work this out ({type(fault).__name__}: {fault}); try other settings."
            return "error", MoldvolError(message, code="fault")


def _is_of_a_sum(frame: FrameType) -> bool:
    """Whether a step is one of our sums: what libraries have begun they end, and the page's side tidies up."""
    name = frame.f_globals.get("__name__", "")
    return name.startswith("moldvol.") and not name.startswith("moldvol.page.")


def load_libraries() -> None:
    """Load what questions would load on the way: two that load the same library side by side can each find it half
    loaded."""
    for name in LOADED_LATE:
        with suppress(ImportError):  # a question that needs it will say so
            import_module(name)


def answer_all(connection: Connection, shelves: tuple[Path, ...] = ()) -> None:
    """Answer the questions that come by *connection* until it closes."""
    load_libraries()  # where this process was forked from one that has, there is nothing left to load
    sys.setswitchinterval(SWITCH_S)
    saying = threading.Lock()

    def say(*message: Any) -> None:
        with saying, suppress(BrokenPipeError):  # perhaps nobody listens any more
            connection.send(message)

    answering = Answering(Workbench(shelves=shelves), say)
    while True:
        try:
            number, what, details = connection.recv()
        except (EOFError, OSError):
            break
        if what == CALL_OFF:
            answering.call_off(number)
        else:
            answering.begin(number, what, details)

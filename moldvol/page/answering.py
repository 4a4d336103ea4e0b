"""The worker's side of the hand: questions come in numbered, each is answered in a thread of its own, or called off.

A sum that takes seconds is Python and libraries by turns. To call it off throws `CalledOff` into its thread, where it
comes up as soon as the library at work gives way; no sum need know of it. It may come up at any step, and within
Python's own semaphores and events it would leave a lock taken for ever: so it is thrown only between a question's
first step and its last, never while a thread waits for its place, gives it up or sends its answer. A thread is never
used for a second question, so that what arrives too late hits nobody.
"""

from __future__ import annotations

import ctypes
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from importlib import import_module
from multiprocessing.connection import Connection
from pathlib import Path
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
SWITCH_S = 0.001  # threads take turns this often: a knob's figures must not wait behind a picture's


class CalledOff(BaseException):
    """Nobody wants this answer any more. No `Exception`, so that no sum takes it for a trouble of its own."""


@dataclass(slots=True, eq=False)
class Answering:
    """Questions being answered by *bench*, by number; what comes of them goes to *say*.

    Of the questions that are ``_wanted`` those ``_at_work`` are in the thread of that identity; only into these is
    anything thrown, and only by whoever holds ``_changing``, a lock that is not written in Python.
    """

    bench: Workbench
    say: Callable[..., None]
    _wanted: set[int] = field(default_factory=set)
    _at_work: dict[int, int] = field(default_factory=dict)
    _changing: threading.Lock = field(default_factory=threading.Lock)
    _places: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(SIDE_BY_SIDE))

    def begin(self, number: int, what: str, details: tuple[Any, ...]) -> None:
        """Answer the question *number* in a thread of its own, as soon as there is a place."""
        with self._changing:
            self._wanted.add(number)
        threading.Thread(target=self._run, args=(number, what, details), daemon=True).start()

    def call_off(self, number: int) -> None:
        """Leave off the question *number*, if it is not answered yet."""
        with self._changing:
            self._wanted.discard(number)
            thread = self._at_work.pop(number, None)
            if thread is not None:
                throw_into(thread, CalledOff)

    def _run(self, number: int, what: str, details: tuple[Any, ...]) -> None:
        with self._places:
            answer = self._worked_out(number, what, details)
        if answer is not None:
            self.say(number, *answer)

    def _worked_out(self, number: int, what: str, details: tuple[Any, ...]) -> tuple[str, Any] | None:
        """What comes of the question; None if it is called off. Before and after nothing is thrown in."""
        try:
            with self._changing:
                if number not in self._wanted:
                    return None
                self._at_work[number] = threading.get_ident()
            answer = self._answered(number, what, details)
            with self._changing:
                self._wanted.discard(number)
                called_off = self._at_work.pop(number, None) is None
            if called_off:  # at the last step, or a library has kept it to itself
                take_back(threading.get_ident())
        except CalledOff:
            return None
        return None if called_off else answer

    def _progress(self, number: int, *done: Any) -> None:
        with self._changing:  # so that nothing is thrown in: half a message would be the last one understood
            if number in self._at_work:
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


def throw_into(thread: int, exception: type[BaseException]) -> None:
    """Raise *exception* in the thread of that identity, at its next step in Python.

    Method: `PyThreadState_SetAsyncExc` (Python/C API reference, "Asynchronous notifications"), which Python offers to
    no module of its own.
    """
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), ctypes.py_object(exception))


def take_back(thread: int) -> None:
    """Forget what was thrown into the thread of that identity, if it has not come up yet."""
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), None)


def load_libraries() -> None:
    """Load what questions would load on the way. Two that load the same library side by side can each find it half
    loaded, and one called off while it loads a library would leave it so for all that follow."""
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

"""The worker's side of the hand: questions come in numbered, each is answered in a thread of its own, or called off.

A sum that takes seconds is Python and libraries by turns. To call it off throws `CalledOff` into its thread, where it
comes up as soon as the library at work gives way; no sum need know of it. A thread is never used for a second question,
so that what arrives too late hits nobody.
"""

from __future__ import annotations

import ctypes
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
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
    """Questions being answered by *bench*, by number; what comes of them goes to *say*."""

    bench: Workbench
    say: Callable[..., None]
    _threads: dict[int, threading.Thread] = field(default_factory=dict)
    _changing: threading.Lock = field(default_factory=threading.Lock)
    _places: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(SIDE_BY_SIDE))

    def begin(self, number: int, what: str, details: tuple[Any, ...]) -> None:
        """Answer the question *number* in a thread of its own, as soon as there is a place."""
        thread = threading.Thread(target=self._run, args=(number, what, details), daemon=True)
        with self._changing:
            self._threads[number] = thread
        thread.start()

    def call_off(self, number: int) -> None:
        """Leave off the question *number*, if it is not answered yet."""
        with self._changing:
            thread = self._threads.pop(number, None)
            if thread is not None and thread.ident is not None:
                throw_into(thread.ident, CalledOff)

    def _run(self, number: int, what: str, details: tuple[Any, ...]) -> None:
        try:
            with self._places:
                answer = self._answered(number, what, details)
        except CalledOff:
            return
        with self._changing:
            wanted = self._threads.pop(number, None) is not None
        if wanted:  # from here on nothing is thrown in any more: half a message would be the last one understood
            self.say(number, *answer)

    def _answered(self, number: int, what: str, details: tuple[Any, ...]) -> tuple[str, Any]:
        try:
            return "answer", self.bench.answer(what, details, lambda *done: self.say(number, "progress", done))
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

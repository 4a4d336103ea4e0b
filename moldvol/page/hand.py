"""The bench's hand: a process of its own for each part, so that heavy work never holds up the page or another user.

The page asks in the event loop and awaits the answer; the worker keeps the part in memory between questions. A question
that is called off stops being worked on, and the part stays. To stop everything is to end the process: nothing it held
survives, not even in a library that would not listen. Should a broken file bring a library down, only this process goes
with it.

Libraries take seconds to load, so on Linux workers are forked from a process that has loaded them and does no work.
Other systems have no fork, or libraries that do not survive one.
"""

from __future__ import annotations

import asyncio
import itertools
import multiprocessing
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Protocol

from moldvol.errors import MoldvolError
from moldvol.page.answering import CALL_OFF, answer_all

PATIENCE_S = 2.0  # for a process told to go
FORKING = sys.platform == "linux"
PRELOADED = "moldvol.page.preloaded"

Progress = Callable[[str, float], None]


class HandGone(MoldvolError):
    """The worker ended before it answered."""

    code = "stopped"


STOPPED = "The work was stopped; drop the file again."


class Hand(Protocol):
    """Whoever works on a part."""

    async def ask(self, what: str, *details: Any, progress: Progress | None = None) -> Any:
        """The answer of the workbench's method *what*. Raises what it raises, and `HandGone` if it was stopped.

        Cancelled, it leaves off working on this one question.
        """

    def stop(self) -> None:
        """Drop everything at once."""


class ProcessHand:
    """A worker process, started when first asked."""

    def __init__(self, shelves: tuple[Path, ...] = ()) -> None:
        self._shelves = shelves
        self._process: Any = None
        self._starting: asyncio.Task[None] | None = None
        self._connection: Connection | None = None
        self._numbers = itertools.count()
        self._waiting: dict[int, tuple[asyncio.Future[Any], Progress | None]] = {}

    async def ask(self, what: str, *details: Any, progress: Progress | None = None) -> Any:
        """See `Hand.ask`."""
        number = next(self._numbers)
        answer: asyncio.Future[Any] = asyncio.get_running_loop().create_future()
        self._waiting[number] = (answer, progress)
        try:
            if self._process is None:
                await self._started()
            if self._connection is None:  # stopped while it was starting
                raise HandGone(STOPPED)
            self._connection.send((number, what, details))
            return await answer
        except asyncio.CancelledError:
            self._call_off(number)
            raise
        except OSError:
            raise HandGone(STOPPED) from None
        finally:
            self._waiting.pop(number, None)

    def _call_off(self, number: int) -> None:
        if self._connection is not None:
            with suppress(OSError):
                self._connection.send((number, CALL_OFF, ()))

    def stop(self) -> None:
        """See `Hand.stop`."""
        process, connection = self._process, self._connection
        self._process = self._connection = self._starting = None
        if process is None:
            return
        self._end_all()
        _end(process, connection)

    async def _started(self) -> None:
        """Wait for the process that is being started, in a task of its own: whoever asked may give up meanwhile."""
        if self._starting is None:
            self._starting = asyncio.create_task(self._start())
        await asyncio.shield(self._starting)

    async def _start(self) -> None:
        try:
            process, connection = await asyncio.to_thread(_new_worker, self._shelves)
        except Exception as fault:  # the next question may find room for a process, whatever was in the way
            if self._starting is asyncio.current_task():
                self._starting = None
            raise HandGone(STOPPED) from fault
        if self._starting is not asyncio.current_task():  # stopped meanwhile
            _end(process, connection)
            return
        self._process, self._connection, self._starting = process, connection, None
        listening = (connection, asyncio.get_running_loop())
        threading.Thread(target=self._listen, args=listening, daemon=True).start()

    def _listen(self, connection: Connection, loop: asyncio.AbstractEventLoop) -> None:
        """Hand on what the worker says until it says no more. Runs in a thread of its own."""
        try:
            while True:
                message = connection.recv()
                loop.call_soon_threadsafe(self._heard, *message)
        except (EOFError, OSError):
            pass
        if not loop.is_closed():
            loop.call_soon_threadsafe(self._lost, connection)

    def _heard(self, number: int, kind: str, content: Any) -> None:
        answer, progress = self._waiting.get(number, (None, None))
        if answer is None or answer.done():
            return
        if kind == "progress" and progress is not None:
            progress(*content)
        elif kind == "answer":
            answer.set_result(content)
        elif kind == "error":
            answer.set_exception(content)

    def _lost(self, connection: Connection) -> None:
        """The process ended by itself: a library crashed or the system ended it."""
        if connection is self._connection:
            self._process = self._connection = None
            self._end_all()

    def _end_all(self) -> None:
        for answer, _ in self._waiting.values():
            if not answer.done():
                answer.set_exception(
                    HandGone("The work ended before it was done; drop the file again, or simplify it first.")
                )


def prepare() -> None:
    """Have the process that workers are forked from load its libraries, without waiting for it."""
    if FORKING:
        with suppress(OSError):  # as below
            forkserver.set_forkserver_preload([PRELOADED])
            forkserver.ensure_running()


def _new_worker(shelves: tuple[Path, ...]) -> tuple[Any, Connection]:
    """A new process and the pipe to it. Waits for libraries to load, so no event loop may wait for it."""
    if FORKING:
        # The socket of the process to fork from lies in the temporary folder; under a long path it cannot be made. And
        # that process may have been ended, by a system short of memory, say.
        with suppress(OSError, EOFError):
            return _worker_by("forkserver", shelves)
    return _worker_by("spawn", shelves)


def _worker_by(method: str, shelves: tuple[Path, ...]) -> tuple[Any, Connection]:
    context: Any = multiprocessing.get_context(method)
    ours, theirs = context.Pipe()
    process = context.Process(target=work, args=(theirs, shelves), daemon=True, name="moldvol bench")
    process.start()
    theirs.close()  # so that the end of the process is the end of the pipe
    return process, ours


def _end(process: Any, connection: Connection | None) -> None:
    process.kill()
    threading.Thread(target=_bury, args=(process, connection), daemon=True).start()


def _bury(process: Any, connection: Connection | None) -> None:
    process.join(PATIENCE_S)
    if connection is not None:
        connection.close()


def work(connection: Connection, shelves: tuple[Path, ...] = ()) -> None:
    """The body of the worker process: answer questions from *connection* until it closes."""
    # Ctrl-C in the terminal goes to all processes; the page itself will close the pipe.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answer_all(connection, shelves)

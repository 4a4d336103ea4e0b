"""Many runs, two at a time: the heavy loops are in compiled code that lets other threads run."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from threading import Lock
from types import TracebackType
from typing import TypeVar

Made = TypeVar("Made")
Progress = Callable[[float], None]

CORES = 2


class Workers:
    """A context in which work is begun at once and its results are asked for later.

    *progress* is told the share of what was begun that is done, 0 to 1, from whichever thread has done it.
    """

    def __init__(self, progress: Progress | None = None) -> None:
        self._pool = ThreadPoolExecutor(max_workers=CORES)
        self._progress = progress
        self._begun = self._done = 0
        self._counting = Lock()

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        # what was begun in vain is not waited for
        self._pool.shutdown(cancel_futures=kind is not None)

    def begin(self, work: Callable[[], Made]) -> Future[Made]:
        """The promise of what *work* makes."""
        self._begun += 1
        promise = self._pool.submit(work)
        if self._progress is not None:
            promise.add_done_callback(self._tell)
        return promise

    def _tell(self, promise: Future[Made]) -> None:
        with self._counting:
            self._done += 1
            if self._progress is not None and not promise.cancelled():
                self._progress(self._done / self._begun)

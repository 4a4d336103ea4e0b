"""Many files through many workers: the answer for each as soon as it is there, whatever becomes of a worker.

What is asked of each file is the caller's business; it must be something joblib can send to another process.
"""

from __future__ import annotations

import threading
import warnings
from collections.abc import Callable, Generator, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from typing import Any

from moldvol.casting.crew import Crew, deaf_to_interrupts, lost_cluster
from moldvol.errors import MeshError, MoldvolError
from moldvol.geometry.reading.contents import shown

Work = Callable[[str], Any]


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of the file of that number: what the work made of it, or why there is nothing."""

    number: int
    made: Any
    error: MoldvolError | None = None


def answers(work: Work, files: Mapping[int, str], crew: Crew) -> Generator[Answer]:
    """An answer for each of *files* in the order in which they are finished; one bad file never stops the others.

    A file on which its worker dies is given another one to itself, and if that dies too an error of code
    ``broke-reader``. Raises `MoldvolError` where a cluster cannot do the work at all.
    """
    waiting = dict(files)
    while waiting:
        begun: set[int] = set()
        try:
            with closing(_together(work, waiting, crew, begun)) as found:
                for answer in found:
                    del waiting[answer.number]
                    yield answer
        except crew.losses:
            # Which of them it was nobody can tell, so each is tried by itself.
            for number in sorted(begun & waiting.keys()):
                yield _alone(work, number, waiting.pop(number), crew)


def _together(work: Work, files: Mapping[int, str], crew: Crew, begun: set[int]) -> Generator[Answer]:
    """The answers for *files*; those that were handed out are noted in *begun*. Raises what the crew loses."""
    from joblib import Parallel, delayed

    def calls() -> Iterator[Any]:
        for number, file in tuple(files.items()):
            begun.add(number)
            yield delayed(_answer)(work, number, file)

    parallel = Parallel(
        # joblib does a single worker's work in this process, where a crash would be the end of us: hence two, one idle.
        n_jobs=max(2, crew.workers),
        backend=crew.backend,
        return_as="generator_unordered",
        batch_size=1,
        pre_dispatch=crew.workers,
        max_nbytes=None,
        **crew.settings,
    )
    try:
        with _no_last_words(), parallel:
            with deaf_to_interrupts():
                results = parallel(calls())
            with _closing_quietly(results):
                for answer in results:  # noqa: UP028  `yield from` would close them itself, loudly
                    yield answer
    except crew.losses:
        raise
    except Exception as trouble:
        if not crew.far:
            raise
        raise lost_cluster(trouble) from trouble


@contextmanager
def _no_last_words() -> Iterator[None]:
    """A context in which loky's own thread may fall over its work being taken away (seen in joblib 1.6) unheard."""
    before = threading.excepthook

    def hook(fall: threading.ExceptHookArgs) -> None:
        if fall.thread is None or fall.thread.name != "ExecutorManagerThread":
            before(fall)

    threading.excepthook = hook
    try:
        yield
    finally:
        threading.excepthook = before


@contextmanager
def _closing_quietly(results: Any) -> Iterator[None]:
    """Closes joblib's *results* without its telling people of answers that nobody waits for any more."""
    try:
        yield
    finally:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            results.close()


def _alone(work: Work, number: int, file: str, crew: Crew) -> Answer:
    try:
        with closing(_together(work, {number: file}, crew, set())) as found:
            return next(found)
    except crew.losses:
        return Answer(number, None, _broke(file))


def _answer(work: Work, number: int, file: str) -> Answer:
    """Done by a worker: no error leaves it but as an answer."""
    try:
        return Answer(number, work(file))
    except MoldvolError as error:
        return Answer(number, None, error.about(file))
    except MemoryError:
        message = f"{shown(file)} needs more memory than there is; simplify the mesh, or ask for fewer workers."
        return Answer(number, None, MoldvolError(message, file=file, code="memory"))
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).casefold()
        message = f"The system refused something for {shown(file)} ({reason}); check the place and its rights."
        return Answer(number, None, MoldvolError(message, file=file, code="system"))
    except Exception as fault:  # noqa: BLE001  a fault of ours on one file is no reason to leave hundreds undone
        message = f"moldvol itself failed on {shown(file)} ({type(fault).__name__}: {fault}); please report it."
        return Answer(number, None, MoldvolError(" ".join(message.split()), file=file, code="fault"))


def _broke(file: str) -> MoldvolError:
    return MeshError(
        f"{shown(file)} broke the reader: each process that worked on it was ended by the system; export it "
        "again, or try it where there is more memory.",
        file=file,
        code="broke-reader",
    )

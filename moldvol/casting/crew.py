"""Who does the work of a batch: processes of this machine, as many as its memory bears, or a Dask cluster.

Both are joblib backends. joblib is imported only when a crew is called together.
"""

from __future__ import annotations

import os
import signal
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import BrokenExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from moldvol.errors import MoldvolError, RequestError

CONNECTING_S = 10.0  # a scheduler that is there answers at once
LOOKING_UP_S = 1.0  # between a worker's looks whether it is still needed
# Measured on binary STL from 1 to 260 MB: 90 MB for the process and up to 7 bytes for each byte of the file; three
# times that for a margin, and six times as much for 3MF, whose triangles are packed.
PROCESS_BYTES = 300_000_000
BYTES_PER_BYTE = 20
BYTES_PER_PACKED_BYTE = 120
UNKNOWN_MEMORY_BYTES = 4 << 30


@dataclass(frozen=True, slots=True)
class Crew:
    """*workers* at a time through the joblib *backend*; *losses* are what it raises when a worker is gone.

    *far* workers stand on other machines: they see files by absolute names on a shared disk, and nothing else of ours.
    """

    backend: Any
    workers: int
    losses: tuple[type[BaseException], ...]
    settings: Mapping[str, Any] = field(default_factory=dict)
    far: bool = False


def local_crew(workers: int) -> Crew:
    """So many processes of this machine, started afresh when one of them dies."""
    # Processes may be left from an earlier batch; joblib takes others where these arguments are not the same.
    return Crew("loky", workers, (BrokenExecutor,), {"initializer": _begin, "initargs": (os.getpid(), _standing_in())})


def affordable_workers(files: Mapping[str, int], *, cores: int | None = None, memory_bytes: int | None = None) -> int:
    """How many processes this machine bears at a time for *files*, names with their sizes in bytes; at least one.

    Method: one for each core, but no more than its free memory holds if all of them had the neediest file at once.
    """
    from joblib import cpu_count

    neediest = max((size * _bytes_per_byte(name) for name, size in files.items()), default=0)
    free = memory_bytes or free_memory_bytes()
    bearable = free // (PROCESS_BYTES + neediest)
    return max(1, min(cores or cpu_count(), bearable, len(files)))


def free_memory_bytes() -> int:
    """Memory that may still be taken without swapping, as far as this system tells; within a container its share."""
    limits = [_available_bytes(), *_container_bytes()]
    return min((limit for limit in limits if limit is not None), default=UNKNOWN_MEMORY_BYTES)


@contextmanager
def cluster_crew(address: str, workers: int | None = None) -> Iterator[Crew]:
    """The Dask cluster whose scheduler is at *address*, let go of at the end; *workers* of its tasks at a time.

    Raises `RequestError` where Dask is not installed or the scheduler does not answer, or has no workers.
    """
    try:
        dask: Any = import_module("distributed")
    except ImportError:
        raise RequestError(
            "--cluster needs Dask; install it in moldvol's folder with pip install '.[cluster]'.",
            code="not-installed",
        ) from None
    try:
        _knock(address)
        client = dask.Client(address, set_as_default=False, timeout=CONNECTING_S)
    except Exception as trouble:  # noqa: BLE001  Dask has many ways to say so, assertions among them
        raise RequestError(
            f"No Dask scheduler answers at '{address}' ({_in_short(trouble)}); give the address it shows when it "
            "starts, like tcp://10.0.0.5:8786.",
            code="cluster",
        ) from None
    with client:
        cores = sum(client.ncores().values())
        if not cores:
            raise RequestError(f"The Dask cluster at '{address}' has no workers; start some first.", code="cluster")
        yield Crew(_dask_backend(client), min(cores, workers or cores), (dask.KilledWorker,), far=True)


def _knock(address: str) -> None:
    """Raises `OSError` or `ValueError` unless something listens at *address*.

    A Dask client that fails to connect may lock up the process when it is thrown away while the next one starts, so
    none is made for an address where nobody is at home.
    """
    place = urlsplit(address if "://" in address else f"tcp://{address}")
    if not place.hostname or place.port is None:
        raise ValueError("the address names no host and port")
    socket.create_connection((place.hostname, place.port), timeout=CONNECTING_S).close()


def lost_cluster(trouble: Exception) -> MoldvolError:
    """The error for a cluster that has given up, whatever it said."""
    return MoldvolError(
        f"The cluster gave the work back ({_in_short(trouble)}); see that its workers have this version of moldvol, "
        "and go on with --resume.",
        code="cluster",
    )


def _dask_backend(client: Any) -> Any:
    from joblib._dask import DaskDistributedBackend

    class TellingBackend(DaskDistributedBackend):  # type: ignore[misc]
        """joblib's own, which (seen in joblib 1.6) waits for ever for a task whose worker was killed."""

        def effective_n_jobs(self, n_jobs: int) -> int:
            """Two at least: joblib would do a single worker's work in this process, where a crash is the end of us."""
            return max(2, int(super().effective_n_jobs(n_jobs)))

        def submit(self, func: Any, callback: Any = None) -> Any:
            """The promise of *func*; *callback* is called when it fails, too."""
            promise = super().submit(func, callback)
            promise.add_done_callback(lambda done: _tell_loss(done, callback))
            return promise

        def retrieve_result_callback(self, out: Any) -> Any:
            """The result in *out*. Raises what the cluster said of a task it has lost."""
            if isinstance(out, _Loss):
                raise out.trouble
            return super().retrieve_result_callback(out)

    return TellingBackend(client=client)


@dataclass(frozen=True, slots=True)
class _Loss:
    trouble: BaseException


def _tell_loss(done: Any, callback: Any) -> None:
    if not done.cancelled() and done.exception() is not None:
        callback(_Loss(done.exception()))


@contextmanager
def deaf_to_interrupts() -> Iterator[None]:
    """A context, of a tenth of a second at most, in which Ctrl-C is not heard, nor ever by processes started in it.

    Those would otherwise each tell at length of a Ctrl-C that comes before they have begun to work.
    """
    if threading.current_thread() is not threading.main_thread():  # others may not say
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before or signal.SIG_DFL)


def _standing_in() -> str | None:
    """The folder that relative names start from; None where it has been deleted under our feet."""
    with suppress(OSError):
        return str(Path.cwd())
    return None


def _begin(leader: int, folder: str | None) -> None:
    """In each new process: stand where the *leader* stands, leave Ctrl-C to it, and die quietly and not after it."""
    if folder is not None:
        os.chdir(folder)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ.setdefault("PYTHONFAULTHANDLER", "")  # loky looks whether it is set before it turns that page on
    threading.Thread(target=_follow, args=(leader,), daemon=True).start()


def _follow(leader: int) -> None:
    """End this process once its *leader* has been killed: loky's would wait for another five minutes."""
    while os.getppid() == leader:
        time.sleep(LOOKING_UP_S)
    os._exit(1)


def _bytes_per_byte(name: str) -> int:
    return BYTES_PER_PACKED_BYTE if name.casefold().endswith(".3mf") else BYTES_PER_BYTE


def _available_bytes() -> int | None:
    with suppress(OSError, ValueError, IndexError):
        for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines():
            if line.startswith("MemAvailable:"):
                return int(line.split()[1]) * 1024
    if hasattr(os, "sysconf"):
        with suppress(OSError, ValueError):
            return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") // 2
    return None


def _container_bytes() -> Iterator[int]:
    for limit, used in (
        ("/sys/fs/cgroup/memory.max", "/sys/fs/cgroup/memory.current"),
        ("/sys/fs/cgroup/memory/memory.limit_in_bytes", "/sys/fs/cgroup/memory/memory.usage_in_bytes"),
    ):
        with suppress(OSError, ValueError):  # "max" where there is no limit
            yield max(0, int(Path(limit).read_text(encoding="ascii")) - int(Path(used).read_text(encoding="ascii")))


def _in_short(trouble: BaseException) -> str:
    line = " ".join(str(trouble).split()) or type(trouble).__name__
    return line if len(line) <= 120 else f"{line[:120]}…"

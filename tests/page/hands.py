"""A hand that works in the test's own process, and jobs that are looked at."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from moldvol.page.job import Job
from moldvol.page.session import Session
from moldvol.page.workbench import Workbench

SAMPLES = Path(__file__).parents[2] / "sample_meshes"
PATIENCE_S = 60.0


class OwnHand:
    """Answers at once, in this process; remembers what it was asked."""

    def __init__(self) -> None:
        self.bench = Workbench()
        self.asked: list[tuple[str, tuple[Any, ...]]] = []
        self.stopped = 0

    async def ask(self, what: str, *details: Any, progress: Callable[[str, float], None] | None = None) -> Any:
        self.asked.append((what, details))
        await asyncio.sleep(0)
        return self.bench.answer(what, details, progress or (lambda stage, share: None))

    def stop(self) -> None:
        self.stopped += 1


def new_job() -> tuple[Job, OwnHand]:
    hand = OwnHand()
    return Job(Session("key"), hand), hand


def put(job: Job, content: bytes | Path) -> Path:
    """A file in the job's folder, as an upload leaves it there."""
    path = job.folder / "upload"
    if isinstance(content, Path):
        shutil.copy(content, path)
    else:
        path.write_bytes(content)
    return path


async def until(true: Callable[[], bool]) -> None:
    """Wait until something holds; fails after a minute."""
    async with asyncio.timeout(PATIENCE_S):
        while not true():
            await asyncio.sleep(0.01)

"""Coverage-guided fuzz of the mesh readers: files that reach what no file reached before are kept and damaged further.

``python -m tests.fuzz_guided --files 10000`` runs long and reports; the suite runs a few dozen. A file that hangs ends
the run with the place where it hangs.
"""

# ruff: noqa: T201  a command of its own, for developers
from __future__ import annotations

import argparse
import faulthandler
import resource
import sys
import warnings
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

import numpy as np

import moldvol.geometry.reading as readers
from tests.files import good_files
from tests.fuzz_reading import Report, damaged, try_reading

ROOM = str(Path(readers.__file__).parent)
HANG_S = 60.0
MOST_GROWTH_MB = 500.0  # of memory in use at the worst moment; files are a few kilobytes

Step = tuple[str, int, int]  # a file of the readers, and from which of its lines to which


@dataclass(slots=True)
class Reached:
    """The steps from line to line that were taken within the readers."""

    steps: set[Step] = field(default_factory=set)
    _last: dict[int, int] = field(default_factory=dict)

    def __call__(self, frame: FrameType, event: str, argument: Any) -> Reached | None:
        """What `sys.settrace` wants: no more than the readers' own frames is followed."""
        if not frame.f_code.co_filename.startswith(ROOM):
            return None
        if event == "line":
            here = id(frame)
            self.steps.add((frame.f_code.co_filename, self._last.get(here, 0), frame.f_lineno))
            self._last[here] = frame.f_lineno
        elif event == "return":
            self._last.pop(id(frame), None)
        return self


@dataclass(slots=True)
class Found:
    """What a guided run came to: ``corpus`` are the files kept, the good ones first."""

    report: Report
    corpus: list[bytes]
    steps: int
    grown_mb: float


def guided(count: int, seed: int) -> Found:
    """Read *count* damaged files, each made from one that is good or was kept."""
    corpus, report, known = list(good_files().values()), Report(), set[Step]()
    for content in corpus:
        known |= _steps_of(content, "a good file", Report())
    before = _peak_mb()
    for number in range(count):
        random = np.random.default_rng([seed, number])
        content = damaged(corpus[int(random.integers(len(corpus)))], random)
        steps = _steps_of(content, f"seed {seed}, number {number}", report)
        if not steps <= known:
            known |= steps
            corpus.append(content)
    return Found(report, corpus, len(known), _peak_mb() - before)


def _steps_of(content: bytes, label: str, report: Report) -> set[Step]:
    reached = Reached()
    outer = sys.gettrace()
    faulthandler.dump_traceback_later(HANG_S, exit=True)
    sys.settrace(reached)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            try_reading(content, label, True, report)
    finally:
        sys.settrace(outer)
        faulthandler.cancel_dump_traceback_later()
    return reached.steps


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    parser = argparse.ArgumentParser(description="Fuzz the mesh readers, guided by what each file reaches.")
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="a folder for the files that reached something new")
    arguments = parser.parse_args()
    found = guided(arguments.files, arguments.seed)
    report, kept = found.report, found.corpus[len(good_files()) :]
    print(f"{arguments.files:,} files: {report.read:,} read, {report.refused:,} refused, {len(kept):,} kept")
    print(f"{found.steps:,} steps reached; {len(report.sentences):,} different refusals")
    print(f"slowest {report.slowest_s:.2f} s; memory grew by {found.grown_mb:.0f} MB; faults: {len(report.faults)}")
    for fault in report.faults[:20]:
        print(fault)
    for number, content in enumerate(kept if arguments.keep else ()):
        (arguments.keep / f"{number:05}.bin").write_bytes(content)
    raise SystemExit(1 if report.faults or found.grown_mb > MOST_GROWTH_MB else 0)


if __name__ == "__main__":
    main()

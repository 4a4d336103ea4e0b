"""Time and memory of a piece of Python in a process of its own, so that peers do not share caches or imports."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass


@dataclass(frozen=True)
class Spent:
    """What a child process took: wall time, and the most memory it held at once."""

    seconds: float
    peak_mb: float
    output: str


@dataclass(frozen=True)
class Line:
    """One line of the benchmark table: ours beside a peer's in the same run."""

    what: str
    ours: str
    peer: str
    ratio: str


def child(code: str, *arguments: str) -> Spent:
    """Run *code* in a fresh interpreter and measure it from outside, start-up included.

    Compiled modules may be kept, as on any user's machine: ours would else be compiled in every run, the peer's never.
    """
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-c", code, *arguments], stdout=subprocess.PIPE, text=True, env=environment
    )
    output = process.stdout.read() if process.stdout else ""
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"a benchmark child ended with {process.returncode}")
    return Spent(time.perf_counter() - begun, usage.ru_maxrss / 1024, output.strip())


def fastest(runs: int, *codes: tuple[str, ...]) -> list[Spent]:
    """The fastest run of each of *codes* (code and arguments), taken in turns so that all see the same machine."""
    rounds = [[child(*code) for code in codes] for _ in range(runs)]
    return [min(some, key=lambda spent: spent.seconds) for some in zip(*rounds, strict=True)]


def compared(what: str, ours: Spent, peer: Spent, peer_name: str) -> list[Line]:
    """Two lines: time and peak memory."""
    return [
        Line(
            f"{what}: time",
            f"{ours.seconds:.2f} s",
            f"{peer.seconds:.2f} s {peer_name}",
            times(peer.seconds, ours.seconds),
        ),
        Line(f"{what}: memory", f"{ours.peak_mb:.0f} MB", f"{peer.peak_mb:.0f} MB", times(peer.peak_mb, ours.peak_mb)),
    ]


def times(peer: float, ours: float) -> str:
    return f"{peer / ours:.1f} ×"


def table(lines: list[Line]) -> str:
    """The lines as a Markdown table."""
    rows = [("what", "moldvol", "peer", "ratio"), ("---", "---:", "---:", "---:")]
    rows += [(line.what, line.ours, line.peer, line.ratio) for line in lines]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)

"""Damages good mesh files at random and reads them: only a mesh or one of our own errors may come of it.

``python -m tests.fuzz_reading --files 10000`` runs long and reports; the suite runs a few hundred. Whatever comes
up is repeated by its seed.
"""

# ruff: noqa: T201  a command of its own, for developers
from __future__ import annotations

import argparse
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from moldvol.errors import MoldvolError
from moldvol.geometry.reading import ReadingLimits, read_mesh
from tests.files import good_files

SLOW_S = 10.0  # a file of a few kilobytes that takes longer is taken for a hang
LIMITS = ReadingLimits(inflated_bytes=50_000_000)
WORDS = (b"nan", b"-1", b"1e999", b"99999999999", b"", b"0", b"-0.0", b"1,5", b"\xff", b"1e308", b"4294967295", b"{")


@dataclass(slots=True)
class Report:
    """How many files were read or refused, and what must not have happened."""

    read: int = 0
    refused: int = 0
    slowest_s: float = 0.0
    sentences: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)


def damaged(content: bytes, rng: np.random.Generator) -> bytes:
    """*content* with one to three kinds of damage."""
    for _ in range(int(rng.integers(1, 4))):
        content = _damage(bytearray(content), int(rng.integers(8)), rng)
    return content


def _damage(data: bytearray, kind: int, rng: np.random.Generator) -> bytes:
    if len(data) < 4:
        return bytes(data)
    start, stop = sorted(int(n) for n in rng.integers(0, len(data), 2))
    match kind:
        case 0 | 1:  # flip a few bytes
            for place in rng.integers(0, len(data), int(rng.integers(1, 9))):
                data[place] = int(rng.integers(256))
        case 2:  # flip single bits
            for place in rng.integers(0, len(data), int(rng.integers(1, 5))):
                data[place] ^= 1 << int(rng.integers(8))
        case 3:  # cut off
            del data[start:]
        case 4:  # take a piece out
            del data[start : min(stop, start + 64)]
        case 5:  # put a piece in twice
            data[start:start] = data[start : min(stop, start + 200)]
        case 6:  # overwrite a field with all ones or zeros
            data[start : start + 4] = bytes([255 * int(rng.integers(2))]) * 4
        case _:  # put another word in the place of one
            words = bytes(data).split(b" ")
            words[int(rng.integers(len(words)))] = WORDS[int(rng.integers(len(WORDS)))]
            return b" ".join(words)
    return bytes(data)


def cases(count: int, seed: int) -> Iterator[tuple[str, bytes]]:
    """*count* damaged files with a label that tells how to make each again."""
    goods = list(good_files().items())
    for number in range(count):
        name, content = goods[number % len(goods)]
        yield f"{name}, seed {seed}, number {number}", damaged(content, np.random.default_rng([seed, number]))


def fuzz(count: int, seed: int, folder: Path) -> Report:
    """Read *count* damaged files, each from memory and from *folder*."""
    report = Report()
    path = folder / "part.stl"
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for label, content in cases(count, seed):
            path.write_bytes(content)
            for source in (content, path):
                for allow_partial in (False, True):
                    try_reading(source, label, allow_partial, report)
    return report


def try_reading(source: bytes | Path, label: str, allow_partial: bool, report: Report) -> None:
    """Read *source*, and put down in *report* what came of it."""
    begun = time.perf_counter()
    try:
        file = read_mesh(source, name="part.stl", allow_partial=allow_partial, limits=LIMITS)
        report.read += 1
        for part in file.parts:
            if len(part.mesh.faces) and not 0 <= part.mesh.faces.min() <= part.mesh.faces.max() < len(
                part.mesh.vertices
            ):
                report.faults.append(f"{label}: a face without its vertices")
    except MoldvolError as error:
        report.refused += 1
        report.sentences["".join(c for c in str(error) if not c.isdigit())[:60]] += 1
        if "\n" in str(error) or not str(error).endswith(".") or not str(error).isprintable():
            report.faults.append(f"{label}: not one sentence: {error}")
    except Exception:  # noqa: BLE001  any other exception is what is looked for
        report.faults.append(f"{label}:\n{traceback.format_exc()}")
    took = time.perf_counter() - begun
    report.slowest_s = max(report.slowest_s, took)
    if took > SLOW_S:
        report.faults.append(f"{label}: took {took:.1f} s")


def main() -> None:
    parser = argparse.ArgumentParser(description="Damage good mesh files at random and read them.")
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        report = fuzz(arguments.files, arguments.seed, Path(folder))
    print(f"{arguments.files:,} files, each read 4 ways: {report.read:,} read, {report.refused:,} refused")
    print(
        f"{len(report.sentences):,} different refusals; slowest {report.slowest_s:.2f} s; faults: {len(report.faults)}"
    )
    for fault in report.faults[:20]:
        print(fault)
    raise SystemExit(1 if report.faults else 0)


if __name__ == "__main__":
    main()

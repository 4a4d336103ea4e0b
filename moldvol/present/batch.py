"""What a batch tells: one row for each file, the columns of a table of them, and a summary at the end.

A row begins with what another run must know to see that it need not be made again: file, size, time, job.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from moldvol.errors import MoldvolError
from moldvol.present.as_json import error_document

Status = Literal["ok", "warned", "failed"]
Step = str | int
Columns = Mapping[str, tuple[Step, ...]]  # name of a column → where in the JSON document its value stands

MOST_NAMED = 20  # reasons that the summary spells out
STAMP = ("file", "status", "size_bytes", "modified_at", "job")
LAST: Columns = {"error_code": ("error", "code"), "error_message": ("error", "message")}
MEASURE_COLUMNS: Columns = {
    "format": ("format",),
    "unit": ("unit",),
    "unit_source": ("unit_source",),
    "triangles": ("triangles",),
    "bodies": ("bodies",),
    "size_x_mm": ("size_mm", 0),
    "size_y_mm": ("size_mm", 1),
    "size_z_mm": ("size_mm", 2),
    "closed": ("closed",),
    "volume_mm3": ("volume_mm3",),
    "volume_error_mm3": ("volume_error_mm3",),
    "outer_volume_mm3": ("outer_volume_mm3",),
    "area_mm2": ("area_mm2",),
    "thin_mm": ("wall", "thin_mm"),
    "median_mm": ("wall", "median_mm"),
    "thick_mm": ("wall", "thick_mm"),
}
_CAST = ("resin", "copies", "mass_each_g", "net_mass_g", "net_mass_error_g", "allowance_g", "total_mass_g", "cost")


def cast_columns(components: Sequence[str]) -> Columns:
    """The columns of a cast that is mixed from *components*, in the order they go into the cup."""
    weighed: Columns = {f"{name}_g": ("mix", "components", number, "mass_g") for number, name in enumerate(components)}
    return {**MEASURE_COLUMNS, **{key: ("cast", key) for key in _CAST}, **weighed}


@dataclass(frozen=True, slots=True)
class Stamp:
    """What tells a row's file and its making apart from others: *job* stands for the program and all its options."""

    file: str
    size_bytes: int | None
    modified_at: str | None
    job: str

    @property
    def key(self) -> str:
        """The name as it stands in a file of rows; bytes that are no text are written with a backslash."""
        return in_letters(self.file)


def row_of(stamp: Stamp, document: Mapping[str, Any] | None, error: MoldvolError | None) -> dict[str, Any]:
    """The row of a file: the JSON document of the command, or the error in its place."""
    told = error_document(error) if error is not None else dict(document or {})
    status: Status = "failed" if error is not None else "warned" if told.get("warnings") else "ok"
    if error is not None:
        told["error"]["file"] = stamp.file
    return {
        "file": stamp.file,
        "status": status,
        "size_bytes": stamp.size_bytes,
        "modified_at": stamp.modified_at,
        "job": stamp.job,
        **{key: value for key, value in told.items() if key != "file"},
    }


@dataclass(slots=True)
class Tally:
    """How a batch has gone so far."""

    ok: int = 0
    warned: int = 0
    failed: int = 0
    kept: int = 0
    failures: list[str] = field(default_factory=list)
    codes: dict[str, int] = field(default_factory=dict)

    def count(self, row: Mapping[str, Any]) -> None:
        """Add a new *row*."""
        error = row.get("error") or {}
        self.add(row["status"], row["file"], error.get("message"))
        for code in dict.fromkeys(warning["code"] for warning in row.get("warnings") or ()):
            self.codes[code] = self.codes.get(code, 0) + 1

    def keep(self, status: str, file: str, message: str) -> None:
        """Add the row of *file* that was there already."""
        self.kept += 1
        self.add(status, file, message)

    def add(self, status: str, file: str, message: str | None = None) -> None:
        """Add a *file* that ended with *status*; *message* says why it failed."""
        if status == "failed":
            self.failed += 1
            self.failures.append(naming(file, message or "no reason given."))
        elif status == "warned":
            self.warned += 1
        else:
            self.ok += 1

    @property
    def done(self) -> int:
        """How many files have a row."""
        return self.ok + self.warned + self.failed


def summary(tally: Tally, asked: int) -> tuple[str, ...]:
    """Lines for the end of a batch over *asked* files: how many went well, and for what reasons others did not."""
    noun = "file" if asked == 1 else "files"
    parts = [f"{tally.ok:,} ok", f"{tally.warned:,} warned", f"{tally.failed:,} failed"]
    if tally.done < asked:
        parts.append(f"{asked - tally.done:,} not done")
    kept = f"; {tally.kept:,} of them were done before" if tally.kept else ""
    lines = [f"{asked:,} {noun}: {', '.join(parts)}{kept}."]
    if tally.codes:
        told = ", ".join(f"{code} ({count:,})" for code, count in sorted(tally.codes.items()))
        lines.append(f"Warned of: {told}.")
    return (*lines, *_reasons(tally.failures))


def _reasons(failures: Sequence[str]) -> Iterator[str]:
    yield from (f"Failed: {message}" for message in failures[:MOST_NAMED])
    if len(failures) > MOST_NAMED:
        yield f"… and {len(failures) - MOST_NAMED:,} more failed; their rows say why."


def naming(file: str, message: str) -> str:
    """*message* with its *file* in the sentence, for one among several."""
    from moldvol.geometry.reading.contents import shown  # here, as it loads numpy and `--help` must not

    return message if shown(file) in message else f"{shown(file)}: {message}"


def in_letters(text: str) -> str:
    """*text* without lone halves of characters, which no UTF-8 file can hold; within JSON that is their escape."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")

"""How rows are written to a file and read back: JSON lines and CSV. Floats in CSV are cut to nine digits."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from moldvol.present.as_json import dumped
from moldvol.present.batch import LAST, STAMP, Columns, Stamp, Step, in_letters

NO_ROW = "not a row of a batch"
_START = '{"schema_version": '  # of every line of JSON that we write


@dataclass(frozen=True, slots=True)
class Told:
    """A row as it stands in a file: its *text*, with its line end, and what it says of itself."""

    text: str
    stamp: Stamp
    status: str
    error_code: str | None
    error_message: str


class RowForm(Protocol):
    """A way to write rows, and to read them back."""

    @property
    def heading(self) -> str:
        """What stands before the first row."""

    def written(self, row: Mapping[str, Any]) -> str:
        """*row* as text that ends its last line."""

    def read(self, text: str) -> Iterator[Told]:
        """The rows in *text*; one that was cut off at its end is left out.

        Raises `ValueError`, `KeyError` or `RecursionError` for text that holds other things.
        """


@dataclass(frozen=True, slots=True)
class JsonLines:
    """One JSON object to a line."""

    heading: str = ""

    def written(self, row: Mapping[str, Any]) -> str:
        """See `RowForm`."""
        return in_letters(dumped(row)) + "\n"

    def read(self, text: str) -> Iterator[Told]:
        """See `RowForm`."""
        for line in _lines(text):
            if not line.endswith("\n") and (line.startswith(_START) or _START.startswith(line)):
                return
            row = json.loads(line)
            if not isinstance(row, dict):
                raise ValueError(NO_ROW)
            yield _told(row, line, *(_at(row, path) for path in LAST.values()))


@dataclass(frozen=True, slots=True)
class Csv:
    """Comma separated values as in RFC 4180, with plain line ends; a line break in a name is kept in its quotes."""

    columns: Columns
    names: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "names", (*STAMP, "warnings", *self.columns, *LAST))

    @property
    def heading(self) -> str:
        """See `RowForm`."""
        return _line(self.names)

    def written(self, row: Mapping[str, Any]) -> str:
        """See `RowForm`."""
        codes = " ".join(dict.fromkeys(warning["code"] for warning in row.get("warnings") or ()))
        stamp = [row[key] for key in STAMP]
        values = [_at(row, path) for path in (*self.columns.values(), *LAST.values())]
        return in_letters(_line([*stamp, codes, *values]))

    def read(self, text: str) -> Iterator[Told]:
        """See `RowForm`."""
        records = _records(text)
        first = next(records, "")
        if not first.endswith("\n") and self.heading.startswith(first):
            return
        if first.rstrip("\r\n") != self.heading.rstrip("\n"):
            raise ValueError(NO_ROW)
        for record in records:
            if not record.endswith("\n") or record.count('"') % 2:
                return
            row = dict(zip(self.names, _cells(record), strict=True))
            size = row["size_bytes"]
            row_of_types = {**row, "size_bytes": int(size) if size else None}
            yield _told(row_of_types, record, row["error_code"], row["error_message"])


def _told(row: Mapping[str, Any], text: str, code: Any, message: Any) -> Told:
    """Raises `KeyError` or `ValueError` for what is no row of ours."""
    file, size, modified = row["file"], row["size_bytes"], row["modified_at"] or None
    if not isinstance(file, str) or not isinstance(size, int | None) or not isinstance(modified, str | None):
        raise ValueError(NO_ROW)
    stamp = Stamp(file, size, modified, str(row["job"]))
    return Told(text, stamp, str(row["status"]), code or None, str(message or ""))


def _records(text: str) -> Iterator[str]:
    """The records of CSV *text* with their line ends: a line break within quotes is none."""
    record = ""
    for line in _lines(text):
        record += line
        if record.count('"') % 2 == 0:
            yield record
            record = ""
    if record:
        yield record


def _cells(record: str) -> list[str]:
    try:
        (cells,) = csv.reader([record])
    except csv.Error as trouble:
        raise ValueError(NO_ROW) from trouble
    return cells


def _lines(text: str) -> Iterator[str]:
    """Lines that end at a line feed only: names may hold other characters that break lines."""
    return iter(io.StringIO(text, newline="\n"))


def _line(cells: Sequence[Any]) -> str:
    # Written with the line end of RFC 4180, so that a cell with either of its characters is put in quotes.
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerow([_cell(cell) for cell in cells])
    return text.getvalue().removesuffix("\r\n") + "\n"


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | str) or value is None:
        return value
    return f"{float(value):.9g}" if math.isfinite(value) else None


def _at(row: Any, path: tuple[Step, ...]) -> Any:
    for step in path:
        try:
            row = row[step]
        except (KeyError, IndexError, TypeError):
            return None
    return row

"""The tables of an ASCII PLY file, one row to a line: coordinates, or lists of vertex numbers."""

from __future__ import annotations

from typing import BinaryIO, NamedTuple

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats
from moldvol.geometry.reading.lines import blocks
from moldvol.geometry.reading.numerals import SENTINEL, SENTINEL_VALUE, floats_in_bulk, number
from moldvol.geometry.reading.ply_header import INDEX_NAMES, Element, PlyHeader, Table
from moldvol.geometry.reading.polygons import Indices, Polygons

CHUNK_ROWS = 1 << 16


class BadRow(Exception):  # noqa: N818  becomes an UnreadableMesh where the file's name is known
    """A line that is not the row it should be."""

    def __init__(self, line: int, element: str, word: bytes | None = None) -> None:
        super().__init__(line, element, word)
        self.line, self.element, self.word = line, element, word


class _Rows(NamedTuple):
    """Rows of numbers one after the other: row i is values[begins[i]:ends[i]]."""

    values: Floats
    begins: Indices
    ends: Indices


class _Fields(NamedTuple):
    """What the rows say: ``whole`` (n,) tells which rows have as many numbers as they must."""

    points: Floats
    lists: Polygons
    whole: NDArray[np.bool_]


def ascii_tables(stream: BinaryIO, header: PlyHeader) -> dict[str, Table]:
    """Every table by its element's name, as far as there are whole rows; raises `BadRow` for a line that is none."""
    stream.seek(header.length)
    lines = _Lines(stream, header.lines + 1)
    tables: dict[str, Table] = {}
    for element in header.elements:
        tables[element.name] = _table(lines, element)
        if tables[element.name].rows < element.count:
            break
    return tables


class _Lines:
    """Lines that are not blank, given out as many at a time as are wanted and there."""

    def __init__(self, stream: BinaryIO, first_line: int) -> None:
        self.blocks = blocks(stream, first_line=first_line)
        self.ahead: list[tuple[int, bytes]] = []

    def take(self, most: int) -> list[tuple[int, bytes]]:
        """Up to *most* lines with their numbers; none at the end of the file."""
        while not self.ahead:
            block = next(self.blocks, None)
            if block is None:
                return []
            numbered = enumerate(block.text.split(b"\n"), block.first_line)
            self.ahead = [(n, line) for n, line in numbered if line and not line.isspace()]
        taken, self.ahead = self.ahead[:most], self.ahead[most:]
        return taken


def _table(source: _Lines, element: Element) -> Table:
    table = Table(element, 0 if element.properties else element.count)
    points: list[Floats] = [np.zeros((0, 3))]
    lists: list[Polygons] = []
    while table.rows < element.count and (lines := source.take(min(element.count - table.rows, CHUNK_ROWS))):
        rows = _in_bulk([line for _, line in lines]) or _word_by_word(lines, element)
        fields = _fields(rows, element)
        torn = np.flatnonzero(~fields.whole)
        if len(torn):
            if torn[0] < len(lines) - 1 or source.take(1):
                raise BadRow(lines[torn[0]][0], element.name)
            fields = _fields(_Rows(rows.values, rows.begins[:-1], rows.ends[:-1]), element)  # the file ends in this row
        points.append(fields.points)
        lists.append(fields.lists)
        table.rows += len(fields.whole)
    table.points = np.concatenate(points) if element.axes else None
    table.lists = Polygons.joined(lists)
    return table


def _in_bulk(lines: list[bytes]) -> _Rows | None:
    values = floats_in_bulk(SENTINEL.join([b"", *lines]))
    if values is None:
        return None
    marks = np.flatnonzero(values == SENTINEL_VALUE)
    if len(marks) != len(lines):
        return None
    return _Rows(values, marks + 1, np.append(marks[1:], len(values)))


def _word_by_word(lines: list[tuple[int, bytes]], element: Element) -> _Rows:
    values: list[float] = []
    begins = []
    for line, text in lines:
        begins.append(len(values))
        for word in text.split():
            value = number(word)
            if value is None:
                raise BadRow(line, element.name, word)
            values.append(value)
    return _Rows(
        np.array(values), np.array(begins, dtype=np.int64), np.array([*begins[1:], len(values)], dtype=np.int64)
    )


def _fields(rows: _Rows, element: Element) -> _Fields:
    """The wanted fields of *rows*, walking all rows abreast from property to property."""
    values = np.append(rows.values, 0.0)  # a row that is too short looks at this instead of beyond the end
    place, last = rows.begins.copy(), len(values) - 1
    whole = np.ones(len(place), dtype=bool)
    points = np.zeros((len(place), 3))
    lists = Polygons.joined([])
    for i, p in enumerate(element.properties):
        here = np.where(place < rows.ends, values[np.minimum(place, last)], np.nan)
        place = place + 1
        if p.count_type is None:
            if element.axes and i in element.axes:
                points[:, element.axes.index(i)] = here
            continue
        fits = (here >= 0) & (here <= rows.ends - place) & (here == np.floor(here))
        whole &= fits
        counts = np.where(fits, here, 0).astype(np.int64)
        if p.name in INDEX_NAMES:
            lists = _listed(values, place, counts)
        place = place + counts
    return _Fields(points, lists, whole & (place <= rows.ends))


def _listed(values: Floats, starts: Indices, counts: Indices) -> Polygons:
    first = np.cumsum(counts) - counts
    found = values[np.repeat(starts - first, counts) + np.arange(counts.sum())]
    # What is no vertex number at all becomes one that no mesh has.
    with np.errstate(invalid="ignore"):
        return Polygons(counts, np.where(np.abs(found) < 1e15, found, -(1 << 50)).astype(np.int64))

"""The tables of an ASCII PLY file, one row to a line: coordinates, or lists of vertex numbers."""

from __future__ import annotations

from typing import BinaryIO, NamedTuple

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats
from moldvol.geometry.reading.ply_header import INDEX_NAMES, Element, PlyHeader, Table
from moldvol.geometry.reading.polygons import Polygons
from moldvol.geometry.reading.rows import CHUNK_ROWS, BadRow, NumberedLines, Rows, rows_of


class _Fields(NamedTuple):
    """What some rows say: ``whole`` (n,) tells which of them have as many numbers as they must."""

    points: Floats
    lists: Polygons
    whole: NDArray[np.bool_]


def ascii_tables(stream: BinaryIO, header: PlyHeader) -> dict[str, Table]:
    """Every table by its element's name, as far as there are whole rows; raises `BadRow` for a line that is none."""
    stream.seek(header.length)
    lines = NumberedLines(stream, header.lines + 1)
    tables: dict[str, Table] = {}
    for element in header.elements:
        tables[element.name] = _table(lines, element)
        if tables[element.name].rows < element.count:
            break
    return tables


def _table(source: NumberedLines, element: Element) -> Table:
    table = Table(element, 0 if element.properties else element.count)
    points: list[Floats] = [np.zeros((0, 3))]
    lists: list[Polygons] = []
    while table.rows < element.count and (lines := source.take(min(element.count - table.rows, CHUNK_ROWS))):
        rows = rows_of(lines)
        fields = _fields(rows, element)
        torn = np.flatnonzero(~fields.whole)
        if len(torn):
            if torn[0] < len(lines) - 1 or source.take(1):
                raise BadRow(lines[torn[0]][0])
            fields = _fields(rows.first(len(lines) - 1), element)  # the file ends within this row
        points.append(fields.points)
        lists.append(fields.lists)
        table.rows += len(fields.whole)
    table.points = np.concatenate(points) if element.axes else None
    table.lists = Polygons.joined(lists)
    return table


def _fields(rows: Rows, element: Element) -> _Fields:
    """The wanted fields of *rows*, walking all rows abreast from property to property."""
    place, axes = rows.begins, element.axes or ()
    whole = np.ones(len(place), dtype=bool)
    points = np.zeros((len(place), 3))
    lists = Polygons.joined([])
    for i, p in enumerate(element.properties):
        if p.count_type is None:
            if i in axes:
                points[:, axes.index(i)] = rows.at(place)
            place = place + 1
            continue
        counts, fits = rows.counts_at(place)
        whole &= fits
        if p.name in INDEX_NAMES:
            lists = rows.lists(place + 1, counts)
        place = place + 1 + counts
    return _Fields(points, lists, whole & (place <= rows.ends))

"""The tables of a binary PLY file: of each element, the coordinates or the lists of vertex numbers.

Nothing is allocated for rows that the file has no room for.
"""

from __future__ import annotations

import struct
from typing import Any, BinaryIO, NamedTuple

import numpy as np

from moldvol.geometry.reading.ply_header import INDEX_NAMES, Element, PlyHeader, Table
from moldvol.geometry.reading.polygons import Polygons

CHUNK_ROWS = 1 << 16


def binary_tables(stream: BinaryIO, header: PlyHeader, size: int) -> dict[str, Table]:
    """Every table by its element's name, as far as *size* bytes hold them."""
    tables: dict[str, Table] = {}
    position = header.length
    for element in header.elements:
        stream.seek(position)
        read = _listed_rows if element.lists else _plain_rows
        tables[element.name], length = read(stream, element, size - position)
        position += length
        if tables[element.name].rows < element.count:
            break
    return tables


def _plain_rows(stream: BinaryIO, element: Element, room: int) -> tuple[Table, int]:
    dtype = np.dtype([(f"{i}", p.type) for i, p in enumerate(element.properties)])
    rows = min(element.count, room // dtype.itemsize) if dtype.itemsize else element.count
    axes = element.axes
    if axes is None or not rows:
        return Table(element, rows), rows * dtype.itemsize
    kind = np.float64 if any(dtype[axis].itemsize > 4 for axis in axes) else np.float32
    points = np.zeros((rows, 3), dtype=kind)
    for start in range(0, rows, CHUNK_ROWS):
        chunk = np.frombuffer(stream.read(min(CHUNK_ROWS, rows - start) * dtype.itemsize), dtype=dtype)
        for column, axis in enumerate(axes):
            points[start : start + len(chunk), column] = chunk[f"{axis}"]
    return Table(element, rows, points=points), rows * dtype.itemsize


def _listed_rows(stream: BinaryIO, element: Element, room: int) -> tuple[Table, int]:
    data = stream.read(room)
    table = _alike_rows(data, element)
    if table is None:
        return _differing_rows(data, element)
    return table


def _alike_rows(data: bytes, element: Element) -> tuple[Table, int] | None:
    """All rows at once when their lists are as long as those of the first row: most meshes are all triangles."""
    shape = _row_shape(data, 0, element)
    if shape is None or not element.count:
        return None
    fields: list[tuple[str, np.dtype] | tuple[str, np.dtype, tuple[int]]] = []
    for i, (p, length) in enumerate(zip(element.properties, shape, strict=True)):
        fields += [(f"{i}", p.type)] if p.count_type is None else [(f"{i}n", p.count_type), (f"{i}", p.type, (length,))]
    dtype = np.dtype(fields)
    if element.count * dtype.itemsize > len(data):
        return None
    rows = np.frombuffer(data, dtype=dtype, count=element.count)
    lists = [i for i, p in enumerate(element.properties) if p.count_type is not None]
    if any((rows[f"{i}n"] != shape[i]).any() for i in lists):
        return None
    table, index = Table(element, element.count), element.index_of(*INDEX_NAMES)
    if index in lists:
        counts = np.full(element.count, shape[index], dtype=np.int64)
        table.lists = Polygons(counts, rows[f"{index}"].astype(np.int64).ravel())
    return table, element.count * dtype.itemsize


def _row_shape(data: bytes, position: int, element: Element) -> list[int] | None:
    """How many numbers each property has in the row at *position*; None when it is not whole."""
    shape = []
    for p in element.properties:
        length = 1
        if p.count_type is not None:
            if position + p.count_type.itemsize > len(data):
                return None
            length = int(np.frombuffer(data, p.count_type, 1, position)[0])
            position += p.count_type.itemsize
        position += length * p.type.itemsize
        if length < 0 or position > len(data):
            return None
        shape.append(length)
    return shape


class _Step(NamedTuple):
    """The way over one list: plain bytes to pass, how its count is written, how wide one value is."""

    passed: int
    length: struct.Struct
    width: int
    wanted: bool


def _differing_rows(data: bytes, element: Element) -> tuple[Table, int]:
    """Rows one after the other: where a row begins is known only when the one before has been walked over."""
    steps, tail = _steps(element)
    starts: list[int] = []
    counts: list[int] = []
    position = rows = 0
    while rows < element.count:
        place = _walked(data, position, steps)
        if place is None or place[0] + tail > len(data):
            break
        end, start, count = place
        position = end + tail
        starts.append(start)
        counts.append(count)
        rows += 1
    table, index = Table(element, rows), element.index_of(*INDEX_NAMES)
    if index is not None and element.properties[index].count_type is not None:
        table.lists = _gathered(data, starts, counts, element.properties[index].type)
    return table, position


def _steps(element: Element) -> tuple[list[_Step], int]:
    """The lists of one row in their order, and the plain bytes after the last."""
    steps, passed, index = [], 0, element.index_of(*INDEX_NAMES)
    for i, p in enumerate(element.properties):
        if p.count_type is None:
            passed += p.type.itemsize
        else:
            steps.append(_Step(passed, struct.Struct(p.count_format), p.type.itemsize, i == index))
            passed = 0
    return steps, passed


def _walked(data: bytes, position: int, steps: list[_Step]) -> tuple[int, int, int] | None:
    """Where the last list of the row at *position* ends, and the start and count of the wanted one."""
    start = count = 0
    for step in steps:
        position += step.passed + step.length.size
        if position > len(data):
            return None
        (length,) = step.length.unpack_from(data, position - step.length.size)
        if length < 0:
            return None
        if step.wanted:
            start, count = position, length
        position += length * step.width
    return (position, start, count) if position <= len(data) else None


def _gathered(data: bytes, starts: list[int], counts: list[int], kind: np.dtype[Any]) -> Polygons:
    """The lists of *counts* values of *kind* that begin at the bytes *starts*."""
    lengths = np.array(counts, dtype=np.int64)
    first = np.cumsum(lengths) - lengths
    within = np.arange(lengths.sum()) - np.repeat(first, lengths)
    places = np.repeat(np.array(starts, dtype=np.int64), lengths) + within * kind.itemsize
    octets = np.frombuffer(data, dtype=np.uint8)[places[:, None] + np.arange(kind.itemsize)]
    return Polygons(lengths, np.ascontiguousarray(octets).view(kind).astype(np.int64).ravel())

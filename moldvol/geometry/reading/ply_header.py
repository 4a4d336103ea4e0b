"""The head of a PLY file: which elements follow, with which properties, in which encoding.

Source of the layout: Greg Turk, The PLY Polygon File Format (1994).
"""

from __future__ import annotations

import codecs
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import UnreadableMesh
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.numerals import readable
from moldvol.geometry.reading.polygons import Polygons

LONGEST_HEADER = 1 << 20
INDEX_NAMES = ("vertex_indices", "vertex_index")
_TYPES = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4",
    "float": "f4", "double": "f8", "float32": "f4", "float64": "f8", "int8": "i1", "uint8": "u1",
    "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4", "int64": "i8", "uint64": "u8",
}  # fmt: skip
_STRUCT_LETTERS = {"i1": "b", "u1": "B", "i2": "h", "u2": "H", "i4": "i", "u4": "I", "i8": "q", "u8": "Q"}
_BYTE_ORDERS: dict[str, Literal["", "<", ">"]] = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(frozen=True, slots=True)
class Property:
    """One number to a row or, with ``count_type``, a count and that many numbers."""

    name: str
    type: np.dtype[Any]
    count_type: np.dtype[Any] | None = None

    @property
    def count_format(self) -> str:
        """How the count is packed, in the words of `struct`."""
        order, kind = (self.count_type or self.type).str[0], (self.count_type or self.type).str[1:]
        return (order if order in "<>" else "<") + _STRUCT_LETTERS[kind]


@dataclass(slots=True)
class Element:
    """A table of ``count`` rows."""

    name: str
    count: int
    properties: list[Property] = field(default_factory=list)

    @property
    def least_bytes(self) -> int:
        """What one row takes at least in a binary file: its plain columns and the counts of its lists."""
        return sum((p.count_type or p.type).itemsize for p in self.properties)

    @property
    def lists(self) -> list[Property]:
        """The properties whose length differs from row to row."""
        return [p for p in self.properties if p.count_type is not None]

    def index_of(self, *names: str) -> int | None:
        """Which property goes by one of *names*."""
        return next((i for i, p in enumerate(self.properties) if p.name in names), None)

    @property
    def axes(self) -> tuple[int, int, int] | None:
        """Which properties are x, y and z."""
        x, y, z = self.index_of("x"), self.index_of("y"), self.index_of("z")
        return None if x is None or y is None or z is None else (x, y, z)


@dataclass(slots=True)
class Table:
    """``rows`` whole rows of an element, perhaps fewer than it announces: its points or its lists of vertex numbers."""

    element: Element
    rows: int
    points: NDArray[np.floating] | None = None
    lists: Polygons | None = None


@dataclass(frozen=True, slots=True)
class PlyHeader:
    """``byte_order`` is empty for ASCII; the tables begin at byte ``length``, on line ``lines + 1``."""

    byte_order: str
    elements: list[Element]
    length: int
    lines: int

    def named(self, name: str) -> Element | None:
        """The element called *name*."""
        return next((element for element in self.elements if element.name == name), None)


def read_ply_header(contents: Contents) -> PlyHeader:
    """The header of *contents*; raises `UnreadableMesh` naming the line that is wrong."""
    head = contents.head(LONGEST_HEADER)
    start = len(codecs.BOM_UTF8) if head.startswith(codecs.BOM_UTF8) else 0
    order: Literal["", "<", ">"] | None = None
    elements: list[Element] = []
    for line in range(1, 10_000):
        text, start = _line(head, start)
        if text is None:
            raise contents.refuse("has a PLY header without an end, so it was probably cut off; fetch it again.")
        match text.split():
            case ["end_header"]:
                if order is None:
                    raise contents.refuse("has a PLY header that names no format; export it again.")
                return PlyHeader(order, _with_byte_order(elements, order), start, line)
            case ["format", word, *_] if word in _BYTE_ORDERS:
                order = _BYTE_ORDERS[word]
            case ["element", name, count] if count.isascii() and count.isdigit() and len(count) < 19:
                elements.append(Element(name, int(count)))
            case ["property", "list", count_type, kind, name] if elements and _is_list(count_type, kind):
                elements[-1].properties.append(Property(name, np.dtype(_TYPES[kind]), np.dtype(_TYPES[count_type])))
            case ["property", kind, name] if elements and kind in _TYPES:
                elements[-1].properties.append(Property(name, np.dtype(_TYPES[kind])))
            case [] | ["ply" | "comment" | "obj_info", *_]:
                pass
            case _:
                raise _odd_line(contents, text, line)
    raise contents.refuse("has a PLY header of more than ten thousand lines; export it again.")


def _is_list(count_type: str, kind: str) -> bool:
    return kind in _TYPES and _TYPES.get(count_type) in _STRUCT_LETTERS


def _odd_line(contents: Contents, text: str, line: int) -> UnreadableMesh:
    quoted = readable(text.encode(), longest=40)
    return contents.refuse(
        f"has '{quoted}' on line {line} of its PLY header, which means nothing; export it again.", line=line
    )


def _line(head: bytes, start: int) -> tuple[str | None, int]:
    """The text of the line that begins at *start*, and where the next begins: after \\n, \\r\\n, or \\r alone."""
    ends = [end for end in (head.find(b"\n", start), head.find(b"\r", start)) if end >= 0]
    if not ends:
        return None, start
    end = min(ends)
    text = head[start:end].decode("latin-1")
    return text, end + (2 if head[end : end + 2] == b"\r\n" else 1)


def _with_byte_order(elements: list[Element], order: Literal["", "<", ">"]) -> list[Element]:
    if not order:
        return elements
    return [
        Element(
            element.name,
            element.count,
            [
                Property(p.name, p.type.newbyteorder(order), p.count_type and p.count_type.newbyteorder(order))
                for p in element.properties
            ],
        )
        for element in elements
    ]

"""OFF in its text forms: plain, and with the prefixes for colours (C), normals (N) and texture coordinates (ST).

Source of the layout: Geomview's object file format manual, section OFF. In a vertex row the point comes first.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np

from moldvol.geometry.mesh import Floats
from moldvol.geometry.reading.compact import compact
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.mesh_file import Found, MeshPart
from moldvol.geometry.reading.polygons import Polygons, bent_faces_sentence, cut_into_triangles
from moldvol.geometry.reading.rows import CHUNK_ROWS, BadRow, NumberedLines, check_vertex_numbers, rows_of

_HEADER = re.compile(
    rb"(?:\xef\xbb\xbf)?(?:\s|#[^\n\r]*[\n\r])*(?P<prefix>(?:ST)?C?N?(?P<space>4?n?))OFF\b[ \t]*(?P<binary>BINARY)?"
)
_LEAST_BYTES = {"vertices": 6, "faces": 4}  # '0 0 0' and '1 0', with their ends of line


class _Announced(NamedTuple):
    vertices: int
    faces: int


def read_off(contents: Contents, *, allow_partial: bool) -> Found:
    """The faces of an OFF file as one part.

    Raises `UnreadableMesh`, naming the line, for rows that are wrong, and for rows that are announced but not there
    unless *allow_partial*.
    """
    with contents.open() as stream:
        lines = NumberedLines(stream, _skip_header(contents), comment=b"#")
        stream.seek(_header_length(contents))
        try:
            announced = _announced(contents, lines)
            vertices = _vertices(lines, announced.vertices)
            polygons = _faces(lines, announced.faces)
        except BadRow as bad:
            raise bad.told(contents) from None
    found = Found([])
    _check_all_there(contents, announced, _Announced(len(vertices), len(polygons.counts)), found, allow_partial)
    check_vertex_numbers(contents, polygons, len(vertices))
    cut = cut_into_triangles(polygons, vertices)
    found.parts.append(MeshPart("", compact(vertices, cut.faces)))
    if cut.bent:
        found.note("bent-faces", bent_faces_sentence(contents.name, cut.bent))
    return found


def _header(contents: Contents) -> re.Match[bytes]:
    match = _HEADER.match(contents.head(1 << 16))
    if match is None:
        raise contents.refuse("does not begin with the word OFF; export it again.")
    return match


def _header_length(contents: Contents) -> int:
    return _header(contents).end()


def _skip_header(contents: Contents) -> int:
    """The line that the word OFF stands on, where that is a form known here."""
    match = _header(contents)
    if match["space"]:
        raise contents.refuse("is an OFF file with points in other than three dimensions; export it in three.")
    if match["binary"]:
        raise contents.refuse("is a binary OFF file, which is not read here; save it as text, or as STL.")
    before = match[0].replace(b"\r\n", b"\n")
    return 1 + before.count(b"\n") + before.count(b"\r")


def _announced(contents: Contents, lines: NumberedLines) -> _Announced:
    line = lines.take(1)
    if not line:
        raise contents.refuse("ends after the word OFF; save or download it again.")
    rows = rows_of(line)
    numbers = rows.values[rows.begins[0] : rows.ends[0]]
    if len(numbers) not in (2, 3) or not all(0 <= n < 1 << 31 and n == int(n) for n in numbers):
        raise contents.refuse(
            f"has no counts of vertices, faces and edges on line {line[0][0]}; export it again.", line=line[0][0]
        )
    announced = _Announced(int(numbers[0]), int(numbers[1]))
    if not announced.faces:
        raise contents.refuse(
            f"holds {announced.vertices:,} points without a surface between them; rebuild the surface in your scanner "
            "program, then export it as a mesh."
        )
    for what, count in announced._asdict().items():
        if count * _LEAST_BYTES[what] > contents.size + 8:
            raise contents.refuse(
                f"announces {count:,} {what} but has room for {contents.size // _LEAST_BYTES[what]:,} at most, so it "
                "was probably cut off while being saved or copied; fetch it again."
            )
    return announced


def _vertices(lines: NumberedLines, count: int) -> Floats:
    pieces: list[Floats] = [np.zeros((0, 3))]
    read = 0
    while read < count and (taken := lines.take(min(count - read, CHUNK_ROWS))):
        rows = rows_of(taken)
        short = np.flatnonzero(rows.ends - rows.begins < 3)
        if len(short):
            raise BadRow(taken[short[0]][0])
        pieces.append(np.stack([rows.at(rows.begins + axis) for axis in range(3)], axis=1))
        read += len(taken)
    return np.concatenate(pieces)


def _faces(lines: NumberedLines, count: int) -> Polygons:
    pieces: list[Polygons] = []
    read = 0
    while read < count and (taken := lines.take(min(count - read, CHUNK_ROWS))):
        rows = rows_of(taken)
        counts, fits = rows.counts_at(rows.begins)
        torn = np.flatnonzero(~fits)
        if len(torn):
            if torn[0] < len(taken) - 1 or lines.take(1):
                raise BadRow(taken[torn[0]][0])
            rows, counts = rows.first(len(taken) - 1), counts[:-1]  # the file ends within this row
        pieces.append(rows.lists(rows.begins + 1, counts))
        read += len(counts)
        if len(torn):
            break
    return Polygons.joined(pieces)


def _check_all_there(
    contents: Contents, announced: _Announced, present: _Announced, found: Found, allow_partial: bool
) -> None:
    for what in ("vertices", "faces"):
        wanted, there = getattr(announced, what), getattr(present, what)
        if there == wanted:
            continue
        if not allow_partial or what == "vertices" or not there:
            raise contents.refuse(
                f"announces {wanted:,} {what} but holds {there:,}, so it was probably cut off while being saved or "
                "copied; fetch it again.",
                announced=wanted,
                present=there,
            )
        found.note("partial", f"{contents.name} is incomplete: {there:,} of {wanted:,} {what} were read.")

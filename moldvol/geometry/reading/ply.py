"""PLY: vertices and faces of any corner count, or triangle strips; colours, normals and all else are passed over."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import UnreadableMesh
from moldvol.geometry.reading.compact import compact
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.mesh_file import Found, MeshPart
from moldvol.geometry.reading.ply_ascii import ascii_tables
from moldvol.geometry.reading.ply_binary import binary_tables
from moldvol.geometry.reading.ply_header import INDEX_NAMES, Element, PlyHeader, Table, read_ply_header
from moldvol.geometry.reading.polygons import Polygons, bent_faces_sentence, cut_into_triangles
from moldvol.geometry.reading.rows import BadRow, check_vertex_numbers

FACE_ELEMENTS = ("face", "tristrips")


def read_ply(contents: Contents, *, allow_partial: bool) -> Found:
    """The faces of a PLY file as one part.

    Raises `UnreadableMesh` for points without faces, for vertex numbers beyond the vertices, and for rows that are
    announced but not there unless *allow_partial*.
    """
    header = read_ply_header(contents)
    _refuse_what_holds_no_surface(contents, header)
    _refuse_impossible_counts(contents, header)
    tables = _tables(contents, header)
    found = Found([])
    _check_all_there(contents, header, tables, found, allow_partial)
    vertices = tables["vertex"].points
    polygons = Polygons.joined([_polygons(table) for name, table in tables.items() if name in FACE_ELEMENTS])
    check_vertex_numbers(contents, polygons, tables["vertex"].rows)
    if vertices is None or not (polygons.counts >= 3).any():
        raise contents.refuse("is a PLY file without a single face; export the model again.")
    cut = cut_into_triangles(polygons, vertices)
    found.parts.append(MeshPart("", compact(vertices, cut.faces)))
    if cut.bent:
        found.note("bent-faces", bent_faces_sentence(contents.name, cut.bent))
    return found


def _refuse_what_holds_no_surface(contents: Contents, header: PlyHeader) -> None:
    vertex = header.named("vertex")
    if vertex is None or vertex.axes is None:
        raise contents.refuse("is a PLY file without points x, y, z; export a mesh.")
    surfaces = [e for e in header.elements if e.name in FACE_ELEMENTS and _vertex_numbers(e)]
    if not any(element.count for element in surfaces):
        raise contents.refuse(
            f"holds {vertex.count:,} points without a surface between them; rebuild the surface in your scanner "
            "program, then export it as a mesh."
        )


def _vertex_numbers(element: Element) -> bool:
    index = element.index_of(*INDEX_NAMES)
    return index is not None and element.properties[index].count_type is not None


def _refuse_impossible_counts(contents: Contents, header: PlyHeader) -> None:
    """Counts that not even the tersest rows would fit into the file are known to be wrong before reading."""
    # Each number of a text takes two bytes with its blank; a binary row its columns and the counts of its lists.
    room = contents.size - header.length
    for element in header.elements:
        least = 2 * len(element.properties) - 1 if not header.byte_order else element.least_bytes
        if element.count * max(least, 0) > room and element.count > room:
            raise _cut_off(contents, element, room // max(least, 1), "at most ")


def _tables(contents: Contents, header: PlyHeader) -> dict[str, Table]:
    with contents.open() as stream:
        if header.byte_order:
            return binary_tables(stream, header, contents.size)
        try:
            return ascii_tables(stream, header)
        except BadRow as bad:
            raise bad.told(contents) from None


def _check_all_there(
    contents: Contents, header: PlyHeader, tables: dict[str, Table], found: Found, allow_partial: bool
) -> None:
    """All announced vertices and faces must be there; where partial files are allowed, faces may end early."""
    for element in header.elements:
        if element.name != "vertex" and element.name not in FACE_ELEMENTS:
            continue
        present = tables[element.name].rows if element.name in tables else 0
        if present == element.count:
            continue
        if not allow_partial or element.name == "vertex" or not present:
            raise _cut_off(contents, element, present)
        found.note(
            "partial", f"{contents.name} is incomplete: {present:,} of {element.count:,} {_plural(element)} were read."
        )


def _cut_off(contents: Contents, element: Element, present: int, bound: str = "") -> UnreadableMesh:
    return contents.refuse(
        f"announces {element.count:,} {_plural(element)} but holds {bound}{present:,}, so it was probably cut off "
        "while being saved or copied; fetch it again.",
        announced=element.count,
        present=present,
    )


def _plural(element: Element) -> str:
    return {"vertex": "vertices", "face": "faces", "tristrips": "triangle strips"}.get(element.name, element.name)


def _polygons(table: Table) -> Polygons:
    if table.lists is None:
        return Polygons.joined([])
    return _strips_as_triangles(table.lists) if table.element.name == "tristrips" else table.lists


def _strips_as_triangles(strips: Polygons) -> Polygons:
    """The triangles of strips, which -1 may part within a row; every second one is turned to face the same way."""
    ends_of_rows = np.cumsum(strips.counts)
    row = np.searchsorted(ends_of_rows, np.arange(len(strips.corners)), side="right")
    a, b, c = strips.corners[:-2], strips.corners[1:-1], strips.corners[2:]
    inside = (a != -1) & (b != -1) & (c != -1) & (row[:-2] == row[2:])
    breaks = (strips.corners == -1) | (np.diff(row, prepend=-1) != 0)
    begun = np.maximum.accumulate(np.where(breaks, np.arange(len(breaks)) + (strips.corners == -1), 0))
    odd = ((np.arange(len(a)) - begun[:-2]) % 2).astype(bool) if len(a) else np.zeros(0, dtype=bool)
    triangles = np.stack([np.where(odd, b, a), np.where(odd, a, b), c], axis=1)[inside]
    return _triangles(triangles)


def _triangles(faces: NDArray[np.int64]) -> Polygons:
    return Polygons(np.full(len(faces), 3, dtype=np.int64), faces.ravel())

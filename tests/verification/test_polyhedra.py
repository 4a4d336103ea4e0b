"""An open data set of named polyhedra with printed volumes, read as mesh files.

The corners come with the PyPI package coxeter (BSD licence), which collects the solids of several published studies;
they are brought to an edge of 20 mm, turned at random and written as binary STL, in single precision like any scan. The
volume of each for an edge of 1, or for its shortest edge, stands in tables of polyhedra as a closed form. No error is
shown: a crystal with many flat angles is taken for a coarse mesh of something round, with a warning and a wide bar.
"""

from __future__ import annotations

from functools import cache
from math import pi, sqrt, tan

import numpy as np
import trimesh

from moldvol.geometry.judging import read_solid
from moldvol.geometry.solid import Solid
from tests.shapes import from_trimesh, turned
from tests.verification.checks import Check, Grade, Group, rel
from tests.verification.held import each_holds

EDGE_MM = 20
SINGLE_PRECISION = rel(1e-6)
PHI = (1 + sqrt(5)) / 2
TRIBONACCI = (1 + (19 + 3 * sqrt(33)) ** (1 / 3) + (19 - 3 * sqrt(33)) ** (1 / 3)) / 3
TABLES = "closed form in open tables of polyhedra"
BERMAN = "M. Berman, Regular-faced convex polyhedra, J. Franklin Inst. 291 (1971) 329"


@cache
def read_from_file(family: str, name: str) -> Solid:
    import coxeter.families

    shape = getattr(coxeter.families, f"{family}Family").get_shape(name)
    start, end = shape.vertices[shape.edges.T]
    shortest = np.linalg.norm(end - start, axis=1).min()
    hull = from_trimesh(trimesh.Trimesh(shape.vertices).convex_hull)
    mesh = turned(hull.scaled(EDGE_MM / shortest))
    stl = trimesh.Trimesh(mesh.vertices, mesh.faces).export(file_type="stl")
    return read_solid(stl, name=f"{name}.stl")


def volume(
    family: str, name: str, of_unit_edge: float, source: str = TABLES, grade: Grade = Grade.MATHEMATICS
) -> Check:
    return Check(
        name=f"{name.lower()}: volume",
        source=source,
        grade=grade,
        expected=of_unit_edge * EDGE_MM**3,
        unit="mm³",
        got=lambda: read_from_file(family, name).volume_mm3,
        allowed=SINGLE_PRECISION,
    )


def archimedean(name: str, of_unit_edge: float, faces: dict[int, int]) -> tuple[Check, Check]:
    """*faces*: how many regular polygons there are of each number of sides."""
    area = sum(count * sides / (4 * tan(pi / sides)) for sides, count in faces.items())
    return volume("Archimedean", name, of_unit_edge), Check(
        name=f"{name.lower()}: area",
        source="sum of its regular faces",
        grade=Grade.MATHEMATICS,
        expected=area * EDGE_MM**2,
        unit="mm²",
        got=lambda: read_from_file("Archimedean", name).area_mm2,
        allowed=SINGLE_PRECISION,
    )


def catalan(name: str, of_shortest_edge: float) -> Check:
    return volume("Catalan", name, of_shortest_edge)


def johnson(name: str, of_unit_edge: float) -> Check:
    return volume("Johnson", name, of_unit_edge, BERMAN, Grade.MEMORY)


GROUP = Group(
    "Named polyhedra",
    __doc__,
    (
        *archimedean("Truncated Tetrahedron", 23 * sqrt(2) / 12, {3: 4, 6: 4}),
        *archimedean("Cuboctahedron", 5 * sqrt(2) / 3, {3: 8, 4: 6}),
        *archimedean("Truncated Cube", 7 + 14 * sqrt(2) / 3, {3: 8, 8: 6}),
        *archimedean("Truncated Octahedron", 8 * sqrt(2), {4: 6, 6: 8}),
        *archimedean("Rhombicuboctahedron", 4 + 10 * sqrt(2) / 3, {3: 8, 4: 18}),
        *archimedean("Truncated Cuboctahedron", 22 + 14 * sqrt(2), {4: 12, 6: 8, 8: 6}),
        *archimedean(
            "Snub Cuboctahedron",
            sqrt((613 * TRIBONACCI + 203) / (9 * (35 * TRIBONACCI - 62))),
            {3: 32, 4: 6},
        ),
        *archimedean("Icosidodecahedron", (14 + 17 * PHI) / 3, {3: 20, 5: 12}),
        *archimedean("Truncated Dodecahedron", 5 * (99 + 47 * sqrt(5)) / 12, {3: 20, 10: 12}),
        *archimedean("Truncated Icosahedron", (125 + 43 * sqrt(5)) / 4, {5: 12, 6: 20}),
        *archimedean("Rhombicosidodecahedron", (31 + 58 * PHI) / 3, {3: 20, 4: 30, 5: 12}),
        *archimedean("Truncated Icosidodecahedron", 95 + 50 * sqrt(5), {4: 30, 6: 20, 10: 12}),
        *archimedean("Snub Icosidodecahedron", 37.61664996273336, {3: 80, 5: 12}),
        catalan("Triakis Tetrahedron", 25 * sqrt(2) / 36),
        catalan("Rhombic Dodecahedron", 16 * sqrt(3) / 9),
        catalan("Triakis Octahedron", 3 / 2 + sqrt(2)),
        catalan("Tetrakis Hexahedron", 32 / 9),
        catalan("Deltoidal Icositetrahedron", (14 + 21 * sqrt(2)) / sqrt(10 - sqrt(2))),
        catalan("Disdyakis Dodecahedron", sqrt(6582 + 4539 * sqrt(2)) / 7),
        catalan("Pentagonal Icositetrahedron", 35.6302020120713),
        catalan("Rhombic Triacontahedron", 4 * sqrt(5 + 2 * sqrt(5))),
        catalan("Triakis Icosahedron", (13 * PHI + 3) / 2),
        catalan("Pentakis Dodecahedron", (125 * sqrt(5) + 205) / 36),
        catalan("Deltoidal Hexecontahedron", sqrt(29530 + 13204 * sqrt(5)) / 3),
        catalan("Disdyakis Triacontahedron", sqrt(17718 / 5 + 39612 / 5 / sqrt(5))),
        catalan("Pentagonal Hexecontahedron", 189.789852066885),
        johnson("Square Pyramid", sqrt(2) / 6),
        johnson("Pentagonal Pyramid", (5 + sqrt(5)) / 24),
        johnson("Triangular Cupola", 5 * sqrt(2) / 6),
        johnson("Square Cupola", 1 + 2 * sqrt(2) / 3),
        johnson("Pentagonal Cupola", (5 + 4 * sqrt(5)) / 6),
        johnson("Pentagonal Rotunda", (45 + 17 * sqrt(5)) / 12),
        johnson("Gyrobifastigium", sqrt(3) / 2),
        johnson("Tridiminished Icosahedron", (15 + 7 * sqrt(5)) / 24),
        johnson("Bilunabirotunda", (17 + 9 * sqrt(5)) / 12),
        johnson("Triangular Hebesphenorotunda", (15 + 7 * sqrt(5)) / 6),
    ),
)
test_polyhedra = each_holds(GROUP)

"""Volumes and areas of bodies with a formula, and of meshes that others have published.

Handbook: D. Zwillinger (ed.), CRC Standard Mathematical Tables and Formulae, 31st edition 2003, chapter "Geometry":
mensuration of solids, and the table of the five regular polyhedra. The meshes of round bodies are inscribed, so they
must lie below the formula; how much their facets leave out is estimated edge by edge, and that estimate is held
against the truth as well. The libraries get the same triangles, or read the same file.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache, partial
from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest
import pyvista
import trimesh

from moldvol.geometry.judging import read_solid
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.solid import Solid, SolidRequest
from moldvol.geometry.triangles import measures, signed_volumes
from tests.geometry.test_solid import solid
from tests.libraries import (
    Measured,
    by_manifold,
    by_trimesh,
    by_vtk,
    closed_by_meshfix,
    from_vtk,
    of_manifold,
    read_by_trimesh,
    read_by_vtk,
    united,
)
from tests.registry import NO_NPM, has_npm, needs_npm, published_mesh
from tests.shapes import ball, box, cone, cylinder, from_trimesh, lathe, moved, together, torus, turned
from tests.verification.checks import Check, Grade, Group, Need, Stated, rel, within
from tests.verification.held import each_holds

SECTIONS = 256
INSCRIBED = rel(below=1.5e-3)  # 256 facets around and 128 or fewer along a section
# Never understated by more than 15 %; facets that narrow to a point, as a cone's do, have a third of what edges tell.
SHORTFALL = rel(below=0.15, above=2.2)
ROUNDING = rel(1e-9)
SAME_TRIANGLES = rel(1e-5)  # VTK keeps points in single precision where a file had them so
HANDBOOK = "CRC Standard Mathematical Tables"


def arc(centre_z: float, radius: float, start: float, end: float, steps: int = 128) -> list[tuple[float, float]]:
    """Points of a meridian from polar angle *start* to *end*, measured from the lower pole."""
    angle = np.linspace(start, end, steps)
    return [(radius * np.sin(a), centre_z - radius * np.cos(a)) for a in angle]


def spherical_cap(radius: float, height: float) -> Mesh:
    top = radius - height
    half = np.arccos(top / radius)
    return lathe([(0, top), *((r, z) for r, z in arc(0, radius, pi - half, pi))], SECTIONS)


def spherical_zone(radius: float, low: float, high: float) -> Mesh:
    start, end = np.arccos(-low / radius), np.arccos(-high / radius)
    return lathe([(0, low), *arc(0, radius, start, end), (0, high)], SECTIONS)


def zone_volume(low: float, high: float, radius: float) -> float:
    """πh (3a² + 3b² + h²) / 6, a and b being the radii of the two ends."""
    a2, b2, h = radius**2 - low**2, radius**2 - high**2, high - low
    return pi * h * (3 * a2 + 3 * b2 + h**2) / 6


def round_body(
    name: str, make: Callable[[], Mesh], volume_mm3: float, area_mm2: float | None = None, source: str = HANDBOOK
) -> list[Check]:
    exact = partial(Check, grade=Grade.MATHEMATICS, source=source)
    found = cache(lambda: solid(turned(make())))
    checks = [
        exact(
            name=f"{name}: volume",
            expected=volume_mm3,
            unit="mm³",
            got=lambda: found().volume_mm3,
            allowed=INSCRIBED,
        ),
        exact(
            name=f"{name}: what its facets leave out",
            expected=lambda: volume_mm3 - found().volume_mm3,
            unit="mm³",
            got=lambda: found().facet_shortfall_mm3,
            allowed=SHORTFALL,
        ),
    ]
    if area_mm2 is not None:
        area = exact(
            name=f"{name}: area", expected=area_mm2, unit="mm²", got=lambda: found().area_mm2, allowed=INSCRIBED
        )
        checks.insert(1, area)
    return checks


PHI = (1 + sqrt(5)) / 2
SIGNS = [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
OCTAHEDRON = [(s * (k == 0), s * (k == 1), s * (k == 2)) for k in range(3) for s in (-1, 1)]
DODECAHEDRON = [*SIGNS, *(np.roll((0, s / PHI, t * PHI), k) for k in range(3) for s in (-1, 1) for t in (-1, 1))]
ICOSAHEDRON = [np.roll((0, s, t * PHI), k) for k in range(3) for s in (-1, 1) for t in (-1, 1)]
EDGE_MM = 20


def regular(name: str, corners: Sequence[Sequence[float]], edge: float, volume: float, area: float) -> list[Check]:
    """*edge*: length of an edge between *corners*; *volume* and *area* for an edge of 1."""
    exact = partial(Check, grade=Grade.MATHEMATICS, source=f"{HANDBOOK}, the regular polyhedra", allowed=ROUNDING)

    @cache
    def found() -> Solid:
        hull = trimesh.Trimesh(np.array(corners, dtype=float)).convex_hull
        return solid(turned(from_trimesh(hull).scaled(EDGE_MM / edge)))

    return [
        exact(
            name=f"{name} of edge {EDGE_MM} mm: volume",
            expected=volume * EDGE_MM**3,
            unit="mm³",
            got=lambda: stated(found()),
            most_error=1e-5,
        ),
        exact(
            name=f"{name} of edge {EDGE_MM} mm: area",
            expected=area * EDGE_MM**2,
            unit="mm²",
            got=lambda: found().area_mm2,
        ),
    ]


def stated(found: Solid) -> Stated:
    return Stated.of((found.volume_mm3, found.volume_error_mm3))


def three_libraries(name: str, make: Callable[[], Mesh]) -> list[Check]:
    """The same triangles by ours and by the others."""
    mesh = cache(make)

    def judged() -> list[Measured]:
        return [judge(mesh()) for judge in (by_trimesh, by_vtk, by_manifold)]

    by_others = partial(
        Check, grade=Grade.PROGRAM, source="trimesh, VTK and manifold3d, same triangles", allowed=SAME_TRIANGLES
    )
    return [
        by_others(
            name=f"{name}: volume",
            expected=lambda: [judge.volume for judge in judged()],
            unit="mm³",
            got=lambda: solid(mesh()).volume_mm3,
        ),
        by_others(
            name=f"{name}: area",
            expected=lambda: [judge.area for judge in judged()],
            unit="mm²",
            got=lambda: solid(mesh()).area_mm2,
        ),
    ]


def example(name: str) -> Path:
    return Path(pyvista.examples.antfile).with_name(name)


@cache
def read_example(name: str) -> Solid:
    return read_solid(example(name))


def bodies(mesh: Mesh) -> list[Mesh]:
    return [from_trimesh(body) for body in trimesh.Trimesh(mesh.vertices, mesh.faces).split(only_watertight=False)]


NPM = Need(NO_NPM, has_npm)
BUNNY, GEAR = "objects/bunny.bin.stl", "objects/gearwheel.bin.stl"


@cache
def bunny() -> Solid:
    return read_solid(published_mesh(BUNNY), SolidRequest(unit="m"))


def bunny_mesh() -> Mesh:
    """In mm; the file is in metres."""
    return read_by_trimesh(published_mesh(BUNNY)).scaled(1000)


of_pyvista = partial(Check, grade=Grade.PROGRAM, unit="mm³", allowed=SAME_TRIANGLES)
of_npm = partial(Check, unit="mm³", needs=NPM)

GROUP = Group(
    "Solids",
    __doc__,
    (
        *round_body(
            "torus 30/10",
            lambda: torus(30, 10, SECTIONS).mesh,
            2 * pi**2 * 30 * 100,
            4 * pi**2 * 300,
            source="the theorems of Pappus",
        ),
        *round_body(
            "frustum of a cone",
            lambda: lathe([(0, 0), (20, 0), (12, 15), (0, 15)], SECTIONS),
            pi * 15 / 3 * (20**2 + 20 * 12 + 12**2),
            pi * (20 + 12) * sqrt(15**2 + 8**2) + pi * (400 + 144),
        ),
        *round_body(
            "spherical cap",
            lambda: spherical_cap(20, 7),
            pi * 49 * (60 - 7) / 3,
            2 * pi * 20 * 7 + pi * 7 * (40 - 7),
        ),
        *round_body(
            "spherical zone",
            lambda: spherical_zone(20, -8, 12),
            zone_volume(-8, 12, 20),
            2 * pi * 20 * 20 + pi * (400 - 64) + pi * (400 - 144),
        ),
        *round_body("ball", lambda: ball(20, 5).mesh, 4 / 3 * pi * 8000, 4 * pi * 400),
        *round_body("cylinder", lambda: cylinder(10, 30, SECTIONS).mesh, pi * 3000, 2 * pi * 10 * 40),
        *round_body(
            "cone",
            lambda: cone(15, 40, SECTIONS).mesh,
            pi * 225 * 40 / 3,
            pi * 15 * (15 + sqrt(225 + 1600)),
        ),
        *round_body(
            "paraboloid, half of the cylinder around it",
            lambda: lathe([(0, 0), *((10 * sqrt(z / 30), z) for z in np.linspace(0.05, 30, 200)), (0, 30)], SECTIONS),
            pi * 100 * 30 / 2,
        ),
        *regular(
            "tetrahedron",
            [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)],
            2 * sqrt(2),
            sqrt(2) / 12,
            sqrt(3),
        ),
        *regular("cube", SIGNS, 2, 1, 6),
        *regular("octahedron", OCTAHEDRON, sqrt(2), sqrt(2) / 3, 2 * sqrt(3)),
        *regular("dodecahedron", DODECAHEDRON, 2 / PHI, (15 + 7 * sqrt(5)) / 4, 3 * sqrt(25 + 10 * sqrt(5))),
        *regular("icosahedron", ICOSAHEDRON, 2, 5 * (3 + sqrt(5)) / 12, 5 * sqrt(3)),
        *three_libraries("ball of 5,120 facets", lambda: ball(20, 4).mesh),
        *three_libraries("torus", lambda: torus().mesh),
        *three_libraries("two balls", lambda: together(ball(9, 3).mesh, moved(ball(7, 3).mesh, (30, 0, 0)))),
        *three_libraries("block with a room in it", lambda: together(box(40, 30, 20).mesh, ball(7, 3).mesh.flipped())),
        of_pyvista(
            name="machine nut, nut.ply of pyvista",
            source="trimesh and VTK, each with its own reader, and manifold3d",
            expected=lambda: [
                by_trimesh(read_by_trimesh(example("nut.ply"))).volume,
                read_by_vtk(example("nut.ply")).volume,
                by_manifold(read_by_trimesh(example("nut.ply"))).volume,
            ],
            got=lambda: stated(read_example("nut.ply")),
        ),
        of_pyvista(
            name="ant of fifteen bodies that overlap, ant.ply of pyvista: as one",
            source="manifold3d's union of the bodies",
            expected=lambda: of_manifold(united(bodies(read_by_trimesh(example("ant.ply"))))).volume,
            got=lambda: read_example("ant.ply").volume_mm3,
        ),
        of_pyvista(
            name="the ant: plain sum of its bodies, overlaps counted twice",
            source="trimesh and VTK",
            expected=lambda: [
                by_trimesh(read_by_trimesh(example("ant.ply"))).volume,
                read_by_vtk(example("ant.ply")).volume,
            ],
            got=lambda: measures(from_vtk(read_by_vtk(example("ant.ply")))).signed_volume_mm3,
        ),
        of_pyvista(
            name="aeroplane with 223 open edges, airplane.ply of pyvista",
            source="VTK on the open mesh; trimesh gives 3 % more, and both other figures where it stands elsewhere",
            expected=lambda: read_by_vtk(example("airplane.ply")).volume,
            got=lambda: stated(read_example("airplane.ply")),
            allowed=rel(0.1),
            most_error=0.1,
        ),
        of_npm(
            name="scan of a bunny with five open rims, stl-models of npm: closed",
            source="closed by pymeshfix; then trimesh, VTK and manifold3d",
            grade=Grade.PROGRAM,
            expected=lambda: [
                judge(closed_by_meshfix(bunny_mesh())).volume for judge in (by_trimesh, by_vtk, by_manifold)
            ],
            got=lambda: stated(bunny()),
            allowed=rel(1e-4),
        ),
        of_npm(
            name="the scan of the bunny, its holes free to bulge",
            source="winding numbers at random points, good to 0.3 %",
            grade=Grade.OWN,
            expected=758_400,
            got=lambda: bunny().volume_mm3,
            allowed=rel(0.005),
        ),
        of_npm(
            name="gear, stl-models of npm",
            source="trimesh and VTK, each with its own reader, and manifold3d",
            grade=Grade.PROGRAM,
            expected=lambda: [
                by_trimesh(read_by_trimesh(published_mesh(GEAR))).volume,
                read_by_vtk(published_mesh(GEAR)).volume,
                by_manifold(read_by_trimesh(published_mesh(GEAR))).volume,
            ],
            got=lambda: stated(read_solid(published_mesh(GEAR))),
            allowed=within(0.001),
        ),
    ),
)
test_solids = each_holds(GROUP)


class TestExampleMeshes:
    """Meshes shipped with pyvista under the MIT licence, read as files: what is said of them."""

    def test_a_nut(self) -> None:
        assert read_example("nut.ply").closed

    def test_an_ant_of_fifteen_bodies_that_overlap(self) -> None:
        assert any(mending.what == "overlap_united" for mending in read_example("ant.ply").mendings)

    def test_an_open_aeroplane(self) -> None:
        found = read_example("airplane.ply")
        assert not found.closed and any(mending.what == "hole_closed" for mending in found.mendings)
        assert {"open-rims", "coarse-facets"} <= {notice.code for notice in found.notices}
        assert found.volume_error_mm3 > 0.02 * found.volume_mm3, "no bare number"
        mesh = from_vtk(pyvista.read(example("airplane.ply")))
        elsewhere = solid(moved(turned(mesh), (-4000, 900, 2500)))
        # The file's own points are single precision, in which a coordinate of 1,500 is good to 1e-4.
        assert elsewhere.volume_mm3 == pytest.approx(found.volume_mm3, rel=1e-3)


@needs_npm
class TestPublishedMeshes:
    """The npm package stl-models, version 0.12.0, MIT licence: a scan in metres, and a gear in mm."""

    def test_a_scan_with_five_open_rims(self) -> None:
        found = bunny()
        assert not found.closed and sum(mending.what == "hole_closed" for mending in found.mendings) == 5
        assert 1000 < found.volume_error_mm3 < 5000

    def test_where_the_scan_stands_does_not_matter(self) -> None:
        mesh = bunny_mesh()
        there = solid(moved(turned(mesh), (5000, -3000, 800)))
        # Five thousand millimetres in single precision are stored to 0.0005 mm; here double is kept.
        assert there.volume_mm3 == pytest.approx(bunny().volume_mm3, rel=1e-6)
        assert there.volume_error_mm3 == pytest.approx(bunny().volume_error_mm3, rel=0.1)
        plain, moved_plain = (signed_volumes(m.corners()).sum() for m in (mesh, moved(mesh, (5000, -3000, 800))))
        assert abs(plain - moved_plain) > 0.01 * plain, "a plain sum does depend on it"

    def test_a_gear(self) -> None:
        assert read_solid(published_mesh(GEAR)).closed

"""Volumes and areas against mensuration formulas, other libraries, and a published scan.

Formulas: D. Zwillinger (ed.), CRC Standard Mathematical Tables and Formulae, 31st edition 2003, chapter "Geometry":
mensuration of solids, and the table of the five regular polyhedra.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi, sqrt
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import pyvista
import trimesh

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.solid import Solid, SolidRequest, read_solid
from moldvol.geometry.triangles import measures, signed_volumes
from tests.geometry.test_solid import solid
from tests.registry import needs_npm, published_mesh
from tests.shapes import ball, box, cone, cylinder, from_trimesh, lathe, moved, together, torus, turned

SECTIONS = 256
FACETS_REL = 1.5e-3  # 256 facets around and 128 or fewer along a section
SHORTFALL_REL = 0.15  # the shortfall of the facets, estimated edge by edge, is never understated by more
MOST_OVERSTATED = 3.2  # facets that narrow to a point, as a cone's do, have a third of what their edges tell
ROUNDING_REL = 1e-9


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


# Volume, then area: the mesh is inscribed in each of these, so it must lie below.
ROUND = {
    "torus, by the theorems of Pappus": (torus(30, 10, SECTIONS).mesh, 2 * pi**2 * 30 * 100, 4 * pi**2 * 300),
    "frustum of a cone": (
        lathe([(0, 0), (20, 0), (12, 15), (0, 15)], SECTIONS),
        pi * 15 / 3 * (20**2 + 20 * 12 + 12**2),
        pi * (20 + 12) * sqrt(15**2 + 8**2) + pi * (400 + 144),
    ),
    "spherical cap": (spherical_cap(20, 7), pi * 49 * (60 - 7) / 3, 2 * pi * 20 * 7 + pi * 7 * (40 - 7)),
    "spherical zone": (
        spherical_zone(20, -8, 12),
        zone_volume(-8, 12, 20),
        2 * pi * 20 * 20 + pi * (400 - 64) + pi * (400 - 144),
    ),
    "ball": (ball(20, 5).mesh, 4 / 3 * pi * 8000, 4 * pi * 400),
    "cylinder": (cylinder(10, 30, SECTIONS).mesh, pi * 3000, 2 * pi * 10 * 40),
    "cone": (cone(15, 40, SECTIONS).mesh, pi * 225 * 40 / 3, pi * 15 * (15 + sqrt(225 + 1600))),
    "paraboloid: half of the cylinder around it": (
        lathe([(0, 0), *((10 * sqrt(z / 30), z) for z in np.linspace(0.05, 30, 200)), (0, 30)], SECTIONS),
        pi * 100 * 30 / 2,
        None,
    ),
}


@pytest.mark.parametrize(("mesh", "volume", "area"), ROUND.values(), ids=ROUND)
def test_round_solids(mesh: Mesh, volume: float, area: float | None) -> None:
    found = solid(turned(mesh))
    assert found.volume_mm3 == pytest.approx(volume, rel=FACETS_REL)
    assert found.volume_mm3 < volume, "inscribed facets: always below"
    missing = volume - found.volume_mm3
    assert (1 - SHORTFALL_REL) * missing < found.facet_shortfall_mm3 < MOST_OVERSTATED * missing
    if area is not None:
        assert found.area_mm2 == pytest.approx(area, rel=FACETS_REL) and found.area_mm2 < area


PHI = (1 + sqrt(5)) / 2
SIGNS = [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
# Corners, length of an edge, and for an edge of length a: volume / a³ and area / a².
PLATONIC: dict[str, tuple[list, float, float, float]] = {
    "tetrahedron": ([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)], 2 * sqrt(2), sqrt(2) / 12, sqrt(3)),
    "cube": (SIGNS, 2, 1, 6),
    "octahedron": (
        [(s * (k == 0), s * (k == 1), s * (k == 2)) for k in range(3) for s in (-1, 1)],
        sqrt(2),
        sqrt(2) / 3,
        2 * sqrt(3),
    ),
    "dodecahedron": (
        [*SIGNS, *(np.roll((0, s / PHI, t * PHI), k) for k in range(3) for s in (-1, 1) for t in (-1, 1))],
        2 / PHI,
        (15 + 7 * sqrt(5)) / 4,
        3 * sqrt(25 + 10 * sqrt(5)),
    ),
    "icosahedron": (
        [np.roll((0, s, t * PHI), k) for k in range(3) for s in (-1, 1) for t in (-1, 1)],
        2,
        5 * (3 + sqrt(5)) / 12,
        5 * sqrt(3),
    ),
}


@pytest.mark.parametrize(("corners", "edge", "volume", "area"), PLATONIC.values(), ids=PLATONIC)
def test_platonic_solids_are_exact(corners: list, edge: float, volume: float, area: float) -> None:
    hull = trimesh.Trimesh(np.array(corners, dtype=float)).convex_hull
    found = solid(turned(from_trimesh(hull).scaled(20 / edge)))
    assert found.volume_mm3 == pytest.approx(volume * 20**3, rel=ROUNDING_REL)
    assert found.area_mm2 == pytest.approx(area * 20**2, rel=ROUNDING_REL)
    assert found.volume_error_mm3 < 1e-5 * found.volume_mm3


def by_vtk(mesh: Mesh) -> tuple[float, float]:
    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces]).ravel()
    surface = pyvista.PolyData(np.asarray(mesh.vertices, dtype=float), faces)
    return surface.volume, surface.area


def by_kernel(mesh: Mesh) -> tuple[float, float]:
    points, faces = np.asarray(mesh.vertices, dtype=np.float64), mesh.faces.astype(np.uint64)
    made = manifold3d.Manifold(manifold3d.Mesh64(points, faces))
    assert made.status() == manifold3d.Error.NoError
    return made.volume(), made.surface_area()


def example(name: str) -> Mesh:
    surface = pyvista.read(Path(pyvista.examples.antfile).with_name(name))
    return Mesh.of(surface.points, surface.faces.reshape(-1, 4)[:, 1:])


def nut() -> Mesh:
    from moldvol.geometry.soundness.welding import compacted, drop_repeated_corners, weld

    return compacted(drop_repeated_corners(weld(example("nut.ply")))[0])


CLOSED = {
    "nut": nut,
    "ball": lambda: ball(20, 4).mesh,
    "torus": lambda: torus().mesh,
    "two balls": lambda: together(ball(9, 3).mesh, moved(ball(7, 3).mesh, (30, 0, 0))),
    "block with a room": lambda: together(box(40, 30, 20).mesh, ball(7, 3).mesh.flipped()),
}


@pytest.mark.parametrize("judge", [by_vtk, by_kernel], ids=["VTK", "manifold3d"])
@pytest.mark.parametrize("make", CLOSED.values(), ids=CLOSED)
def test_other_libraries_agree(make: Callable[[], Mesh], judge: Callable[[Mesh], tuple[float, float]]) -> None:
    mesh = make()
    found = solid(mesh)
    volume, area = judge(mesh)
    # VTK keeps points in single precision where a file had them so.
    assert found.volume_mm3 == pytest.approx(volume, rel=1e-5)
    assert found.area_mm2 == pytest.approx(area, rel=1e-5)


class TestExampleMeshes:
    """Meshes shipped with pyvista 0.49 under the MIT licence, read as files."""

    def read(self, name: str, **how: bool) -> Solid:
        return read_solid(Path(pyvista.examples.antfile).with_name(name), SolidRequest(**how))

    def test_a_nut(self) -> None:
        found = self.read("nut.ply")
        assert found.closed and found.volume_mm3 == pytest.approx(32171.32, rel=1e-6)

    def test_an_ant_of_fifteen_bodies_that_overlap(self) -> None:
        """The plain sum, which VTK and trimesh give, is 482.144; the union by manifold3d is 481.046."""
        found = self.read("ant.ply")
        assert found.volume_mm3 == pytest.approx(481.046, rel=1e-5)
        assert measures(example("ant.ply")).signed_volume_mm3 == pytest.approx(482.144, rel=1e-5)
        assert any(mending.what == "overlap_united" for mending in found.mendings)

    def test_an_open_aeroplane(self) -> None:
        """223 open edges. VTK reads 2.5455e7, trimesh 2.6305e7, and both other numbers where it stands elsewhere."""
        found = self.read("airplane.ply")
        assert not found.closed and any(mending.what == "hole_closed" for mending in found.mendings)
        assert {"open_rims", "coarse_facets"} <= {notice.code for notice in found.notices}
        assert abs(found.volume_mm3 - 2.5455e7) < found.volume_error_mm3
        assert found.volume_error_mm3 > 0.02 * found.volume_mm3, "no bare number"
        elsewhere = solid(moved(turned(example("airplane.ply")), (-4000, 900, 2500)))
        # The file's own points are single precision, in which a coordinate of 1,500 is good to 1e-4.
        assert elsewhere.volume_mm3 == pytest.approx(found.volume_mm3, rel=1e-3)


@needs_npm
class TestPublishedMeshes:
    """The npm package stl-models, version 0.12.0, MIT licence: a scan in metres, and a gear in mm."""

    @pytest.fixture
    def bunny(self, pytestconfig: pytest.Config) -> Path:
        return published_mesh("objects/bunny.bin.stl", pytestconfig.cache.mkdir("published"))

    @pytest.fixture
    def gear(self, pytestconfig: pytest.Config) -> Path:
        return published_mesh("objects/gearwheel.bin.stl", pytestconfig.cache.mkdir("published"))

    def test_a_scan_with_five_open_rims(self, bunny: Path) -> None:
        """Closing the holes with an independent hole filler gives 754,900 mm³; sampling winding numbers, which lets
        the holes bulge, 758,400 ± 0.3 %. The plain sum is 759,500, and another number wherever the scan is moved."""
        found = read_solid(bunny, SolidRequest(unit="m"))
        assert not found.closed and sum(mending.what == "hole_closed" for mending in found.mendings) == 5
        assert found.volume_mm3 == pytest.approx(754_900, rel=1e-4)
        assert 1000 < found.volume_error_mm3 < 5000
        assert abs(found.volume_mm3 - 758_400) < found.volume_error_mm3 + 0.003 * 758_400

    def test_where_the_scan_stands_does_not_matter(self, bunny: Path) -> None:
        here = read_solid(bunny, SolidRequest(unit="m"))
        raw = trimesh.load(bunny, process=False)
        mesh = Mesh.of(raw.vertices * 1000, raw.faces)
        there = solid(moved(turned(mesh), (5000, -3000, 800)))
        # Five thousand millimetres in single precision are stored to 0.0005 mm; here double is kept.
        assert there.volume_mm3 == pytest.approx(here.volume_mm3, rel=1e-6)
        assert there.volume_error_mm3 == pytest.approx(here.volume_error_mm3, rel=0.1)
        plain, moved_plain = (signed_volumes(m.corners()).sum() for m in (mesh, moved(mesh, (5000, -3000, 800))))
        assert abs(plain - moved_plain) > 0.01 * plain, "a plain sum does depend on it"

    def test_a_gear(self, gear: Path) -> None:
        found = read_solid(gear)
        assert found.closed and found.volume_mm3 == pytest.approx(8922.637, abs=0.001)

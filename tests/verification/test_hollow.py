"""Hollow casts against inner parallel bodies that are known.

A convex polyhedron set in by t is the meeting of its half-spaces moved in by t (Schneider, Convex Bodies, section 3.1),
worked out here by Qhull: the truth for the mesh itself, facets and all. Closed forms of round bodies stand beside it,
and a CAD kernel's offsets of filleted ones. Every truth must lie within the error stated, and that error must be
small. The grids have a sixth of the usual points, so errors are about three times those of a user.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache, lru_cache, partial
from math import cos, pi, sqrt

import manifold3d
import numpy as np
import pytest
import pyvista
import trimesh
from pyvista import examples
from scipy.spatial import ConvexHull, HalfspaceIntersection

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.inscribed import thickest_section
from moldvol.geometry.field.reach import Pocket, Reach
from moldvol.geometry.field.shell import core_volume, shell_volume, solid_share
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.triangles import measures
from tests import cad_kernel, shapes
from tests.geometry.test_solid import solid
from tests.libraries import from_manifold, from_vtk
from tests.verification.checks import Check, Grade, Group, Need, Stated, rel, within
from tests.verification.held import each_holds

POINTS = 40_000  # a sixth of the default
SMOOTH_REL = 1e-3  # walls of two cells and more
ANY_REL = 5e-3  # the thinnest walls and plates of exactly two walls
TURNS = (0, 1, 2)


def hull_of(points) -> Mesh:
    made = trimesh.convex.convex_hull(np.asarray(points, dtype=float))
    return Mesh.of(made.vertices, made.faces)


def signs(*values):
    return [
        [sign * v for sign, v in zip(s, values, strict=True)]
        for s in np.ndindex(2, 2, 2)
        for s in [2 * np.array(s) - 1]
    ]


def cyclic(points):
    return [[p[k], p[(k + 1) % 3], p[(k + 2) % 3]] for p in points for k in range(3)]


def steinmetz(radius=10.0, sections=128) -> Mesh:
    rod = manifold3d.Manifold.cylinder(4 * radius, radius, radius, sections, True)
    return from_manifold(rod ^ rod.rotate((90, 0, 0)))


def rounded_box(x=30.0, y=20.0, z=16.0, radius=6.0) -> Mesh:
    ball = shapes.ball(radius, 3).mesh.vertices
    return hull_of(np.concatenate([ball + c for c in signs(x / 2 - radius, y / 2 - radius, z / 2 - radius)]))


GOLD = (1 + sqrt(5)) / 2
CONVEX: dict[str, Callable[[], Mesh]] = {
    "box": lambda: shapes.box(60, 40, 20).mesh,
    "cube": lambda: shapes.box(20, 20, 20).mesh,
    "plate": lambda: shapes.box(40, 40, 4).mesh,
    "tetrahedron": lambda: hull_of(20 * np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]])),
    "octahedron": lambda: hull_of(20 * np.concatenate([np.eye(3), -np.eye(3)])),
    "dodecahedron": lambda: hull_of(10 * np.array(signs(1, 1, 1) + cyclic(signs(0, 1 / GOLD, GOLD)))),
    "icosahedron": lambda: hull_of(10 * np.array(cyclic(signs(0, 1, GOLD)))),
    "ball": lambda: shapes.ball(20, 4).mesh,
    "cone": lambda: shapes.cone(15, 40, 96).mesh,
    "cylinder": lambda: shapes.cylinder(10, 30, 96).mesh,
    "two cylinders' meeting": steinmetz,
    "rounded box": rounded_box,
}
PLATONIC = ("cube", "tetrahedron", "octahedron", "dodecahedron", "icosahedron")


def placed(mesh: Mesh, turn: int) -> Mesh:
    """As it is for turn 0, else turned at random."""
    return shapes.turned(mesh, turn) if turn else mesh


@lru_cache(maxsize=8)
def field_of(name: str, turn: int = 0) -> DistanceField:
    return DistanceField.of(placed(CONVEX[name](), turn), interior_points=POINTS)


def volume_of(name: str) -> float:
    return measures(CONVEX[name]()).signed_volume_mm3


def half_spaces(mesh: Mesh):
    corners = mesh.corners()
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return np.column_stack([normals, -np.einsum("ij,ij->i", normals, corners[:, 0])])


def set_in_mm3(mesh: Mesh, wall_mm: float) -> float:
    """Volume of the convex *mesh* set in by *wall_mm*."""
    planes = half_spaces(mesh)
    planes[:, 3] += wall_mm
    inner = HalfspaceIntersection(np.unique(planes.round(12), axis=0), deep_inside(mesh))
    return float(ConvexHull(inner.intersections).volume)


def deep_inside(mesh: Mesh):
    """The deepest point on the upright line through the box's middle: a cone's middle is too near its side."""
    planes, (low, high) = half_spaces(mesh), mesh.bounds
    line = np.linspace(low, high, 81)
    line[:, :2] = (low[:2] + high[:2]) / 2
    depths = -(line @ planes[:, :3].T + planes[:, 3]).max(axis=1)
    return line[depths.argmax()]


def stated(volumes: Sequence[Volume]) -> Stated:
    return Stated.of(*((volume.volume_mm3, volume.error_mm3) for volume in volumes))


def shells(field: DistanceField, walls_mm: Sequence[float]) -> Stated:
    return stated([shell_volume(field, wall) for wall in walls_mm])


shell = partial(Check, grade=Grade.MATHEMATICS, unit="mm³", allowed=rel(SMOOTH_REL), most_error=ANY_REL)
BY_QHULL = "half-spaces set in, by Qhull"


def convex_body(name: str) -> Check:
    def walls() -> list[float]:
        half = thickest_section(field_of(name)).diameter_mm / 2
        return [share * half for share in (0.3, 0.5, 0.8)]

    return shell(
        name=f"{name}, walls of 0.3, 0.5 and 0.8 of its half thickness",
        source=BY_QHULL,
        expected=lambda: [volume_of(name) - set_in_mm3(CONVEX[name](), wall) for wall in walls()],
        got=lambda turn: shells(field_of(name, turn), walls()),
        cases=TURNS,
    )


def regular_body(name: str) -> Check:
    """Its core is itself, smaller by the wall over the radius of the ball within."""

    def walls() -> list[float]:
        return [cells * field_of(name).grid.spacing_mm for cells in (2, 4)]

    def exact() -> list[float]:
        inradius = -half_spaces(CONVEX[name]())[0, 3]
        return [volume_of(name) * (1 - (1 - wall / inradius) ** 3) for wall in walls()]

    return shell(
        name=f"{name}, walls of two and four cells of the grid",
        source="it shrinks to a smaller one of its kind",
        expected=exact,
        got=lambda turn: shells(field_of(name, turn), walls()),
        cases=TURNS,
    )


def thin_walls(name: str) -> Check:
    def walls() -> list[float]:
        return [cells * field_of(name).grid.spacing_mm for cells in (0.05, 0.3, 1.0)]

    return shell(
        name=f"{name} turned, walls of a twentieth, a third and one cell of the grid",
        source=BY_QHULL,
        expected=lambda: [volume_of(name) - set_in_mm3(CONVEX[name](), wall) for wall in walls()],
        got=lambda: shells(field_of(name, 1), walls()),
        allowed=rel(ANY_REL),
        most_error=0.03,
    )


RING = shapes.torus(30, 10, 192)
RING_WALLS_MM = (2.0, 4.0, 6.0)


def ring_shells() -> list[float]:
    """The tube's polygon has the area of a slightly thinner round tube; their cores differ by less still."""
    volume = measures(RING.mesh).signed_volume_mm3
    radius = 10 * sqrt(volume / RING.volume_mm3)
    return [volume - 2 * pi**2 * 30 * (radius - wall) ** 2 for wall in RING_WALLS_MM]


def ring_field(turn: int) -> DistanceField:
    return DistanceField.of(placed(RING.mesh, turn), interior_points=POINTS // 2)


PLATE_WALLS_MM = (1.9, 1.99, 2.0, 2.01, 3.0)
L_PRISM = [(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)]


def l_field(turn: int) -> DistanceField:
    return DistanceField.of(placed(shapes.prism(L_PRISM, 30), turn), interior_points=POINTS)


def subdivided_box(subdivisions: int) -> Volume:
    return shell_volume(
        DistanceField.of(shapes.box(60, 40, 20, subdivisions).mesh, interior_points=POINTS), wall_mm=3.0
    )


def rounded_box_core() -> float:
    """Steiner's formula for the box a × b × c with a ball of r = 6 - t rolled around it."""
    r, (a, b, c) = 4.0, (30 - 12, 20 - 12, 16 - 12)
    return a * b * c + 2 * (a * b + b * c + c * a) * r + pi * (a + b + c) * r**2 + 4 / 3 * pi * r**3


@cache
def barred_cubes() -> DistanceField:
    """Two cubes of 30 joined by a bar of 4 × 4 × 20."""
    cube = manifold3d.Manifold.cube((30, 30, 30), True)
    bar = manifold3d.Manifold.cube((24, 4, 4), True)
    return DistanceField.of(from_manifold(cube.translate((-25, 0, 0)) + bar + cube.translate((25, 0, 0))))


def overlapping_cubes(turn: int) -> Volume:
    """Two cubes of 20, one shifted by 10, as two bodies of one file."""
    cube = shapes.box(20, 20, 20).mesh
    found = solid(placed(shapes.together(cube, shapes.moved(cube, (10, 0, 0))), turn))
    return shell_volume(DistanceField.of(found.mesh, interior_points=POINTS), 2.0)


def nut_shell() -> float:
    field = DistanceField.of(from_vtk(pyvista.read(examples.nutfile)), interior_points=POINTS)
    return shell_volume(field, 2.0).volume_mm3


def large_plate_shell() -> Stated:
    return shells(DistanceField.of(shapes.box(300, 200, 100).mesh, interior_points=POINTS), [0.05])


NECK_MM = 3 * cos(pi / 96)  # the polygon of 96 sides that stands for the round neck touches a smaller ball


@cache
def dumb_bell(turn: int) -> Reach:
    """Two balls of 20 joined by a neck of 3, open at the foot of the lower one."""
    ball = manifold3d.Manifold.sphere(20, 96)
    neck = manifold3d.Manifold.cylinder(60, 3, 3, 96, True)
    straight = from_manifold(ball.translate((0, 0, -30)) + neck + ball.translate((0, 0, 30)))
    mesh = placed(straight, turn)
    foot = mesh.vertices[np.argmin(straight.vertices[:, 2])]
    return Reach.of(DistanceField.of(mesh, interior_points=80_000), tuple(foot))


def far_ball(turn: int) -> Pocket:
    (pocket,) = dumb_bell(turn).closed_off(5.0)
    return pocket


def core_of_ball(wall_mm: float) -> float:
    return set_in_mm3(from_manifold(manifold3d.Manifold.sphere(20, 96)), wall_mm)


KERNEL = Need(cad_kernel.NOT_INSTALLED, cad_kernel.is_installed)


def filleted(name: str, make: Callable[[], cad_kernel.Shape], walls_mm: tuple[float, float]) -> Check:
    body = cache(make)
    return shell(
        name=f"{name}, walls of {walls_mm[0]:g} and {walls_mm[1]:g} mm",
        source="offset of the exact body by the CAD kernel Open CASCADE 8.0, measured 25 November 2026",
        grade=Grade.PROGRAM,
        expected=lambda: [cad_kernel.shell_mm3(body(), wall) for wall in walls_mm],
        got=lambda: shells(DistanceField.of(cad_kernel.mesh_of(body()), interior_points=POINTS), walls_mm),
        needs=KERNEL,
    )


GROUP = Group(
    "Hollow casts",
    __doc__,
    (
        *map(convex_body, CONVEX),
        *map(regular_body, PLATONIC),
        *map(thin_walls, ("box", "icosahedron", "cylinder")),
        shell(
            name="plate 4 mm thick, walls of 1.9, 1.99, 2, 2.01 and 3 mm",
            source="(40 − 2t)² (4 − 2t), nothing from t = 2 on",
            expected=[6400 - (40 - 2 * t) ** 2 * max(0.0, 4 - 2 * t) for t in PLATE_WALLS_MM],
            got=lambda turn: shells(field_of("plate", turn), PLATE_WALLS_MM),
            allowed=rel(ANY_REL),
            cases=TURNS,
        ),
        shell(
            name="ring 30/10, walls of 2, 4 and 6 mm",
            source="2π² R (r − t)², the theorems of Pappus",
            expected=ring_shells,
            got=lambda turn: shells(ring_field(turn), RING_WALLS_MM),
            allowed=rel(2 * SMOOTH_REL),
            cases=TURNS,
        ),
        shell(
            name="ball of 20 mm, wall of 3 mm",
            source="4/3 π (20³ − 17³); the mesh is inscribed",
            expected=4 / 3 * pi * (20**3 - 17**3),
            got=lambda: shell_volume(field_of("ball"), 3.0).volume_mm3,
            allowed=rel(below=5e-3),
        ),
        shell(
            name="two cylinders of 10 mm crossing, what a wall of 3 mm leaves empty",
            source="16 r³/3, Archimedes' Method, proposition 15; for the polygon's mean radius",
            expected=16 * (10 * (1 + cos(pi / 128)) / 2 - 3) ** 3 / 3,
            got=lambda: core_volume(field_of("two cylinders' meeting"), 3.0).volume_mm3,
        ),
        shell(
            name="rounded box, what a wall of 2 mm leaves empty",
            source="Steiner's formula; 1 % for the few facets of its rounding",
            expected=rounded_box_core(),
            got=lambda: core_volume(field_of("rounded box"), 2.0).volume_mm3,
            allowed=rel(1e-2),
        ),
        shell(
            name="L of 40 × 40 less 20 × 20, 30 high, wall of 4 mm: the inward edge becomes round",
            source="36,000 − (624 + 16 (1 − π/4)) · 22, by hand",
            expected=36000 - (624 + 16 * (1 - pi / 4)) * 22,
            got=lambda turn: stated([shell_volume(l_field(turn), 4.0)]),
            cases=TURNS,
        ),
        shell(
            name="box 60 × 40 × 20 of 12, of 768 and of 196,608 triangles, wall of 3 mm",
            source="48,000 − 54 · 34 · 14",
            expected=22296,
            got=lambda: stated([subdivided_box(subdivisions) for subdivisions in (0, 3, 7)]),
        ),
        shell(
            name="plate 4 mm thick, wall of 3 mm: solid",
            source="40 · 40 · 4",
            expected=6400,
            got=lambda: shell_volume(field_of("plate"), 3.0).volume_mm3,
            allowed=rel(1e-4),
        ),
        shell(
            name="cube of 20 mm, wall of half of it: what is left empty",
            source="the core shrinks to a point",
            expected=0,
            got=lambda: core_volume(field_of("cube"), 10.0).volume_mm3,
            allowed=within(1e-6 * 8000),
        ),
        shell(
            name="cube of 20 mm, a wall wider than itself",
            source="20³",
            expected=8000,
            got=lambda: shell_volume(field_of("cube"), 25.0).volume_mm3,
            allowed=rel(1e-12),
        ),
        shell(
            name="two cubes of 30 mm joined by a bar of 4 mm, wall of 3 mm: the empty rooms",
            source="2 · 24³, and a bump of under 0.1 % at each mouth of the bar",
            expected=2 * 13824,
            got=lambda: core_volume(barred_cubes(), 3.0).volume_mm3,
        ),
        shell(
            name="two cubes of 20 mm, one shifted by 10, wall of 2 mm: no wall where they overlap",
            source="30 · 20 · 20 − 26 · 16 · 16",
            expected=5344,
            got=lambda turn: stated([overlapping_cubes(turn)]),
            cases=TURNS,
        ),
        shell(
            name="machine nut of pyvista, wall of 2 mm",
            source="260,000 random points and winding numbers, good to 0.3 % of the body grown by as much",
            grade=Grade.OWN,
            expected=16221,
            got=nut_shell,
            allowed=within(0.003 * 51625),
        ),
        shell(
            name="block of 300 × 200 × 100 mm, wall of 0.05 mm",
            source="6,000,000 − 299.9 · 199.9 · 99.9",
            expected=300 * 200 * 100 - 299.9 * 199.9 * 99.9,
            got=large_plate_shell,
            allowed=rel(ANY_REL),
            most_error=0.02,
        ),
        shell(
            name="two balls joined by a neck of 3 mm: the wall at which it closes",
            source="the neck's half width, of 96 sides",
            expected=NECK_MM,
            unit="mm",
            got=lambda turn: far_ball(turn).closes_at_wall_mm,
            allowed=within(0.01),
            cases=TURNS,
        ),
        shell(
            name="two balls joined by a neck, poured through one to 5 mm: what stays empty in the other",
            source=f"{BY_QHULL}, at the wall at which the neck closes",
            expected=lambda: core_of_ball(NECK_MM),
            got=lambda turn: far_ball(turn).volume_mm3,
            cases=TURNS,
        ),
        shell(
            name="two balls joined by a neck, poured through one to 5 mm: shell of both",
            source=BY_QHULL,
            expected=lambda: dumb_bell(0).field.solid_mm3 - core_of_ball(5.0) - core_of_ball(NECK_MM),
            got=lambda turn: dumb_bell(turn).shell_volume(5.0).volume_mm3,
            cases=TURNS,
        ),
        filleted("box 60 × 40 × 30, all edges rounded by 6 mm", lambda: cad_kernel.filleted_box(60, 40, 30, 6), (2, 4)),
        filleted("cylinder 20/50, both rims rounded by 6 mm", lambda: cad_kernel.filleted_cylinder(20, 50, 6), (2, 4)),
        filleted(
            "box with a boss, its foot rounded by 5 mm, its rim by 4", lambda: cad_kernel.box_with_a_boss(5, 4), (1, 2)
        ),
    ),
)
test_hollow = each_holds(GROUP)


def test_a_plate_too_thin_to_hollow_is_solid():
    assert core_volume(field_of("plate"), 3.0).volume_mm3 == 0
    assert solid_share(field_of("plate"), 3.0) == 1.0


def test_the_bar_between_two_cubes_comes_out_solid():
    assert 0 < solid_share(barred_cubes(), 3.0) < 0.1  # the bar is 320 of 5,688 mm²


@pytest.mark.parametrize("turn", TURNS)
def test_a_thinner_wall_closes_nothing_off(turn):
    assert dumb_bell(turn).closed_off(2.9) == ()

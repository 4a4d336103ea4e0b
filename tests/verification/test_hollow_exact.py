"""Hollow casts against inner parallel bodies that are known exactly.

A convex polyhedron set in by t is the meeting of its half-spaces moved in by t (Schneider, Convex Bodies, section 3.1),
worked out here by Qhull: the truth for the mesh itself, facets and all. The closed forms of the round bodies stand
beside it. Every truth must lie within the error stated, and that error must be small.
"""

from __future__ import annotations

from functools import lru_cache
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
from moldvol.geometry.field.reach import Reach
from moldvol.geometry.field.shell import cavities, core_volume, shell_volume, solid_share
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.triangles import measures
from tests import shapes

POINTS = 40_000  # a sixth of the default: errors here are about three times those of a user
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


def from_manifold(solid) -> Mesh:
    made = solid.to_mesh64()
    return Mesh.of(made.vert_properties[:, :3], made.tri_verts)


def steinmetz(radius=10.0, sections=128) -> Mesh:
    rod = manifold3d.Manifold.cylinder(4 * radius, radius, radius, sections, True)
    return from_manifold(rod ^ rod.rotate((90, 0, 0)))


def rounded_box(x=30.0, y=20.0, z=16.0, radius=6.0) -> Mesh:
    ball = shapes.ball(radius, 3).mesh.vertices
    return hull_of(np.concatenate([ball + c for c in signs(x / 2 - radius, y / 2 - radius, z / 2 - radius)]))


GOLD = (1 + sqrt(5)) / 2
CONVEX = {
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


@lru_cache(maxsize=8)
def field_of(name: str, turn: int = 0) -> DistanceField:
    mesh = CONVEX[name]()
    return DistanceField.of(shapes.turned(mesh, turn) if turn else mesh, interior_points=POINTS)


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


def check(field: DistanceField, wall_mm: float, shell_mm3: float, most_rel: float):
    shell = shell_volume(field, wall_mm)
    assert shell.holds(shell_mm3)
    assert shell.error_mm3 <= ANY_REL * shell_mm3
    assert shell.volume_mm3 == pytest.approx(shell_mm3, rel=most_rel)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("name", CONVEX)
def test_convex_bodies_set_in(name, turn):
    field, straight = field_of(name, turn), CONVEX[name]()
    solid = measures(straight).signed_volume_mm3
    half = thickest_section(field).diameter_mm / 2
    for share in (0.3, 0.5, 0.8):
        check(field, share * half, solid - set_in_mm3(straight, share * half), SMOOTH_REL)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("name", PLATONIC)
def test_platonic_cores_shrink_by_their_inradius(name, turn):
    field = field_of(name, turn)
    inradius = -half_spaces(CONVEX[name]())[0, 3]
    for cells in (2, 4):
        wall = cells * field.grid.spacing_mm
        check(field, wall, field.solid_mm3 * (1 - (1 - wall / inradius) ** 3), SMOOTH_REL)


@pytest.mark.parametrize("cells", [0.05, 0.3, 1.0])
@pytest.mark.parametrize("name", ["box", "icosahedron", "cylinder"])
def test_walls_thinner_than_a_cell(name, cells):
    field = field_of(name, 1)
    wall, straight = cells * field.grid.spacing_mm, CONVEX[name]()
    truth = measures(straight).signed_volume_mm3 - set_in_mm3(straight, wall)
    shell = shell_volume(field, wall)
    assert shell.holds(truth)
    assert shell.volume_mm3 == pytest.approx(truth, rel=ANY_REL)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("wall_mm", [1.9, 1.99, 2.0, 2.01, 3.0])
def test_a_plate_about_two_walls_thick(wall_mm, turn):
    inner = (40 - 2 * wall_mm) ** 2 * max(0.0, 4 - 2 * wall_mm)
    check(field_of("plate", turn), wall_mm, 6400 - inner, ANY_REL)


@pytest.mark.parametrize("turn", TURNS)
def test_torus(turn):
    ideal = shapes.torus(30, 10, 192)
    mesh = shapes.turned(ideal.mesh, turn) if turn else ideal.mesh
    field = DistanceField.of(mesh, interior_points=POINTS // 2)
    # The tube's polygon has the area of a slightly thinner round tube; their cores differ by less still.
    radius = 10 * sqrt(field.solid_mm3 / ideal.volume_mm3)
    for wall in (2.0, 4.0, 6.0):
        check(field, wall, field.solid_mm3 - 2 * pi**2 * 30 * (radius - wall) ** 2, 2 * SMOOTH_REL)


def test_two_cylinders_in_closed_form():
    field = field_of("two cylinders' meeting")
    # 16 r³ / 3 (Archimedes' Method, proposition 15), for the polygon's mean radius between corner and side.
    radius = 10 * (1 + cos(pi / 128)) / 2
    core = core_volume(field, 3.0)
    assert core.volume_mm3 == pytest.approx(16 * (radius - 3) ** 3 / 3, rel=SMOOTH_REL)


def test_rounded_box_in_closed_form():
    field, t, r = field_of("rounded box"), 2.0, 4.0
    a, b, c = 30 - 12, 20 - 12, 16 - 12
    # Steiner's formula for the box a × b × c with a ball of r = 6 - t rolled around it; 1 % for the ball's few facets.
    closed = a * b * c + 2 * (a * b + b * c + c * a) * r + pi * (a + b + c) * r**2 + 4 / 3 * pi * r**3
    assert core_volume(field, t).volume_mm3 == pytest.approx(closed, rel=1e-2)


@pytest.mark.parametrize("turn", TURNS)
def test_l_prism_rounds_the_reflex_edge(turn):
    # Section 40 × 40 less 20 × 20, 30 high, wall 4: (624 + 16 (1 - π/4)) × 22, by hand.
    prism = shapes.prism([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)], 30)
    field = DistanceField.of(shapes.turned(prism, turn) if turn else prism, interior_points=POINTS)
    check(field, 4.0, 36000 - (624 + 16 * (1 - pi / 4)) * 22, SMOOTH_REL)


@pytest.mark.parametrize("subdivisions", [0, 3, 7])  # 12, 768 and 196,608 triangles
def test_triangle_count_changes_nothing(subdivisions):
    field = DistanceField.of(shapes.box(60, 40, 20, subdivisions).mesh, interior_points=POINTS)
    check(field, 3.0, 22296, SMOOTH_REL)


def test_a_plate_too_thin_to_hollow_is_solid():
    field = field_of("plate")
    assert shell_volume(field, 3.0).volume_mm3 == pytest.approx(6400, rel=1e-4)
    assert cavities(field, 3.0) == ()
    assert solid_share(field, 3.0) == 1.0


def test_two_cubes_joined_by_a_bar_leave_two_rooms():
    cube = manifold3d.Manifold.cube((30, 30, 30), True)
    bar = manifold3d.Manifold.cube((24, 4, 4), True)
    field = DistanceField.of(from_manifold(cube.translate((-25, 0, 0)) + bar + cube.translate((25, 0, 0))))
    rooms = cavities(field, 3.0)
    # 24³ each and a bump of under 0.1 % at the mouth of the bar.
    assert [room.volume_mm3 for room in rooms] == pytest.approx([13824, 13824], rel=SMOOTH_REL)
    assert 0 < solid_share(field, 3.0) < 0.1  # the bar is 320 of 5,688 mm²


def test_a_wall_of_half_the_cube_leaves_nothing():
    field = field_of("cube")
    assert core_volume(field, 10.0).volume_mm3 == pytest.approx(0, abs=1e-6 * 8000)
    assert shell_volume(field, 25.0).volume_mm3 == 8000


def test_a_machine_nut_by_sampling():
    # 260,000 jittered points, ± 0.3 % of the outer figure: 16,221 mm³ of shell at 2 mm (our own, by winding number).
    made = pyvista.read(examples.nutfile)
    field = DistanceField.of(Mesh.of(made.points, made.regular_faces), interior_points=POINTS)
    assert shell_volume(field, 2.0).volume_mm3 == pytest.approx(16221, abs=0.003 * 51625)


def test_a_hair_of_a_wall_on_a_large_part():
    field = DistanceField.of(shapes.box(300, 200, 100).mesh, interior_points=POINTS)
    truth = 300 * 200 * 100 - 299.9 * 199.9 * 99.9
    shell = shell_volume(field, 0.05)
    assert shell.holds(truth)
    assert shell.volume_mm3 == pytest.approx(truth, rel=ANY_REL)


NECK = 3 * cos(pi / 96)  # the polygon of 96 sides that stands for the round neck touches a smaller ball


def dumb_bell() -> Mesh:
    ball = manifold3d.Manifold.sphere(20, 96)
    neck = manifold3d.Manifold.cylinder(60, 3, 3, 96, True)
    return from_manifold(ball.translate((0, 0, -30)) + neck + ball.translate((0, 0, 30)))


@pytest.mark.parametrize("turn", TURNS)
def test_the_far_ball_stops_at_the_neck(turn):
    straight = dumb_bell()
    mesh = shapes.turned(straight, turn) if turn else straight
    foot = mesh.vertices[np.argmin(straight.vertices[:, 2])]
    field = DistanceField.of(mesh, interior_points=80_000)
    reach = Reach.of(field, tuple(foot))
    (pocket,) = reach.closed_off(5.0)
    assert pocket.closes_at_wall_mm == pytest.approx(NECK, abs=0.01)
    ball = from_manifold(manifold3d.Manifold.sphere(20, 96))
    near, far = set_in_mm3(ball, 5.0), set_in_mm3(ball, NECK)
    # The neck's mouth adds a bump to the far core: between none and a ball of twice the neck there.
    assert pocket.volume_mm3 == pytest.approx(far, rel=SMOOTH_REL)
    shell = reach.shell_volume(5.0)
    assert shell.volume_mm3 == pytest.approx(field.solid_mm3 - near - far, rel=SMOOTH_REL)
    assert reach.closed_off(2.9) == ()

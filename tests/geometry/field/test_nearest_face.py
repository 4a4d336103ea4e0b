"""The nearest triangle and the point on it, against two general-purpose libraries."""

from __future__ import annotations

import sys

import igl
import numpy as np
import pytest
import trimesh

from moldvol.geometry.field.nearest_face import closest_on_triangles, face_finder
from moldvol.geometry.field.surface import Surface
from moldvol.geometry.mesh import Mesh
from tests.shapes import ball, box, moved, torus, turned

BALL, BOX = ball(20).mesh, box(10, 20, 30).mesh
SHAPES = {
    "ball": BALL,
    "box of twelve large triangles": BOX,
    "turned torus": turned(torus().mesh),
    "as small as a bead": Mesh(BALL.vertices * 1e-3, BALL.faces),
    "as large as a boat": Mesh(BALL.vertices * 1e3, BALL.faces),
    "ten metres from the origin": moved(BOX, (1e4, -1e4, 5e3)),
    "with triangles without area": Mesh(BOX.vertices, np.concatenate([BOX.faces, [(0, 0, 1), (2, 2, 2)]])),
}


def around(mesh: Mesh, count: int = 500) -> np.ndarray:
    """Points in and around *mesh*, some of them on its vertices."""
    low, high = mesh.bounds
    spread = np.random.default_rng(5).uniform(low - (high - low) / 2, high + (high - low) / 2, (count, 3))
    return np.concatenate([spread, mesh.vertices[:20]])


@pytest.mark.parametrize("name", SHAPES)
def test_distance_against_libigl(name: str) -> None:
    mesh = SHAPES[name]
    points, faces = around(mesh), mesh.faces.astype(np.int64)
    squared = igl.point_mesh_squared_distance(points, mesh.vertices, faces)[0]
    found = Surface.of(mesh).nearest(points)
    assert found.distance_mm == pytest.approx(np.sqrt(squared), abs=5e-7 * mesh.diagonal_mm)
    assert np.linalg.norm(points - found.point_mm, axis=1) == pytest.approx(found.distance_mm, abs=1e-12)


@pytest.mark.parametrize("name", SHAPES)
def test_where_the_fast_engine_has_no_wheel_libigl_gives_the_same(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    mesh = SHAPES[name]
    points, faces = around(mesh), mesh.faces.astype(np.int64)
    corners = mesh.vertices[faces]
    fast = face_finder(mesh.vertices, faces)(points)
    monkeypatch.setitem(sys.modules, "fcpw", None)
    slow = face_finder(mesh.vertices, faces)(points)
    away = [np.linalg.norm(points - closest_on_triangles(points, corners[face]), axis=1) for face in (fast, slow)]
    assert away[0] == pytest.approx(away[1], abs=5e-7 * mesh.diagonal_mm)


def test_the_closest_point_of_random_triangles_against_trimesh() -> None:
    random = np.random.default_rng(8)
    corners, points = random.normal(size=(5000, 3, 3)), random.normal(size=(5000, 3)) * 2
    expected = trimesh.triangles.closest_point(corners, points)
    assert closest_on_triangles(points, corners) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("corners", [[(0, 0, 0), (4, 0, 0), (2, 0, 0)], [(0, 0, 0), (4, 0, 0), (4, 0, 0)]])
def test_a_triangle_without_area_is_its_edges(corners: list[tuple[int, int, int]]) -> None:
    points = np.array([(1.0, 3.0, 0.0), (9.0, 0.0, 0.0)])
    assert closest_on_triangles(points, np.array([corners, corners], dtype=float)).tolist() == [[1, 0, 0], [4, 0, 0]]


def test_no_point_has_no_nearest() -> None:
    assert Surface.of(BALL).nearest(np.zeros((0, 3))).distance_mm.shape == (0,)


def test_the_same_points_give_the_same_digits() -> None:
    first, again = (Surface.of(BALL).nearest(around(BALL)) for _ in range(2))
    assert (first.face == again.face).all() and (first.distance_mm == again.distance_mm).all()

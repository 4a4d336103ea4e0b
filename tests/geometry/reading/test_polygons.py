"""Faces of any corner count become triangles that lose no corner and cover each place once."""

from __future__ import annotations

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading.polygons import Polygons, cut_into_triangles
from moldvol.geometry.triangles import area_vectors
from tests.files import C_OUTLINE

TURN = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]  # a fixed skew plane
OUTLINES = {
    "square": ([(0, 0), (10, 0), (10, 10), (0, 10)], 100.0),
    "dart": ([(0, 0), (10, 10), (0, 4), (-10, 10)], 40.0),
    "C": (C_OUTLINE, 1000.0),
    "C with corners on straight lines": (
        [
            (0, 0),
            (10, 0),
            (25, 0),
            (40, 0),
            (40, 10),
            (30, 10),
            (20, 10),
            (20, 20),
            (40, 20),
            (40, 30),
            (0, 30),
            (0, 15),
        ],
        1000.0,
    ),
    "comb": ([(0, 0), (70, 0), *((x, 10 if x % 20 else 30) for x in range(70, -1, -10))], None),
    "a corner twice": ([(0, 0), (40, 0), (40, 0), (40, 40), (20, 5), (0, 40)], None),
}


def triangles_of(outline: np.ndarray) -> Mesh:
    polygons = Polygons(np.array([len(outline)]), np.arange(len(outline)))
    return Mesh(outline, cut_into_triangles(polygons, outline).faces)


def newell_area(outline: np.ndarray) -> float:
    return float(np.linalg.norm(np.cross(outline, np.roll(outline, -1, axis=0)).sum(axis=0)) / 2)


def boundary(faces: np.ndarray) -> set[tuple[int, int]]:
    """Directed edges without their opposite."""
    edges = [tuple(map(int, edge)) for face in faces for edge in zip(face, np.roll(face, -1), strict=True)]
    left = list(edges)
    for a, b in edges:
        if (b, a) in left and (a, b) in left:
            left.remove((a, b))
            left.remove((b, a))
    assert len(left) == len(set(left))
    return set(left)


@pytest.mark.parametrize(("points", "expected"), OUTLINES.values(), ids=OUTLINES)
@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("rolled_by", [0, 1, 3])
def test_no_corner_is_lost_and_each_place_is_covered_once(points, expected, backwards, rolled_by):
    flat = np.roll(np.array(points, dtype=float), rolled_by, axis=0)[:: -1 if backwards else 1]
    outline = np.column_stack([flat, np.zeros(len(flat))]) @ TURN.T + [100, -50, 7]
    mesh = triangles_of(outline)
    count = len(outline)
    assert len(mesh.faces) == count - 2
    assert boundary(mesh.faces) == {(i, (i + 1) % count) for i in range(count)}
    areas = np.linalg.norm(area_vectors(mesh.corners()), axis=1)
    assert areas.sum() == pytest.approx(newell_area(outline) if expected is None else expected)


def test_random_star_outlines():
    rng = np.random.default_rng(11)
    for count in range(5, 60):
        angle = np.sort(rng.random(count)) * 2 * np.pi
        radius = 1 + 9 * rng.random(count)
        flat = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.zeros(count)])
        mesh = triangles_of(flat @ TURN.T)
        assert len(mesh.faces) == count - 2
        assert len(boundary(mesh.faces)) == count


def test_an_outline_that_crosses_itself_keeps_its_edges_and_signed_area():
    star = np.array([(np.cos(a), np.sin(a), 0.0) for a in np.arange(5) * 4 * np.pi / 5])
    mesh = triangles_of(star)
    assert boundary(mesh.faces) == {(i, (i + 1) % 5) for i in range(5)}
    assert np.allclose(
        area_vectors(mesh.corners()).sum(axis=0), np.cross(star, np.roll(star, -1, axis=0)).sum(axis=0) / 2
    )


@pytest.mark.parametrize("value", [np.nan, np.inf, 1e300])
def test_corners_that_are_no_usable_numbers_are_kept(value):
    outline = np.column_stack([np.array(C_OUTLINE, dtype=float), np.zeros(8)])
    outline[3, 1] = value
    assert len(triangles_of(outline).faces) == 6


def test_faces_of_all_sizes_together():
    vertices = np.array([(np.cos(a), np.sin(a), 0) for a in np.linspace(0, 2 * np.pi, 7)[:-1]])
    polygons = Polygons(np.array([3, 6, 2, 4, 3]), np.array([0, 1, 2, 0, 1, 2, 3, 4, 5, 0, 1, 0, 1, 2, 3, 3, 4, 5]))
    cut = cut_into_triangles(polygons, vertices)
    assert len(cut.faces) == 1 + 4 + 2 + 1
    assert cut.bent == 0


def test_a_flat_face_is_not_called_bent_and_a_bent_one_is():
    square = np.array([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0)], dtype=float)
    polygons = Polygons(np.array([4]), np.arange(4))
    assert cut_into_triangles(polygons, square).bent == 0
    assert cut_into_triangles(polygons, square + np.array([(0, 0, 0), (0, 0, 0), (0, 0, 0.5), (0, 0, 0)])).bent == 1


def test_a_face_of_very_many_corners_needs_no_square_of_memory():
    count = 40_000
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    radius = np.where(np.arange(count) % 2, 10.0, 9.0)
    mesh = triangles_of(np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.zeros(count)]))
    assert len(mesh.faces) == count - 2

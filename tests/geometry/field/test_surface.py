"""Exact distances to triangles."""

import numpy as np
import pytest

from moldvol.geometry.field.surface import Surface, pieces_of
from tests import shapes

CUBE = Surface.of(shapes.box(20, 20, 20).mesh)


def test_distance_to_face_edge_and_corner():
    # 5 beyond a face; 3 and 4 beyond an edge; 1, 2 and 2 beyond a corner.
    points = np.array([[15, 0, 0], [13, 14, 0], [11, 12, 12.0]])
    assert CUBE.distance(points) == pytest.approx([5, 5, 3])


def test_nearest_point_and_its_face():
    found = CUBE.nearest(np.array([[3.0, 4.0, 12.0]]))
    assert found.point_mm[0] == pytest.approx([3, 4, 10])
    assert CUBE.face_normals(found.face)[0] == pytest.approx([0, 0, 1])


def test_places_are_spread_by_area():
    slab = Surface.of(shapes.box(30, 20, 10).mesh)
    places = slab.places(6_000)
    assert slab.distance(places).max() < 1e-9
    on_top = np.isclose(places[:, 2], 5)
    assert on_top.mean() == pytest.approx(600 / 2200, abs=1e-3)
    # Each quarter of the top has its share.
    assert (places[on_top, :2] > 0).all(axis=1).mean() == pytest.approx(1 / 4, abs=0.01)


def test_no_points_no_distances():
    found = CUBE.nearest(np.zeros((0, 3)))
    assert (found.distance_mm.shape, found.point_mm.shape, found.face.shape) == ((0,), (0, 3), (0,))


def test_a_face_without_area_has_no_normal():
    flat = Surface(np.zeros((3, 3)), np.array([[0, 1, 2]]), None)
    assert flat.face_normals(np.array([0])).tolist() == [[0, 0, 0]]


def test_pieces_are_told_apart():
    pair = shapes.together(shapes.box().mesh, shapes.moved(shapes.box().mesh, (50, 0, 0)))
    piece = pieces_of(pair.faces.astype(np.int64), len(pair.vertices))
    assert len(np.unique(piece[:8])) == len(np.unique(piece[8:])) == 1
    assert piece[0] != piece[-1]

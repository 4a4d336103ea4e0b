"""One vertex per place."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.edges import is_closed_chain
from moldvol.geometry.soundness.welding import compacted, drop_repeated_corners, near_pairs, weld, weld_near
from tests.shapes import ball, box


def soup(mesh: Mesh) -> Mesh:
    return Mesh.of(mesh.corners().reshape(-1, 3), np.arange(3 * len(mesh.faces)).reshape(-1, 3))


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_a_soup_becomes_a_mesh(kind: type) -> None:
    loose = soup(ball().mesh)
    found = weld(Mesh(loose.vertices.astype(kind), loose.faces))
    assert len(found.vertices) == len(ball().mesh.vertices) and is_closed_chain(found)
    assert found.vertices.dtype == kind
    assert found.corners() == pytest.approx(loose.corners(), rel=1e-6)


def test_a_negative_zero_is_a_zero() -> None:
    vertices = [(0.0, 0, 0), (1, 0, 0), (0, 1, 0), (-0.0, 0, -0.0), (0, -0.0, 1), (1, 0, 0)]
    assert len(weld(Mesh.of(vertices, [(0, 1, 2), (3, 4, 5)])).vertices) == 4


def test_exact_welding_joins_nothing_that_differs_in_the_last_digit() -> None:
    vertices = np.array([(0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 0, 0)], dtype=float)
    vertices[3, 0] = np.nextafter(1, 2)
    assert len(weld(Mesh.of(vertices, [(0, 1, 2), (0, 3, 2)])).vertices) == 4


def test_near_welding_touches_only_the_vertices_it_was_given() -> None:
    mesh = Mesh.of([(0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 0.01), (1, 0, 0.01), (0, 1, 0.01)], [(0, 1, 2), (3, 5, 4)])
    found = weld_near(mesh, np.array([0, 3, 1]), 0.02)
    assert found.faces.tolist() == [[0, 1, 2], [0, 5, 4]]
    assert weld_near(mesh, np.array([0, 3]), 0.005) is mesh
    assert weld_near(mesh, np.array([], dtype=int), 1.0) is mesh


def test_triangles_that_use_a_vertex_twice_go_and_slivers_stay() -> None:
    mesh = Mesh.of([(0, 0, 0), (1, 0, 0), (2, 0, 0)], [(0, 1, 2), (0, 0, 1), (2, 1, 2)])
    found, kept = drop_repeated_corners(mesh)
    assert found.faces.tolist() == [[0, 1, 2]] and kept.tolist() == [True, False, False]


def test_vertices_that_no_face_uses_go() -> None:
    mesh = box().mesh
    found = compacted(Mesh.of([(999, 0, 0), *mesh.vertices], mesh.faces + 1))
    assert found.faces.tolist() == mesh.faces.tolist() and len(found.vertices) == 8
    assert compacted(mesh) is mesh


@pytest.mark.parametrize("clump", [1, 5, 40])
def test_near_pairs_against_scipy(clump: int) -> None:
    """Also where more points lie near each other than are asked for at first, and where some coincide."""
    random = np.random.default_rng(clump)
    points = np.repeat(random.uniform(0, 10, (60, 3)), clump, axis=0) + random.normal(0, 0.02, (60 * clump, 3))
    points[1] = points[0]
    expected = {tuple(sorted(pair)) for pair in cKDTree(points).query_pairs(0.05)}
    assert {tuple(pair) for pair in near_pairs(points, 0.05).tolist()} == expected


def test_one_point_has_no_pair() -> None:
    assert near_pairs(np.zeros((1, 3)), 1.0).tolist() == []

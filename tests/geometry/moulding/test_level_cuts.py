"""Clipped volumes and meeting pieces on shapes small enough to check by hand."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from pytest import approx

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding.level_cuts import NOWHERE, cut_above, edges_of, highest_links, meetings, pieces_above
from moldvol.geometry.triangles import area_vectors, measures
from tests import shapes

UPRIGHT = np.array([0.0, 0.0, 1.0])


def cut(mesh: Mesh, level: float):
    heights = mesh.vertices @ UPRIGHT
    plan = area_vectors(mesh.corners()) @ UPRIGHT
    return cut_above(heights, mesh.faces, plan, np.ones(len(heights), dtype=bool), level)


@pytest.mark.parametrize("level", [-2.0, 0.0, 0.25, 0.5, 0.9])
def test_a_corner_tetrahedron_above_a_level(level):
    mesh = Mesh.of([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
    found = cut(mesh, level)
    left = 1 - max(level, 0)
    assert found.volume_mm3 == approx(left**3 / 6)
    assert found.area_mm2 == approx(left**2 / 2 if level >= 0 else 0, abs=1e-12)


@pytest.mark.parametrize("level", [-7.0, 0.3, 4.0])
def test_both_sides_of_a_level_make_up_the_whole(level):
    mesh = shapes.turned(shapes.torus(10, 4).mesh, seed=4)
    upside_down = mesh.transformed(np.diag([1, -1, -1, 1]))
    assert cut(mesh, level).volume_mm3 + cut(upside_down, -level).volume_mm3 == approx(measures(mesh).signed_volume_mm3)
    assert cut(mesh, level).area_mm2 == approx(cut(upside_down, -level).area_mm2)


def test_every_edge_is_listed_once():
    cube = shapes.box(2, 2, 2).mesh
    assert edges_of(cube).shape == (18, 2)


def test_two_humps_are_two_pieces_above_their_pass():
    edges = np.array([[0, 1], [1, 2], [2, 3], [3, 4]])
    heights = np.array([1.0, 5.0, 2.0, 4.0, 1.0])
    assert pieces_above(edges, heights, 0.0).max() == 0
    labels = pieces_above(edges, heights, 3.0)
    assert labels[[0, 2, 4]].tolist() == [NOWHERE] * 3
    assert labels[1] != labels[3]


def test_pieces_meet_at_the_highest_pass():
    # Two tops, 0 and 4, joined over vertex 1 at 3 and over vertices 2 and 3 at 1.
    edges = np.array([[0, 1], [1, 4], [0, 2], [2, 3], [3, 4]])
    heights = np.array([9.0, 3.0, 1.0, 2.0, 8.0])
    (found,) = meetings(edges, heights, [(np.array([0]), np.array([4]))])
    assert (found.height_mm, found.vertex) == (3.0, 1)


def test_sides_that_share_a_vertex_meet_there_and_strangers_never_do():
    edges = np.array([[0, 1], [2, 3]])
    heights = np.array([5.0, 4.0, 3.0, 2.0])
    same, strangers = meetings(edges, heights, [(np.array([1]), np.array([0, 1])), (np.array([0]), np.array([3]))])
    assert (same.height_mm, same.vertex) == (4.0, 1)
    assert (strangers.height_mm, strangers.vertex) == (-inf, NOWHERE)


def test_the_highest_links_span_and_come_in_order():
    ends = np.array([[0, 1], [1, 2], [0, 2]])
    heights = np.array([1.0, 3.0, 2.0])
    assert highest_links(heights, ends, 3).tolist() == [1, 2]

"""Directions, turns and boxes against what can be worked out by hand."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from pytest import approx

from moldvol.errors import RequestError, UnsoundMesh
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding.orientation import (
    Clearance,
    filed_box,
    pour_directions,
    rotation_to_up,
    smallest_boxes,
    turned,
    unit_vector,
)
from tests import shapes

NO_ROOM = Clearance(0, 0, 0)
ROUND_OFF = 1e-9


def test_there_are_26_directions_and_the_upright_one_comes_among_the_first():
    directions = pour_directions()
    assert directions.shape == (26, 3)
    assert len(np.unique(directions.round(9), axis=0)) == 26
    assert np.linalg.norm(directions, axis=1) == approx(np.ones(26))
    assert [0, 0, 1] in directions[:6].tolist()


@pytest.mark.parametrize(
    "up", [(0, 0, 1), (0, 0, -1), (1, 0, 0), (1, 2, 3), (1e-9, 0, -1), (-2, 5, 0.1), (1e-6, 1e-6, -1)]
)
def test_the_turn_brings_up_to_the_top_and_is_a_rotation(up):
    rotation = rotation_to_up(up)
    assert rotation @ unit_vector(up) == approx(np.array([0, 0, 1]), abs=ROUND_OFF)
    assert rotation @ rotation.T == approx(np.eye(3), abs=ROUND_OFF)
    assert np.linalg.det(rotation) == approx(1)


def test_a_direction_without_length_is_refused():
    with pytest.raises(RequestError, match=r"^'0,0,0' points nowhere; write a direction like 0,0,1\.$"):
        unit_vector((0, 0, 0))


def test_a_turned_box_is_found_again():
    pose = smallest_boxes(shapes.turned(shapes.box(60, 40, 20).mesh, seed=5), NO_ROOM)[0]
    assert sorted(pose.part_mm) == approx([20, 40, 60], rel=1e-6)
    assert pose.volume_mm3 == approx(48000, rel=1e-6)


def test_the_rotation_of_a_pose_gives_the_size_it_states():
    mesh = shapes.turned(shapes.cone(10, 30).mesh, seed=3)
    for pose in smallest_boxes(mesh, Clearance(5, 4, 3), count=5):
        size = turned(mesh, pose.rotation).size_mm
        assert size == approx(np.array(pose.part_mm), rel=1e-6)
        assert np.array(pose.box_mm) == approx(size + np.array([10, 10, 7]), rel=1e-6)


def test_clearance_decides_which_way_a_rod_lies():
    # 10 × 10 × 100 with 20 mm at the sides and nothing above or below:
    # standing 50 × 50 × 100 = 250,000; lying 140 × 50 × 10 = 70,000.
    pose = smallest_boxes(shapes.box(10, 10, 100).mesh, Clearance(20, 0, 0))[0]
    assert pose.volume_mm3 == approx(70_000, rel=ROUND_OFF)
    # 60 mm above and below instead: lying 100 × 10 × 130 = 130,000; standing 10 × 10 × 220 = 22,000.
    pose = smallest_boxes(shapes.box(10, 10, 100).mesh, Clearance(0, 60, 60))[0]
    assert pose.volume_mm3 == approx(22_000, rel=ROUND_OFF)


def test_a_tetrahedron_in_a_cube():
    # The regular tetrahedron on alternate corners of a cube of 10: standing on an edge its box is the cube (1000); on
    # a face its height is a·sqrt(2/3) over the smallest rectangle of a triangle, a × a·sqrt(3)/2, with a = 10·sqrt(2).
    corners = np.array([[0, 0, 0], [10, 10, 0], [10, 0, 10], [0, 10, 10]])
    mesh = Mesh.of(corners, [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
    side = 10 * sqrt(2)
    on_a_face = side * side * sqrt(3) / 2 * side * sqrt(2 / 3)
    volumes = [pose.volume_mm3 for pose in smallest_boxes(mesh, NO_ROOM)]
    assert volumes[0] == approx(1000, rel=ROUND_OFF)
    assert volumes[1] == approx(on_a_face, rel=ROUND_OFF)


def test_the_filed_pose_is_the_bounding_box_with_its_clearance():
    pose = filed_box(shapes.box(60, 40, 20).mesh, Clearance(10, 15, 0))
    assert pose.as_filed
    assert pose.box_mm == approx((80, 60, 35))


def test_a_flat_part_has_no_box():
    flat = Mesh.of([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0]], [[0, 1, 2], [1, 3, 2]])
    with pytest.raises(UnsoundMesh, match="flat"):
        smallest_boxes(flat, NO_ROOM)

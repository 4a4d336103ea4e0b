"""Undercuts of shapes whose hidden surface can be worked out by hand."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from pytest import approx

from moldvol.geometry.moulding.undercuts import best_releases, best_split, release
from tests import shapes

SHARE = 0.02  # three standard errors of 6,000 samples, at most
UP = (0, 0, 1)


def test_a_box_comes_free_and_slides_along_its_walls():
    found = release(shapes.box(20, 30, 40).mesh, UP)
    assert found.undercut_share == 0
    assert found.worst_at_mm is None
    assert found.base_share == approx(600 / 5200, abs=SHARE)
    assert found.undraughted_share == approx(4000 / 4600, abs=SHARE)


def test_half_of_a_ball_is_undercut():
    found = release(shapes.ball(10).mesh, UP)
    assert found.undercut_share == approx(0.5, abs=SHARE)
    assert found.undercut_mm2 == approx(2 * pi * 100, rel=2 * SHARE)
    assert found.error_share < 0.01


def test_a_cone_on_its_base_comes_free_and_on_its_point_does_not():
    cone = shapes.cone(15, 40).mesh
    assert release(cone, UP).undercut_share == 0
    assert release(cone, UP).undraughted_share == 0
    assert release(cone, (0, 0, -1)).undercut_share == approx(1 - 15 / (15 + 42.72), abs=SHARE)


def test_a_mushroom_hides_its_stem():
    # A disc of radius 20, 5 thick, on a stem of radius 5 and 30 high: its underside and all of the stem are undercut.
    mushroom = shapes.lathe([(0, 0), (5, 0), (5, 30), (20, 30), (20, 35), (0, 35)])
    hidden = pi * (20**2 - 5**2) + 2 * pi * 5 * 30
    moulded = hidden + 2 * pi * 20 * 5 + pi * 20**2
    found = release(mushroom, UP)
    assert found.undercut_share == approx(hidden / moulded, abs=SHARE)
    assert np.hypot(*found.worst_at_mm[:2]) <= 20


def test_turning_part_and_pull_together_changes_nothing():
    import trimesh

    matrix = trimesh.transformations.random_rotation_matrix(np.random.default_rng(3).random(3))
    mushroom = shapes.lathe([(0, 0), (5, 0), (5, 30), (20, 30), (20, 35), (0, 35)])
    turned = release(mushroom.transformed(matrix), matrix[:3, :3] @ UP)
    assert turned.undercut_share == approx(release(mushroom, UP).undercut_share, abs=2e-3)


def test_the_best_pull_of_a_cone_is_off_its_base():
    best = best_releases(shapes.cone(15, 40).mesh)
    assert len(best) == 3
    assert best[0].pull == (0, 0, 1)
    assert best[0].undercut_share == 0 < best[1].undercut_share <= best[2].undercut_share


def test_two_halves_release_a_ball_at_its_equator():
    split = best_split(shapes.moved(shapes.ball(10).mesh, (0, 0, 3)), [UP])
    assert split.undercut_share == approx(0, abs=SHARE)
    assert split.parting_mm == approx(3, abs=0.2)
    assert split.misplaced_share == approx(0, abs=SHARE)


def test_a_ring_parts_flat_and_not_upright():
    split = best_split(shapes.torus(30, 10).mesh)
    assert np.abs(split.pull) == approx([0, 0, 1])
    assert split.undercut_share == approx(0, abs=SHARE)
    assert split.parting_mm == approx(0, abs=0.5)


@pytest.mark.parametrize("pull", [UP, (0, 0, -1)])
def test_a_closed_box_with_a_void_can_never_be_two_halves(pull):
    from moldvol.geometry.mesh import join

    hollow = join([shapes.box(20, 20, 20).mesh, shapes.box(10, 10, 10).mesh.flipped()])
    # The void's floor and ceiling and, but for grazing rays, its walls lie between the outer walls.
    assert best_split(hollow, [pull]).undercut_share == approx(600 / 3000, abs=SHARE)

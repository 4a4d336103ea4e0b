"""What closes off, where and at which wall; the exact dumb-bell is in tests/verification/test_hollow.py."""

from functools import lru_cache

import numpy as np
import pytest

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.reach import Reach, closed_off
from moldvol.geometry.field.shell import shell_volume
from moldvol.geometry.mesh import Mesh
from tests import shapes

POINTS = 40_000

# Radius and height: a base of 15, a neck of 4 from 34 to 40, a head of 12, a neck of 2, a knob of 6.
FIGURE = [
    (0, 0), (15, 0), (15, 30), (4, 34), (4, 40), (12, 46), (12, 60), (2, 64), (2, 70), (6, 72), (6, 84), (0, 84),
]  # fmt: skip


@lru_cache
def figure():
    return Reach.of(DistanceField.of(shapes.lathe(FIGURE, 64), interior_points=POINTS))


def test_necks_close_one_after_the_other():
    reach = figure()
    half = [pocket.closes_at_wall_mm for pocket in reach.closed_off(10.0)]
    assert half == pytest.approx([2, 4], rel=0.01)
    assert reach.closed_off(1.9) == ()
    assert [pocket.closes_at_wall_mm for pocket in reach.closed_off(3.0)] == pytest.approx([2], rel=0.01)


def test_places_of_necks_and_pockets():
    knob, head = figure().closed_off(10.0)
    assert knob.neck_at_mm[:2] == pytest.approx((0, 0), abs=0.1)
    assert 64 < knob.neck_at_mm[2] < 70
    assert 34 < head.neck_at_mm[2] < 40
    assert 72 < knob.deepest_at_mm[2] < 84
    assert 46 < head.deepest_at_mm[2] < 60


def test_a_closed_pocket_keeps_its_wall():
    reach = figure()
    head = reach.closed_off(6.0)[-1]
    with_reach, everywhere = reach.shell_volume(6.0), shell_volume(reach.field, 6.0)
    assert with_reach.volume_mm3 < everywhere.volume_mm3 - 0.5 * head.volume_mm3
    assert reach.shell_volume(1.5).volume_mm3 == shell_volume(reach.field, 1.5).volume_mm3


def test_thicker_than_all_necks_the_pockets_stay():
    reach = figure()
    at_6, at_7 = reach.wall_everywhere(6.0), reach.wall_everywhere(7.0)
    assert np.array_equal(at_6 != 6.0, at_7 != 7.0)
    assert np.array_equal(at_6[at_6 != 6.0], at_7[at_7 != 7.0])


def test_poured_from_the_knob_the_body_is_the_pocket():
    from_top = Reach.of(figure().field, "top")
    assert min(pocket.closes_at_wall_mm for pocket in from_top.pockets) == pytest.approx(2, rel=0.01)
    assert max(pocket.volume_mm3 for pocket in from_top.pockets) > 10_000


@pytest.mark.parametrize("turn", range(4))
@pytest.mark.parametrize(
    ("mesh", "opening"),
    [
        (shapes.box(60, 20, 12).mesh, (0, 0, -6)),
        (shapes.cylinder(6, 60, 48).mesh, (0, 0, -30)),
        (shapes.torus(20, 6, 48).mesh, (20, 0, -6)),
    ],
)
def test_ripples_of_the_grid_are_no_pockets(mesh, opening, turn):
    place = Mesh.of([opening] * 3, [(0, 1, 2)])
    if turn:
        mesh, place = shapes.turned(mesh, turn), shapes.turned(place, turn)
    field = DistanceField.of(mesh, interior_points=POINTS // 2)
    assert closed_off(field, tuple(place.vertices[0]), 100.0) == ()


@pytest.mark.parametrize("points", [3000, 5000, 8000, 20_000, 60_000])
def test_a_neck_close_to_the_floor_is_the_same_on_every_grid(points):
    """A foot from 0 to 22 with a waist of 8.6 at 9.5: towards the floor the way in ends, it does not get narrower."""
    figure = shapes.lathe([(0, 0), (20, 0), (8.6, 9.5), (20, 22), (20, 50), (0, 50)])
    (pocket,) = Reach.of(DistanceField.of(figure, interior_points=points)).pockets
    assert pocket.closes_at_wall_mm == pytest.approx(8.6, rel=5e-3)
    assert pocket.volume_mm3 == pytest.approx(8264, rel=0.011)  # of 250,000 points


def test_two_bodies_are_no_pocket_of_each_other():
    pair = shapes.together(shapes.ball(10, 3).mesh, shapes.moved(shapes.ball(10, 3).mesh, (30, 0, 0)))
    assert Reach.of(DistanceField.of(pair, interior_points=POINTS // 4)).pockets == ()


def test_a_passage_finer_than_the_grid_is_shut_from_the_start():
    hair = [(0, 0), (10, 0), (10, 20), (0.05, 20), (0.05, 30), (10, 30), (10, 50), (0, 50)]
    (pocket,) = Reach.of(DistanceField.of(shapes.lathe(hair, 32), interior_points=10_000)).pockets
    assert pocket.closes_at_wall_mm == 0
    assert pocket.volume_mm3 == pytest.approx(np.pi * 100 * 20, rel=0.02)


@pytest.mark.parametrize("wall_mm", [0, float("nan")])
def test_no_wall_no_answer(wall_mm):
    with pytest.raises(RequestError, match="cannot be cast"):
        figure().closed_off(wall_mm)
    with pytest.raises(RequestError, match="cannot be cast"):
        figure().shell_volume(wall_mm)

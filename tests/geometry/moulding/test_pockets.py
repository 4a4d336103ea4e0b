"""Tops and passes of rooms that can be worked out in the head."""

from __future__ import annotations

import numpy as np
from pytest import approx

from moldvol.geometry.grid import Grid
from moldvol.geometry.moulding.open_space import OpenSpace
from moldvol.geometry.moulding.pockets import OPEN_AIR, find_pockets
from tests import shapes

SPACING = 0.5
NET_REL = 0.05  # a wall in step with the lines may take or leave half a row of 20
UP = np.array([0.0, 1.0, 0.0])


def chimneys() -> OpenSpace:
    """Three chimneys of 50, 40 and 30; the first two meet at 5, the last two at 20."""
    mesh = shapes.prism(
        [
            (0, 0),
            (50, 0),
            (50, 30),
            (40, 30),
            (40, 20),
            (30, 20),
            (30, 40),
            (20, 40),
            (20, 5),
            (10, 5),
            (10, 50),
            (0, 50),
        ],
        10,
    )
    return OpenSpace.inside(mesh, Grid.over(mesh.bounds, SPACING), axis=1)


def test_the_lower_of_two_tops_becomes_the_pocket():
    (outer,) = find_pockets(chimneys(), UP, smallest_mm3=1)
    assert (outer.peak_height_mm, outer.pass_height_mm) == approx((40, 5))
    assert outer.volume_mm3 == approx((35 * 10 + 15 * 20 + 10 * 10) * 10, rel=NET_REL)
    (inner,) = outer.within
    assert (inner.peak_height_mm, inner.pass_height_mm) == approx((30, 20))
    assert inner.beyond == outer.peak
    assert outer.own_mm3 + inner.own_mm3 == approx(outer.volume_mm3)
    assert [top.peak for top in outer.all_tops()] == [outer.peak, inner.peak]


def test_an_exit_turns_the_highest_top_into_a_pocket():
    space = chimneys()
    middle = space.nearest_run((25, 40, 5))
    tall, short = find_pockets(space, UP, exits=[(middle, 40.0)], smallest_mm3=1)
    assert (tall.peak_height_mm, tall.pass_height_mm) == approx((50, 5))
    assert (short.peak_height_mm, short.pass_height_mm) == approx((30, 20))
    assert tall.beyond == short.beyond == OPEN_AIR


def test_small_and_shallow_pockets_are_left_out():
    assert find_pockets(chimneys(), UP, smallest_mm3=1e6) == ()
    (outer,) = find_pockets(chimneys(), UP, smallest_mm3=1, shallowest_mm=15)
    assert outer.within == ()


def test_a_level_ceiling_askew_to_the_runs_has_no_pockets():
    mesh = shapes.turned(shapes.box(40, 30, 20).mesh, seed=2)
    space = OpenSpace.inside(mesh, Grid.over(mesh.bounds, SPACING))
    turn = shapes.turned(shapes.box(2, 2, 2).mesh, seed=2)
    corners = turn.vertices[np.argsort(shapes.box(2, 2, 2).mesh.vertices[:, 2])]
    up = corners[4:].mean(axis=0)
    assert find_pockets(space, up / np.linalg.norm(up), smallest_mm3=10 * SPACING**3, shallowest_mm=SPACING) == ()

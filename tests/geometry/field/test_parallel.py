"""Parallel bodies: outlines and what is refused; their volumes are held to formulas in the verification tests."""

from __future__ import annotations

from math import pi

import pytest
from pytest import approx

from moldvol.errors import RequestError
from moldvol.geometry.field.parallel import ParallelBodies
from tests import shapes

POINTS = 40_000
GIRTH_REL = 0.02


def test_the_girth_at_the_foot_is_that_of_the_grown_outline():
    bodies = ParallelBodies.of(shapes.box(60, 40, 20).mesh, 8, on_board=True, points=POINTS)
    assert bodies.girth_mm(8) == approx(200 + 2 * pi * 8, rel=GIRTH_REL)


def test_the_foot_lies_where_the_part_stands():
    body = shapes.moved(shapes.box(60, 40, 20).mesh, (7, -3, 105))
    bodies = ParallelBodies.of(body, 8, on_board=True, points=POINTS)
    assert bodies.foot_mm == approx(95)
    around = ParallelBodies.of(body, 8, points=POINTS)
    sole = 2400 * 8 + pi / 4 * 64 * 200 + 2 / 3 * pi * 512
    assert around.added(8).volume_mm3 - bodies.added(8).volume_mm3 == approx(sole, rel=0.01)


def test_a_volume_known_better_is_taken_off():
    body = shapes.box(20, 20, 20).mesh
    plain = ParallelBodies.of(body, 3, points=POINTS).added(3).volume_mm3
    told = ParallelBodies.of(body, 3, points=POINTS, volume_mm3=8010.0).added(3).volume_mm3
    assert plain - told == approx(10, abs=5)


@pytest.mark.parametrize("thickness", [0.0, -3.0, float("nan"), float("inf")])
def test_a_skin_of_nothing_is_refused(thickness):
    with pytest.raises(RequestError, match="is none; give a thickness above 0 mm"):
        ParallelBodies.of(shapes.box().mesh, thickness)

"""Coats and rims of a glove."""

from __future__ import annotations

from math import pi

import pytest
from pytest import approx

from moldvol.casting.mould.glove import coat_ends_mm, plan_coats, plan_flange, skin_volume
from moldvol.errors import RequestError
from moldvol.geometry.field.parallel import ParallelBodies
from tests import shapes

POINTS = 40_000
GIRTH_REL = 0.02  # of an outline on one layer of cells


@pytest.fixture(scope="module")
def bodies() -> ParallelBodies:
    return ParallelBodies.of(shapes.box(60, 40, 20).mesh, 6, on_board=True, points=POINTS)


@pytest.mark.parametrize(
    ("thickness", "ends"),
    [(0.8, (0.8,)), (1.0, (1.0,)), (4.0, (1.0, 4.0)), (4.5, (1.0, 2.75, 4.5)), (10.0, (1.0, 4.0, 7.0, 10.0))],
)
def test_coats_are_equal_and_at_most_three_millimetres(thickness, ends):
    assert coat_ends_mm(thickness) == approx(ends)


@pytest.mark.parametrize(("coats", "ends"), [(1, (8.0,)), (2, (1.0, 8.0)), (3, (1.0, 4.5, 8.0))])
def test_so_many_coats_as_were_asked_for(coats, ends):
    assert coat_ends_mm(8.0, coats=coats) == approx(ends)


def test_a_detail_coat_that_is_all_leaves_no_room_for_more():
    with pytest.raises(RequestError, match="A skin of 1 mm is done with the detail coat of 1 mm"):
        coat_ends_mm(1.0, coats=2)


def test_a_rim_is_a_band_around_the_outline(bodies):
    flange = plan_flange(bodies, 6, 12)
    assert flange.area_mm2 == approx((200 + 2 * pi * 6) * 12 + pi * 12**2, rel=GIRTH_REL)
    assert flange.volume_mm3 == approx(flange.area_mm2 * 6)


def test_no_width_is_no_rim_and_less_is_refused(bodies):
    assert plan_flange(bodies, 6, 0) is None
    with pytest.raises(RequestError, match="A flange of -2 mm is below nothing"):
        plan_flange(bodies, 6, -2)


def test_coats_with_a_rim_add_up_to_the_skin(bodies):
    flange = plan_flange(bodies, 6, 12)
    coats = plan_coats(bodies, coat_ends_mm(6), flange)
    assert sum(coat.volume_mm3 for coat in coats) == approx(skin_volume(bodies, 6, flange).volume_mm3)
    assert [coat.thickened for coat in coats] == [False, True, True]


def test_a_glove_or_detail_coat_of_nothing_is_refused():
    with pytest.raises(RequestError, match="A detail coat of 0 mm is none"):
        coat_ends_mm(8, 0)
    with pytest.raises(RequestError, match="A glove of 0 mm is none"):
        coat_ends_mm(0)

"""Which way up a mould is when it is cast in, and what air it keeps then."""

from __future__ import annotations

import pytest
from pytest import approx

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.air import air_when_cast, pour_direction
from moldvol.casting.mould.plan import plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.materials.shelf import load_shelf
from tests import shapes
from tests.casting.mould.test_plan import solid

pytestmark = pytest.mark.usefixtures("coarse_grids")

EXACT_REL = 1e-5
# A gate of two posts of 10 × 10 × 40 under a beam of 40 × 10 × 10; it stands with y up.
GATE = solid(shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10))


def plan(up=(0, 1, 0), **asked):
    mix = MixRequest(resin=load_shelf().resins["tin-silicone"])
    return plan_mould(GATE, MouldRequest(mix=mix, up=up, **asked))


def test_a_closed_mould_is_filled_as_the_master_stood_where_no_other_side_is_better():
    closed = plan()
    assert pour_direction(closed) == approx((0, 1, 0))
    assert air_when_cast(closed).volume_mm3 == 0  # through the beam, air leaves both posts


def test_a_closed_mould_is_turned_over_where_that_frees_its_air():
    on_its_head = plan(up=(0, -1, 0))
    assert air_when_cast(on_its_head).volume_mm3 == 0
    assert pour_direction(on_its_head) != approx((0, -1, 0))


def test_two_halves_have_their_sprue_in_the_parting():
    lying = plan(up=(0, 0, 1), parts=2)
    assert abs(pour_direction(lying)[2]) < 1e-9
    assert air_when_cast(lying).volume_mm3 == 0


def test_what_stood_on_the_board_comes_up_and_one_foot_keeps_its_air():
    open_ = plan(open_face=True)
    assert pour_direction(open_) == approx((0, -1, 0))
    air = air_when_cast(open_)
    assert air.volume_mm3 == approx(4000, rel=EXACT_REL)
    assert len(air.pockets) == 1


@pytest.mark.parametrize("up", [(1, 0, 0), (0, -1, 0)])
def test_an_open_side_comes_up(up):
    assert pour_direction(plan(up=up, open_face=True)) == approx([-x for x in up])

"""No allowance below nothing: with it the cup would hold less than the casts take."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from moldvol.casting.allowance import allowance_for
from moldvol.casting.cast import CastRequest, plan_cast
from moldvol.casting.compare import plan_compare
from moldvol.casting.fill import plan_fill
from moldvol.casting.fill_request import FillRequest
from moldvol.casting.hollow import HollowRequest, plan_hollow
from moldvol.casting.hollow_part import HollowPart, field_of
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.plan import plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.errors import RequestError
from moldvol.geometry.judging import solid_of
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.wetting import usual_loss_share
from tests.shapes import box

SHELF = load_shelf()
MIX = MixRequest(resin=SHELF.resin("slow-urethane"))
RUBBER = MixRequest(resin=SHELF.resin("tin-silicone"))
BLOCK = solid_of(MeshFile("part.stl", "stl", (MeshPart("", box(60, 40, 20).mesh),), None, False, ()))


def part() -> HollowPart:
    return HollowPart.of(BLOCK, field_of(BLOCK, interior_points=5_000), None)


PLANS: dict[str, Callable[[float], object]] = {
    "cast": lambda share: plan_cast(BLOCK, CastRequest(mix=MIX, allowance=share)),
    "hollow": lambda share: plan_hollow(part(), HollowRequest(mix=MIX, wall_mm=3, allowance=share)),
    "compare": lambda share: plan_compare(part(), [MIX], [3], allowance=share),
    "mould": lambda share: plan_mould(BLOCK, MouldRequest(mix=RUBBER, allowance=share)),
    "fill": lambda share: plan_fill(BLOCK, FillRequest(mix=MIX, taken_as="cavity", allowance=share)),
}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS.keys())
def test_no_plan_takes_an_allowance_below_nothing(plan: Callable[[float], object]) -> None:
    with pytest.raises(RequestError, match=r"^The allowance as a share is -0\.5; give 0 or more\.$"):
        plan(-0.5)


@pytest.mark.parametrize("share", [-1e-9, math.nan, math.inf])
def test_shares_that_are_none_are_refused(share: float) -> None:
    with pytest.raises(RequestError, match="allowance as a share"):
        allowance_for(100.0, stated=share)


@pytest.mark.parametrize(
    ("net_g", "share"), [(1, 0.10), (100, 0.10), (200, 0.0875), (300, 0.075), (500, 0.05), (9_000, 0.05)]
)
def test_the_usual_allowance_is_the_practice_of_the_options_page(net_g: float, share: float) -> None:
    """10 % up to 100 g, 5 % from 500 g, in between in proportion; and it is what a cup is taken to keep."""
    usual = allowance_for(net_g)
    assert usual.share == pytest.approx(share)
    assert usual.source == "usual"
    assert usual_loss_share(net_g) == pytest.approx(share)


def test_none_at_all_is_an_answer() -> None:
    assert allowance_for(100.0, stated=0.0).share == 0

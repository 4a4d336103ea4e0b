"""Pots are equal, hold what fits, add up to what is needed, and are poured in time."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.casting.mixing.mix import MixRequest
from moldvol.casting.mixing.pots import PotPlan, Pots, liquid_ml, plan_pots
from moldvol.errors import RequestError
from moldvol.materials.mixtures.additions import Addition
from tests.bench import TENTH, polyester, powder, silicone, urethane


def request(mass_g: float = 1000, **changes: Any) -> MixRequest:
    return replace(MixRequest(resin=urethane(), mass_g=mass_g, scale=TENTH), **changes)


def codes(plan: PotPlan) -> set[str]:
    return {notice.code for notice in plan.notices}


@given(
    mass=st.floats(10, 20_000),
    pot=st.floats(100, 2000),
    loss=st.floats(0, 20),
    resin=st.sampled_from([urethane(), polyester(), silicone()]),
)
def test_pots_hold_what_is_needed_and_no_more_than_fits(mass: float, pot: float, loss: float, resin: Any) -> None:
    pots = Pots(pot_ml=pot, loss_g=loss)
    plan = plan_pots(request(mass, resin=resin), pots)
    assert abs(plan.mixed_g - plan.needed_g - plan.lost_g) <= 0.1 * 0.501 + 1e-6
    assert max(one.mass_g for one in plan.pots) - min(one.mass_g for one in plan.pots) <= 0.1 + 1e-6
    for one in plan.pots[:2] + plan.pots[-1:]:
        assert one.mix.total_mass_g == pytest.approx(one.mass_g)
        assert math.fsum(part.reading_g for part in one.mix.components) == pytest.approx(one.mass_g)
        # A step of the display may go into a pot that was full to the mark.
        assert liquid_ml(one.mix) <= pots.usable_ml + 0.2
    # One pot fewer would not have done.
    first = plan.pots[0]
    poured_from_a_full_pot_g = pots.usable_ml * first.mass_g / liquid_ml(first.mix) - loss
    slack_g = 0.1 * len(plan.pots)  # steps of the display
    assert len(plan.pots) == 1 or (len(plan.pots) - 1) * poured_from_a_full_pot_g < plan.needed_g + slack_g


def test_the_usable_share_counts() -> None:
    assert plan_pots(request(), Pots(pot_ml=250)).usable_ml == pytest.approx(175)
    assert len(plan_pots(request(), Pots(pot_ml=250)).pots) == 6  # 1000 g are 899 ml of liquid, 5.1 pots of 175 ml
    assert len(plan_pots(request(), Pots(pot_ml=250, usable_share=1)).pots) == 4


def test_what_sticks_to_the_pots_may_need_one_more() -> None:
    assert len(plan_pots(request(), Pots(pot_ml=260)).pots) == 5
    sticky = plan_pots(request(), Pots(pot_ml=260, loss_g=5))
    assert (len(sticky.pots), sticky.lost_g, sticky.mixed_g) == (6, 30, pytest.approx(1030))


def test_one_after_the_other_in_time() -> None:
    plan = plan_pots(request(), Pots(pot_ml=250, mixing_s=60, pouring_s=30))
    assert [one.number for one in plan.pots] == [1, 2, 3, 4, 5, 6]
    assert [one.start_s for one in plan.pots] == [0, 90, 180, 270, 360, 450]
    assert plan.finished_s == plan.pots[-1].poured_s == 540
    assert all(one.poured_s < one.pour_by_s <= one.start_s + 300 for one in plan.pots)


def test_a_warm_bench_leaves_less_time() -> None:
    cool, warm = (plan_pots(request(bench_c=bench_c), Pots(pot_ml=250)) for bench_c in (20, 30))
    assert warm.pots[0].pour_by_s == pytest.approx(cool.pots[0].pour_by_s / 2, rel=0.02)


def test_too_slow_for_the_resin() -> None:
    plan = plan_pots(request(resin=urethane(pot_life_s=80.0)), Pots(pot_ml=250))
    assert "pot-life-short" in codes(plan)
    assert "pot-life-short" not in codes(plan_pots(request(), Pots(pot_ml=250)))


def test_a_seam_where_the_first_pot_gels_before_the_next_comes() -> None:
    quick = urethane(pot_life_s=95.0, gel_time_s=120.0)
    assert "cold-joint" in codes(plan_pots(request(resin=quick), Pots(pot_ml=250)))
    assert "cold-joint" not in codes(plan_pots(request(100, resin=quick), Pots(pot_ml=250)))


def test_one_bigger_pot_where_there_is_time() -> None:
    bigger = plan_pots(request(resin=silicone()), Pots(pot_ml=250, loss_g=5)).bigger_pot
    assert bigger is not None
    assert (bigger.mass_g, bigger.volume_ml, bigger.allowed) == (pytest.approx(1005), 1310, True)
    assert bigger.reason == "mixing and pouring take 4.0 min, 1005 g in one pot live about 5.0 min"


def test_no_bigger_pot_where_it_would_set_in_it() -> None:
    bigger = plan_pots(request(4000), Pots(pot_ml=250)).bigger_pot
    assert bigger is not None and not bigger.allowed


def test_more_catalyst_hurries_the_bigger_pot_and_the_seam_too() -> None:
    resin = polyester(pot_life_s=400.0, gel_time_s=400.0)
    usual, hurried = (plan_pots(request(resin=resin, catalyst_percent=dose), Pots(pot_ml=250)) for dose in (1.0, 3.0))
    assert usual.bigger_pot is not None and usual.bigger_pot.allowed
    assert hurried.bigger_pot is not None and not hurried.bigger_pot.allowed
    assert "cold-joint" in codes(hurried) - codes(usual)


def test_no_bigger_pot_than_the_one_that_does() -> None:
    plan = plan_pots(request(100), Pots(pot_ml=250))
    assert (len(plan.pots), plan.bigger_pot) == (1, None)


def test_every_pot_gets_its_share_of_everything() -> None:
    chalk = Addition(filler=powder(2.7, name="chalk"), by_weight=20)
    plan = plan_pots(request(resin=polyester(), additions=(chalk,)), Pots(pot_ml=250))
    first = plan.pots[0].mix
    assert [one.name for one in first.components] == ["resin", "chalk", "catalyst"]
    resin, powder_g, catalyst = (one.mass_g for one in first.components)
    assert (powder_g / resin, catalyst / resin) == pytest.approx((0.2, 0.01))


def test_a_volume_is_split_as_well() -> None:
    plan = plan_pots(request(mass_g=None, volume_ml=1000), Pots(pot_ml=250))
    assert plan.needed_g == pytest.approx(1100)
    assert plan.mixed_g == pytest.approx(1100, abs=0.05)


@pytest.mark.parametrize(
    ("pots", "sentence"),
    [
        ({"pot_ml": 0}, "The volume of the pot in ml is 0; give a number above 0."),
        ({"pot_ml": 250, "usable_share": 70}, "The usable share of the pot is 7000 %; give 1 % to 100 % (0.01 to 1)."),
        ({"pot_ml": 250, "mixing_s": -1}, "The time to mix a pot in s is -1; give 0 or more."),
        ({"pot_ml": 250, "pouring_s": math.nan}, "The time to pour a pot in s is nan; give 0 or more."),
        ({"pot_ml": 250, "loss_g": -1}, "The loss in a pot in g is -1; give 0 or more."),
        ({"pot_ml": 10, "loss_g": 9}, "A pot of 10 ml takes 7.8 g, and 9 g stick to it; use a bigger pot."),
        ({"pot_ml": 1}, "1000 g in pots of 1 ml would be 1285 pots; use a bigger pot."),
    ],
)
def test_impossible_pots_are_refused(pots: dict[str, float], sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        plan_pots(request(), Pots(**pots))
    assert str(refusal.value) == sentence


def test_what_is_poured_stands_in_one_cup() -> None:
    with pytest.raises(RequestError, match=r"^What is poured already stands in one cup; plan it without pots\.$"):
        plan_pots(request(poured={"A": 5}), Pots(pot_ml=250))

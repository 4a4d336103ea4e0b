"""A recipe adds up, keeps its ratio to the scale's last digit, and never takes anything out of the cup."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.casting.mixing.mix import MixPlan, plan_mix
from moldvol.errors import RequestError
from moldvol.materials.mixtures.additions import Addition
from moldvol.materials.weighing.scales import Scale
from tests.bench import HUNDREDTH, KITCHEN, TENTH, by_volume, polyester, powder, silicone, urethane

FLOAT_REL = 1e-9
RESINS = st.sampled_from([urethane(), by_volume(), polyester(), silicone(), silicone((1, 1))])
SCALES = st.sampled_from([KITCHEN, TENTH, HUNDREDTH])
AMOUNTS = st.floats(5, 5000)
CHALK = powder(2.7, name="chalk")


def codes(plan: MixPlan) -> set[str]:
    return {notice.code for notice in plan.notices}


def masses(plan: MixPlan) -> list[float]:
    return [one.mass_g for one in plan.components]


@given(resin=RESINS, mass=AMOUNTS, scale=SCALES, chalk=st.floats(1, 60))
def test_the_parts_add_up(resin: Any, mass: float, scale: Scale, chalk: float) -> None:
    plan = plan_mix(resin, mass_g=mass, scale=scale, additions=[Addition(filler=CHALK, by_weight=chalk)])
    assert math.fsum(masses(plan)) == pytest.approx(plan.total_mass_g, rel=FLOAT_REL)
    catalyst = sum(one.mass_g for one in plan.components if one.role == "catalyst")
    assert plan.total_mass_g - catalyst == pytest.approx(mass, rel=FLOAT_REL)
    shown = math.fsum(one.reading_g for one in plan.components)
    assert abs(shown - plan.total_mass_g) <= scale.readability_g * 0.501
    assert plan.components[-1].scale_reading_g == pytest.approx(shown)


@given(resin=RESINS, volume=AMOUNTS, chalk=st.floats(1, 60))
def test_a_volume_comes_back(resin: Any, volume: float, chalk: float) -> None:
    plan = plan_mix(resin, volume_ml=volume, additions=[Addition(filler=CHALK, by_volume=chalk)])
    assert plan.total_volume_ml == pytest.approx(volume, rel=FLOAT_REL)
    again = plan_mix(resin, mass_g=plan.total_mass_g, additions=[Addition(filler=CHALK, by_volume=chalk)])
    assert again.density_g_ml == pytest.approx(plan.density_g_ml, rel=FLOAT_REL)


@given(resin=RESINS, mass=AMOUNTS, scale=SCALES)
def test_the_rounded_ratio_is_within_what_is_stated(resin: Any, mass: float, scale: Scale) -> None:
    plan = plan_mix(resin, mass_g=mass, scale=scale)
    first, *others = plan.components
    for one in others:
        if one.reading_g == 0 or first.reading_g == 0:
            assert plan.ratio_error_percent == 100
            continue
        off = (one.reading_g / first.reading_g) / (one.mass_g / first.mass_g) - 1
        assert abs(off) * 100 < plan.ratio_error_percent
    assert plan.ratio_error_rss_percent <= plan.ratio_error_percent


@given(resin=RESINS, mass=AMOUNTS, scale=SCALES, poured=st.lists(st.floats(0, 3000), min_size=3, max_size=3))
def test_over_pouring_never_takes_out(resin: Any, mass: float, scale: Scale, poured: list[float]) -> None:
    plain = plan_mix(resin, mass_g=mass, scale=scale)
    in_cup = {one.name: amount for one, amount in zip(plain.components, poured, strict=False)}
    plan = plan_mix(resin, mass_g=mass, scale=scale, poured=in_cup)
    for one, before in zip(plan.components, plain.components, strict=True):
        assert one.to_add_g >= 0
        assert one.mass_g >= max(in_cup[one.name], before.mass_g) * (1 - FLOAT_REL)
        assert one.mass_g / plan.total_mass_g == pytest.approx(before.mass_g / plain.total_mass_g, rel=FLOAT_REL)
    assert plan.surplus_g == pytest.approx(plan.total_mass_g - plain.total_mass_g, abs=1e-6 * plan.total_mass_g)
    assert abs(max(one.scale_reading_g for one in plan.components) - plan.total_mass_g) <= scale.readability_g * 1.01


def test_the_day_to_day_recipe() -> None:
    plan = plan_mix(urethane(), mass_g=500, scale=TENTH)
    assert masses(plan) == pytest.approx([263.157895, 236.842105])
    assert [one.reading_g for one in plan.components] == [263.2, 236.8]
    assert [one.scale_reading_g for one in plan.components] == [263.2, 500.0]
    assert [one.volume_ml for one in plan.components] == pytest.approx([263.157895 / 1.03, 236.842105 / 1.22])
    assert (plan.cost, plan.tolerance_percent) == pytest.approx((10.0, 5.0))
    assert codes(plan) == {"pot-life-mass"}


def test_four_and_four_on_a_kitchen_scale_are_told_off() -> None:
    plan = plan_mix(silicone((1, 1)), mass_g=8, scale=KITCHEN)
    assert [one.reading_g for one in plan.components] == [4, 4]
    assert "scale-too-coarse" in codes(plan)
    assert plan.ratio_error_percent > 80
    assert "scale-too-coarse" not in codes(plan_mix(silicone((1, 1)), mass_g=plan.smallest_batch_g, scale=KITCHEN))


def test_a_catalyst_comes_on_top() -> None:
    plan = plan_mix(polyester(), mass_g=1000, bench_c=18, scale=TENTH)
    assert masses(plan) == pytest.approx([1000, 20])
    assert plan.total_mass_g == pytest.approx(1020)
    assert plan.catalyst is not None
    assert (plan.catalyst.mass_g, plan.catalyst.volume_ml) == pytest.approx((20, 20 / 1.15))
    assert plan.catalyst.drops == round(20 / 1.15 * plan.catalyst.drops_per_ml)


def test_a_volume_of_polyester_includes_its_catalyst() -> None:
    plan = plan_mix(polyester(), volume_ml=100, bench_c=22)
    assert plan.total_mass_g == pytest.approx(120)
    assert masses(plan) == pytest.approx([120 / 1.01, 1.2 / 1.01])


def test_more_catalyst_shortens_the_pot_life() -> None:
    usual, more = (plan_mix(polyester(), mass_g=90, bench_c=20, catalyst=dose) for dose in (1, 2))
    assert more.pot_life_s == pytest.approx(usual.pot_life_s / 2)


def test_a_mix_in_one_cup_lives_no_longer_than_its_pot_life() -> None:
    plan = plan_mix(urethane(kind="epoxy", pot_life_s=2700.0), mass_g=2000)
    assert plan.one_cup_life_s < plan.pot_life_s == 2700.0


def test_metal_by_volume() -> None:
    metal = powder(8.8, name="bronze", kind="metal", price_per_kg=30.0)
    plan = plan_mix(urethane(), volume_ml=100, additions=[Addition(filler=metal, by_volume=100)], scale=TENTH)
    assert plan.density_g_ml == pytest.approx(4.95)
    assert masses(plan)[-1] == pytest.approx(440)
    assert plan.filler_share == pytest.approx(0.5)
    assert plan.cost == pytest.approx(55 * 0.020 + 440 * 0.030)
    assert "filler-will-not-pour" in codes(plan)


def test_the_catalyst_goes_in_last() -> None:
    plan = plan_mix(polyester(), mass_g=100, additions=[Addition(filler=CHALK, by_weight=20)])
    assert [one.role for one in plan.components] == ["part", "addition", "catalyst"]


def test_an_addition_is_no_part_of_the_ratio() -> None:
    pinch = Addition(filler=powder(1.3, name="paste", kind="pigment"), by_weight=0.1)
    with_it, without = (plan_mix(urethane(), mass_g=200, scale=TENTH, additions=added) for added in ([pinch], []))
    assert with_it.ratio_error_percent == pytest.approx(without.ratio_error_percent, abs=0.05)
    assert "addition-too-fine" in codes(with_it)


def test_an_over_pour_as_it_happens() -> None:
    plan = plan_mix(urethane(), mass_g=190, scale=TENTH, poured={"A": 104.1})
    first, second = plan.components
    assert (first.mass_g, first.to_add_g, first.scale_reading_g) == pytest.approx((104.1, 0, 104.1))
    assert (second.mass_g, second.to_add_g, second.scale_reading_g) == pytest.approx((93.69, 93.7, 197.8))
    assert plan.surplus_g == pytest.approx(7.79)
    assert any(
        notice.message == "To keep the ratio the mix grows by 7.8 g, which are left over." for notice in plan.notices
    )


def test_both_poured_and_one_too_much() -> None:
    plan = plan_mix(urethane(), mass_g=190, scale=TENTH, poured={"B": 99, "A": 40})
    first, second = plan.components
    assert (first.mass_g, first.poured_g, first.to_add_g, first.scale_reading_g) == pytest.approx((110, 40, 70, 209))
    assert (second.mass_g, second.to_add_g) == pytest.approx((99, 0))


def test_less_than_due_changes_nothing_but_what_is_left_to_add() -> None:
    plan = plan_mix(urethane(), mass_g=190, scale=TENTH, poured={"A": 60})
    assert (plan.surplus_g, plan.components[0].to_add_g, plan.total_mass_g) == pytest.approx((0, 40, 190))
    assert "over-poured" not in codes(plan)


def test_a_scale_has_an_end() -> None:
    small = Scale(readability_g=0.1, capacity_g=200)
    assert "over-capacity" in codes(plan_mix(urethane(), mass_g=201, scale=small))
    assert "over-capacity" not in codes(plan_mix(urethane(), mass_g=199, scale=small))


def test_a_class_vouches_from_its_lower_limit() -> None:
    classed = Scale(readability_g=1, accuracy_class="III")
    (notice,) = [one for one in plan_mix(silicone(), mass_g=200, scale=classed).notices if one.code == "below-minimum"]
    assert notice.message == ("The class of this scale vouches for nothing below 20 g, and there is less of catalyst.")


def test_no_price_no_cost() -> None:
    assert plan_mix(urethane(price_per_kg=None), mass_g=100).cost is None
    assert "no-price" in codes(plan_mix(urethane(), mass_g=100, additions=[Addition(filler=CHALK, by_weight=10)]))


def test_a_foam_is_reckoned_packed() -> None:
    foam = by_volume(kind="foam", cured_density_g_ml=0.064, overpack=0.15)
    assert plan_mix(foam, volume_ml=2000).total_mass_g == pytest.approx(147.2)


def test_a_resin_that_shrinks_needs_topping_up() -> None:
    plan = plan_mix(polyester(), volume_ml=100, bench_c=22)
    assert [notice.message for notice in plan.notices if notice.code == "shrinks"] == [
        "109 ml of liquid resin cure to 100 ml: keep some back, and top the mould up as it sinks."
    ]
    assert "shrinks" not in codes(plan_mix(urethane(), volume_ml=100))


def test_a_can_without_densities_has_no_volumes() -> None:
    plan = plan_mix(silicone(), mass_g=105)
    assert [one.volume_ml for one in plan.components] == [None, None]
    assert "syringe" not in " ".join(notice.message for notice in plan.notices)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "Give the amount either as a mass or as a volume, one of the two."),
        ({"mass_g": 1, "volume_ml": 1}, "Give the amount either as a mass or as a volume, one of the two."),
        ({"mass_g": 0}, "The mass to mix in g is 0; give a number above 0."),
        ({"mass_g": -5}, "The mass to mix in g is -5; give a number above 0."),
        ({"volume_ml": math.inf}, "The volume to mix in ml is inf; give a number above 0."),
        ({"mass_g": 5, "catalyst": 2},
         "test urethane takes no catalyst: it is mixed from A, B; leave the catalyst out."),
        ({"mass_g": 0.4}, "0.4 g in all do not show on a scale of 1 g steps; mix more, or use a finer scale."),
        ({"mass_g": 1e-7},
         "Less than 0.001 g in all do not show on a scale of 1 g steps; mix more, or use a finer scale."),
        ({"mass_g": 5, "poured": {"C": 1}}, "There is no C in this mix; it is mixed from A, B."),
        ({"mass_g": 5, "bench_c": 100}, "A bench at 100 °C is not a workshop; give its temperature, -10 to 80 °C."),
        ({"mass_g": 5, "additions": [Addition(filler=CHALK, by_weight=1)] * 2},
         "chalk goes into the mix twice; give it once, with all of it."),
    ],
)  # fmt: skip
def test_what_cannot_be_mixed(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        plan_mix(urethane(), **changes)
    assert str(refusal.value) == sentence

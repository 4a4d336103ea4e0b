"""The best way to spend a left-over: as good as trying everything, and never more than there is."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.casting.mixing.leftover import Filling, SmallCavity, cavities_on_shelf, cavity_for_volume, spend_leftover
from moldvol.errors import RequestError
from moldvol.materials.sundries import SmallMould

STEP_G = 0.1
ROUNDING_G = 1e-6

tenths = st.integers(1, 300).map(lambda steps: steps / 10)
few_cavities = st.lists(st.tuples(tenths, st.integers(1, 3)), max_size=5)


def most_by_trying(leftover_g: float, cavities: list[tuple[float, int]]) -> float:
    counts = itertools.product(*(range(at_most + 1) for _, at_most in cavities))
    sums = (sum(n * mass for n, (mass, _) in zip(chosen, cavities, strict=True)) for chosen in counts)
    return max(total for total in sums if total <= leftover_g + ROUNDING_G)


@given(tenths, few_cavities)
def test_as_good_as_trying_everything(leftover_g: float, cavities: list[tuple[float, int]]) -> None:
    plan = spend_leftover(leftover_g, [SmallCavity(f"{n}", *cavity) for n, cavity in enumerate(cavities)])
    assert plan.used_g == pytest.approx(most_by_trying(leftover_g, cavities), abs=ROUNDING_G)


@given(st.floats(0, 2000), st.lists(st.tuples(st.floats(0.05, 400), st.none() | st.integers(1, 9)), max_size=8))
def test_never_more_than_there_is(leftover_g: float, cavities: list[tuple[float, int | None]]) -> None:
    moulds = [SmallCavity(f"{n}", *cavity) for n, cavity in enumerate(cavities)]
    plan = spend_leftover(leftover_g, moulds)
    by_name = {mould.name: mould for mould in moulds}
    assert plan.wasted_g >= -ROUNDING_G
    for filling in plan.fillings:
        at_most = by_name[filling.name].at_most
        assert at_most is None or filling.count <= at_most


@given(st.floats(20, 2000), st.floats(1, 20))
def test_repeats_leave_less_than_one_more_mould(leftover_g: float, mass_g: float) -> None:
    plan = spend_leftover(leftover_g, [SmallCavity("leaf", mass_g, at_most=None)])
    (filling,) = plan.fillings
    assert plan.wasted_g < mass_g + STEP_G * (filling.count + 2)


def test_few_large_moulds_before_many_small_ones() -> None:
    plan = spend_leftover(20, [SmallCavity("leaf", 5, at_most=None), SmallCavity("mask", 10, at_most=2)])
    assert plan.fillings == (Filling("mask", 2, 10),)


def test_nothing_fits() -> None:
    plan = spend_leftover(3, [SmallCavity("leaf", 5)])
    assert (plan.fillings, plan.wasted_g) == ((), 3)
    assert spend_leftover(3, []).wasted_g == 3


def test_volumes_become_grams() -> None:
    assert cavity_for_volume("leaf", 4.5, 1.2).mass_g == pytest.approx(5.4)


def test_the_shelfs_moulds_count_as_often_as_they_stand_there() -> None:
    moulds = [SmallMould(key="leaf", name="leaf", volume_ml=5, count=3)]
    assert cavities_on_shelf(moulds, 1.2) == (SmallCavity("leaf", 6.0, 3),)


def test_a_figure_stored_a_hair_low_still_counts() -> None:
    leftover_g = 0.1 + 0.7  # 0.7999999999999999
    assert spend_leftover(leftover_g, [SmallCavity("bead", 0.8)]).fillings == (Filling("bead", 1, 0.8),)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: spend_leftover(-1, []), "The left-over in g is -1; give 0 or more."),
        (
            lambda: spend_leftover(2e5, []),
            "A left-over of 200 kg is a batch of its own; plan it as one.",
        ),
        (lambda: SmallCavity("leaf", 0), "The mass that fills leaf in g is 0; give a number above 0."),
        (lambda: SmallCavity("leaf", 1, 0), "leaf can be filled 0 times; give 1 or more."),
        (lambda: cavity_for_volume("leaf", 0, 1), "The volume of leaf in ml is 0; give a number above 0."),
    ],
)
def test_impossible_requests_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

"""Shrinkage there and back: the master shrinks to exactly the wanted size."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.chemistry.shrinkage import (
    PATTERN_RULES,
    compound_shrinkage,
    linear_from_volumetric,
    master_size,
    scale_factor,
    shrinkage_from_pattern_rule,
)

ROUNDING = 1e-12
linear = st.floats(-0.04, 0.25)  # two of them together stay within what is accepted


@given(linear)
def test_volume_and_length_agree(shrinkage: float) -> None:
    assert linear_from_volumetric(1 - (1 - shrinkage) ** 3) == pytest.approx(shrinkage, abs=ROUNDING)


@given(st.floats(1, 2000), st.lists(linear, max_size=4))
def test_the_master_shrinks_to_the_wanted_size(wanted_mm: float, steps: list[float]) -> None:
    left = master_size(wanted_mm, *steps).master_mm
    for shrinkage in steps:
        left *= 1 - shrinkage
    assert left == pytest.approx(wanted_mm, rel=ROUNDING)


@given(linear, linear)
def test_the_order_of_the_steps_does_not_matter(rubber: float, resin: float) -> None:
    assert scale_factor(rubber, resin) == pytest.approx(scale_factor(resin, rubber), rel=ROUNDING)
    assert scale_factor(compound_shrinkage(rubber, resin)) == pytest.approx(scale_factor(rubber, resin), rel=ROUNDING)


def test_nothing_shrinks_without_a_step() -> None:
    assert (scale_factor(), compound_shrinkage()) == (1.0, 0.0)


def test_plaster_grows_so_its_master_is_smaller() -> None:
    assert master_size(100, -0.002).master_mm < 100


def test_adding_the_shrinkage_would_be_too_small_by_its_square() -> None:
    assert scale_factor(0.03) - 1.03 == pytest.approx(0.03**2, rel=0.04)


# A length of 1 to 9 % less volume (arithmetic): 1 − ∛(1 − s), worked out apart.
@pytest.mark.parametrize(
    ("volume_percent", "length_percent"), [(1, 0.3345), (3, 1.0102), (5, 1.6952), (6, 2.0414), (8, 2.7411), (9, 3.0948)]
)
def test_a_third_and_a_little_more(volume_percent: float, length_percent: float) -> None:
    assert 100 * linear_from_volumetric(volume_percent / 100) == pytest.approx(length_percent, abs=5e-5)


@pytest.mark.parametrize("rule", PATTERN_RULES.values())
def test_a_pattern_rule_makes_the_pattern_longer_by_itself(rule: float) -> None:
    assert scale_factor(shrinkage_from_pattern_rule(rule, 1)) == pytest.approx(1 + rule, rel=ROUNDING)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: scale_factor(2), "The linear shrinkage as a share is 2; give a number from -0.1 to 0.5."),
        (lambda: linear_from_volumetric(7), "The volume shrinkage as a share is 7; give a number from -0.3 to 0.9."),
        (lambda: master_size(0, 0.01), "The wanted size in mm is 0; give a number above 0."),
        (
            lambda: shrinkage_from_pattern_rule(1, 0),
            "The length that the rule is for is 0; give a number above 0.",
        ),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

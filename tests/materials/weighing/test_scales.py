"""Readings are what a display can show; errors are those of the scale's class."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.weighing.scales import Scale

STEPS = st.sampled_from([1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.001, 5.0])
MASSES = st.lists(st.floats(0, 5000), min_size=1, max_size=6)
NEARLY = 1e-6  # of a step: what is left of it after a division of floats


@given(step=STEPS, masses=MASSES)
def test_readings_are_steps_and_add_up_to_the_rounded_total(step: float, masses: list[float]) -> None:
    scale = Scale(readability_g=step)
    readings = scale.readings_g(masses)
    for reading, mass in zip(readings, masses, strict=True):
        assert abs(reading / step - round(reading / step)) < NEARLY
        assert abs(reading - mass) < step * (1 + NEARLY)
    assert abs(math.fsum(readings) - math.fsum(masses)) <= step * (0.5 + NEARLY)


@given(step=STEPS, masses=MASSES)
def test_what_can_be_shown_is_shown_as_it_is(step: float, masses: list[float]) -> None:
    scale = Scale(readability_g=step)
    shown = scale.readings_g(masses)
    assert scale.readings_g(shown) == shown


@given(step=STEPS, masses=MASSES)
def test_the_display_climbs_to_the_total(step: float, masses: list[float]) -> None:
    scale = Scale(readability_g=step)
    readings = scale.readings_g(masses)
    cumulative = scale.cumulative_g(readings)
    assert list(cumulative) == sorted(cumulative)
    assert cumulative[-1] == pytest.approx(math.fsum(readings), abs=step * NEARLY)


def test_a_display_has_no_stray_digits() -> None:
    assert Scale(readability_g=0.1).cumulative_g([0.1, 0.2]) == (0.1, 0.3)
    assert Scale(readability_g=0.05).readings_g([0.151]) == (0.15,)
    assert Scale(readability_g=1.0).cumulative_g([4, 4], start_g=100) == (104, 108)


@given(load=st.floats(0, 1e5), more=st.floats(0, 1e5), grade=st.sampled_from(["I", "II", "III", "IIII", None]))
def test_the_permissible_error_never_falls_with_the_load(load: float, more: float, grade: str | None) -> None:
    scale = Scale(readability_g=0.1, accuracy_class=grade)  # type: ignore[arg-type]
    assert scale.permissible_error_g(load) <= scale.permissible_error_g(load + more)


def test_nobody_vouches_for_an_unmarked_scale() -> None:
    unmarked = Scale(readability_g=1.0, newly_verified=True)
    assert (
        unmarked.permissible_error_g(20)
        == Scale(readability_g=1.0, accuracy_class="III").permissible_error_g(20)
        == 1.0
    )
    assert unmarked.least_load_g is None


def test_a_scale_counts_errors_by_its_interval_not_by_its_step() -> None:
    fine_display = Scale(readability_g=0.1, verification_interval_g=1.0, accuracy_class="III")
    assert fine_display.permissible_error_g(100) == 1.0
    assert fine_display.least_load_g == 20.0


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"readability_g": 0.0}, "The readability of the scale in g is 0; give a number above 0."),
        ({"readability_g": math.nan}, "The readability of the scale in g is nan; give a number above 0."),
        ({"accuracy_class": "V"}, "'V' is no class of scale; give I, II, III or IIII, or none for an unmarked scale."),
        ({"capacity_g": 0.5}, "The scale's capacity of 0.5 g is less than its step of 1 g; check both."),
        ({"capacity_g": -3}, "The capacity of the scale in g is -3; give a number above 0."),
        (
            {"verification_interval_g": 0.1},
            "The verification interval of 0.1 g is less than the step of 1 g; check both.",
        ),
        (
            {"verification_interval_g": math.nan},
            "The verification interval of the scale in g is nan; give a number above 0.",
        ),
    ],
)
def test_an_impossible_scale_is_refused(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        Scale(**({"readability_g": 1.0} | changes))  # type: ignore[arg-type]
    assert str(refusal.value) == sentence


def test_a_negative_mass_cannot_be_weighed() -> None:
    with pytest.raises(RequestError, match="mass to weigh in g is -2"):
        Scale().readings_g([3, -2])

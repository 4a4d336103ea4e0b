"""The stated error of a ratio covers every way the scale can be off, and the smallest batch is the smallest."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from moldvol.materials.weighing.ratio import split
from moldvol.materials.weighing.scales import Scale
from moldvol.materials.weighing.weighing_error import ratio_error, smallest_batch_g, weighed_ratio_error
from tests.bench import HUNDREDTH, KITCHEN, TENTH

PARTS = st.lists(st.floats(1, 100), min_size=2, max_size=4)
SCALES = st.sampled_from([KITCHEN, TENTH, HUNDREDTH, Scale(readability_g=0.1, accuracy_class="II")])


def weighed(total_g: float, parts: list[float], scale: Scale) -> tuple[tuple[float, ...], tuple[float, ...]]:
    due = split(total_g, parts)
    return due, scale.readings_g(due)


def furthest_off(due: tuple[float, ...], readings: tuple[float, ...], scale: Scale) -> float:
    """The largest error of any pair's ratio with every weighing as wrong as it may be, tried corner by corner."""
    limits = [
        scale.permissible_error_g(mass) + scale.readability_g * (0.5 if place == 0 else 1.0)
        for place, mass in enumerate(readings)
    ]
    worst = 0.0
    for signs in itertools.product((-1, 1), repeat=len(due)):
        real = [mass + sign * limit for mass, sign, limit in zip(readings, signs, limits, strict=True)]
        for one, other in itertools.combinations(range(len(due)), 2):
            worst = max(worst, abs(real[one] / real[other] / (due[one] / due[other]) - 1))
    return worst


@given(total=st.floats(20, 3000), parts=PARTS, scale=SCALES)
def test_no_weighing_is_further_off_than_stated(total: float, parts: list[float], scale: Scale) -> None:
    due, readings = weighed(total, parts, scale)
    stated = weighed_ratio_error(due, readings, scale).worst
    assume(stated < 0.1)
    # What is left out is the second order: less than (1 + e)² of it again.
    assert furthest_off(due, readings, scale) <= stated * (1 + stated) ** 2 + 1e-12


@given(total=st.floats(20, 3000), parts=PARTS, scale=SCALES)
def test_the_likely_error_is_within_the_worst(total: float, parts: list[float], scale: Scale) -> None:
    error = weighed_ratio_error(*weighed(total, parts, scale), scale)
    assert 0 < error.root_sum_square <= error.worst


@given(parts=PARTS, scale=SCALES, tolerance=st.floats(0.01, 0.2), more=st.floats(1, 10))
@example(parts=[1, 1], scale=KITCHEN, tolerance=0.01, more=1.25)  # beyond 500 steps the scale may be twice as far off
def test_from_the_smallest_batch_on_the_ratio_holds(
    parts: list[float], scale: Scale, tolerance: float, more: float
) -> None:
    least = smallest_batch_g(parts, scale, tolerance)
    due, readings = weighed(least * more, parts, scale)
    # The batch allows half a step of rounding to each part; largest remainders give up to a step among three or four.
    slack = 1.0 if len(parts) == 2 else 1.5
    assert weighed_ratio_error(due, readings, scale).worst <= tolerance * slack * (1 + tolerance)


def test_below_the_smallest_batch_it_does_not() -> None:
    least = smallest_batch_g((1, 1), KITCHEN, 0.05)
    assert least == pytest.approx(((1 + 0.5 + 0.5) + (1 + 1 + 0.5)) / 0.5 / 0.05)
    due, readings = weighed(least - 41, [1, 1], KITCHEN)
    assert weighed_ratio_error(due, readings, KITCHEN).worst > 0.05


def test_the_class_asks_for_its_lower_limit() -> None:
    marked = Scale(readability_g=0.1, accuracy_class="II", newly_verified=True)
    assert smallest_batch_g((1, 1), marked, 0.9) == 10.0  # twice 50 e


def test_a_single_part_has_no_ratio() -> None:
    assert smallest_batch_g((100,), KITCHEN, 0.05) == 1.0


def test_of_three_parts_the_worst_two_count() -> None:
    error = ratio_error((100, 10, 5), (1, 1, 1))
    assert (error.worst, error.root_sum_square) == pytest.approx((0.3, math.hypot(0.2, 0.1)))


def test_a_part_that_does_not_show_may_be_missing() -> None:
    assert weighed_ratio_error((10, 0.3), (10, 0), KITCHEN).worst == 1.0


def test_four_and_four_on_a_kitchen_scale() -> None:
    error = weighed_ratio_error((4, 4), (4, 4), KITCHEN)
    # ± 1 g of an unmarked scale, ± 0.5 g of display for the first and twice that for the second part.
    assert error.worst == pytest.approx((1.5 + 2.0) / 4)
    assert error.root_sum_square == pytest.approx(math.hypot(1, 0.5, 1, 0.5, 0.5) / 4)

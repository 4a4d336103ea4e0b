"""Scales against the tables of legal metrology, and ratio errors worked out beside the check."""

from __future__ import annotations

import pytest

from moldvol.materials.scales import AccuracyClass, Scale
from moldvol.materials.weighing_error import ratio_error, weighed_ratio_error

# OIML R 76-1:2006, table 6; the same figures in Directive 2014/31/EU, annex I, table 3, and in the United Kingdom's
# Non-automatic Weighing Instruments (EEC Requirements) Regulations 1995, schedule 2, paragraph 4: the last load in e at
# which 0.5 e, and at which 1 e, is allowed.
TABLE = [("I", 50_000, 200_000), ("II", 5_000, 20_000), ("III", 500, 2_000), ("IIII", 50, 200)]


@pytest.mark.parametrize(("grade", "half", "one"), TABLE)
def test_permissible_errors_at_verification(grade: AccuracyClass, half: int, one: int) -> None:
    scale = Scale(readability_g=1.0, accuracy_class=grade, newly_verified=True)
    loads = [0, half, half + 1, one, one + 1]
    assert [scale.permissible_error_g(load) for load in loads] == [0.5, 0.5, 1.0, 1.0, 1.5]


@pytest.mark.parametrize(("grade", "half", "one"), TABLE)
def test_permissible_errors_in_service(grade: AccuracyClass, half: int, one: int) -> None:
    """Twice those at verification: paragraph 4.2 of the same annex and schedule."""
    scale = Scale(readability_g=1.0, accuracy_class=grade)
    assert [scale.permissible_error_g(load) for load in (half, one, one + 1)] == [1.0, 2.0, 3.0]


def test_class_three_in_service_agrees_with_handbook_44() -> None:
    """NIST Handbook 44, scales, table 6, maintenance tolerance in divisions: to 500 one, to 2000 two, to 4000 three."""
    scale = Scale(readability_g=1.0, accuracy_class="III")
    assert [scale.permissible_error_g(load) for load in (500, 2000, 4000)] == [1, 2, 3]


@pytest.mark.parametrize(
    ("grade", "interval_g", "least_g"),
    [("I", 0.001, 0.1), ("II", 0.01, 0.2), ("II", 0.1, 5.0), ("III", 1.0, 20.0), ("IIII", 5.0, 50.0)],
)
def test_lower_limits_of_capacity(grade: AccuracyClass, interval_g: float, least_g: float) -> None:
    """OIML R 76-1:2006, table 3."""
    scale = Scale(readability_g=interval_g, accuracy_class=grade)
    assert scale.least_load_g == pytest.approx(least_g)


@pytest.mark.parametrize(
    ("load_g", "percent"), [(20, 2.5), (50, 1.0), (500, 0.1), (1000, 0.1), (2000, 0.05), (2500, 0.06)]
)
def test_relative_error_of_one_weighing(load_g: float, percent: float) -> None:
    """Class III, e = 1 g, at verification: table 6 divided by the load."""
    scale = Scale(readability_g=1.0, accuracy_class="III", newly_verified=True)
    assert scale.permissible_error_g(load_g) / load_g * 100 == pytest.approx(percent)


@pytest.mark.parametrize(
    ("masses", "error_g", "likely", "worst"),
    [
        # Silicone 100:5: 0.5/200 = 0.25 %, 0.5/10 = 5 %; together 5.25 %, root of squares 5.006 %.
        ((200, 10), 0.5, 5.006, 5.25),
        ((200, 10), 0.05, 0.5006, 0.525),
        # One to one: 1 % twice.
        ((50, 50), 0.5, 1.414, 2.0),
        ((50, 50), 0.05, 0.1414, 0.2),
        # Polyester with 1 % of peroxide: 0.33 % and 33.3 %.
        ((150, 1.5), 0.5, 33.335, 33.667),
        ((150, 1.5), 0.005, 0.33335, 0.33667),
    ],
)
def test_ratio_errors(masses: tuple[float, float], error_g: float, likely: float, worst: float) -> None:
    """Arithmetic by JCGM 100:2008 (GUM), 5.1.6: relative errors of a quotient add, or add in squares."""
    error = ratio_error(masses, (error_g, error_g))
    assert error.root_sum_square * 100 == pytest.approx(likely, rel=1e-3)
    assert error.worst * 100 == pytest.approx(worst, rel=1e-3)


def test_a_small_batch_on_a_kitchen_scale() -> None:
    """4 g + 4 g in steps of 1 g without a class mark. By hand: ± 1 g in service and ± 0.5 g of display make 1.5 of 4 g,
    a tared second part has two readings, 2 of 4 g: 37.5 + 50 = 87.5 %."""
    error = weighed_ratio_error((4, 4), (4, 4), Scale(readability_g=1.0))
    assert error.worst == pytest.approx(0.875)

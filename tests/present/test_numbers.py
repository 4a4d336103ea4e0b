"""Numbers at the edges of what a bench meets; the everyday ones stand as examples in the docstrings."""

from __future__ import annotations

import pytest

from moldvol.present import numbers
from moldvol.present.numbers import Units


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (0, "0"), (-0.0, "0"), (8.000000001, "8"), (0.1 + 0.2, "0.3"), (99.996, "100"), (9999.6, "10000"),
        (123456, "123500"), (1.5e-7, "0.00000015"), (-12.3456, "-12.35"), (1e15, "1000000000000000"),
    ],
)  # fmt: skip
def test_significant_digits_never_show_an_exponent(value: float, told: str) -> None:
    assert numbers.significant(value) == told


@pytest.mark.parametrize(
    ("mm3", "told"),
    [(8000.000001, "8 ml"), (0.4, "0.0004 ml"), (999_999.9, "1000 ml"), (1e9, "1000000 ml (1000 l)")],
)
def test_a_volume(mm3: float, told: str) -> None:
    assert numbers.volume(mm3) == told


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(0, "0 s"), (89.6, "90 s"), (90, "1.5 min"), (599, "10 min"), (5399, "1 h 30 min"), (86_399, "24 h")],
)
def test_a_time(seconds: float, told: str) -> None:
    assert numbers.duration(seconds) == told


def test_a_place_has_no_negative_zero() -> None:
    assert numbers.place((-0.04, -0.0, 1234.56)) == "(0, 0, 1234.6) mm"


def test_shares_too_small_to_write_are_said_in_words() -> None:
    assert numbers.per_cent(0) == "0 %"
    assert numbers.per_cent(9.9e-5) == "below 0.01 %"
    assert numbers.per_cent(0.12345) == "12 %"


def test_us_units_are_those_of_the_bench() -> None:
    assert numbers.mass(453.59237, Units.US) == "16 oz (1 lb)"
    assert numbers.length(3.175, Units.US) == "0.125 in"
    assert numbers.volume(16387.064 * 231, Units.US).startswith("231 in³ (128 US fl oz)")

"""Parts by weight and by volume, there and back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.resin import Part
from moldvol.materials.weighing.ratio import (
    mass_shares,
    shares,
    short_if_weighed,
    split,
    volume_ratio,
    volume_ratio_notice,
    weight_ratio,
)
from tests.bench import by_volume, urethane

FLOAT_REL = 1e-12  # a handful of roundings of 64-bit floats
PARTS = st.lists(st.floats(0.01, 1000), min_size=2, max_size=5)
DENSITIES = st.lists(st.floats(0.1, 20), min_size=5, max_size=5)


@given(total=st.floats(0.001, 1e6), parts=PARTS)
def test_pieces_add_up_and_keep_the_ratio(total: float, parts: list[float]) -> None:
    pieces = split(total, parts)
    assert math.fsum(pieces) == pytest.approx(total, rel=FLOAT_REL)
    assert [piece / pieces[0] for piece in pieces] == pytest.approx([part / parts[0] for part in parts], rel=FLOAT_REL)


@given(parts=PARTS, densities=DENSITIES)
def test_weight_to_volume_and_back(parts: list[float], densities: list[float]) -> None:
    densities = densities[: len(parts)]
    back = weight_ratio(volume_ratio(parts, densities), densities)
    assert shares(back) == pytest.approx(shares(parts), rel=FLOAT_REL)


def test_a_ratio_by_volume_is_weighed_by_density() -> None:
    assert mass_shares(by_volume()) == pytest.approx((1.03 / 2.25, 1.22 / 2.25))


def test_weight_goes_before_volume() -> None:
    both = tuple(Part(name=name, by_weight=1, by_volume=2, density_g_ml=1.5) for name in "AB")
    assert mass_shares(urethane(parts=both)) == (0.5, 0.5)


def test_weighing_a_volume_ratio_is_warned_of() -> None:
    (notice,) = volume_ratio_notice(by_volume())
    assert notice.code == "ratio-by-volume"
    assert notice.message == (
        "Test urethane is mixed 1:1 by volume, which is 100:118.4 by weight; weighing it 1:1 "
        "would leave B 15.6 % short."
    )


def test_no_warning_by_weight_nor_for_like_densities() -> None:
    alike = tuple(Part(name=name, by_volume=1, density_g_ml=1.08) for name in "AB")
    assert volume_ratio_notice(urethane()) == volume_ratio_notice(urethane(parts=alike)) == ()


def test_the_lightest_part_is_not_short() -> None:
    assert short_if_weighed((2, 1, 1), (1.2, 1.0, 1.5)) == pytest.approx((1 / 6, 0.0, 1 / 3))


@pytest.mark.parametrize("bad", [(100, 0), (100, -5), (math.nan, 1), (math.inf, 1)])
def test_impossible_parts_are_refused(bad: tuple[float, float]) -> None:
    with pytest.raises(RequestError, match="give a number above 0"):
        shares(bad)


def test_a_missing_density_is_named() -> None:
    parts = (Part(name="A", by_volume=1, density_g_ml=1.0), Part(name="B", by_volume=1))
    with pytest.raises(RequestError) as refusal:
        mass_shares(urethane(parts=parts))
    assert str(refusal.value) == "Part B has no density; add it to the resin."


def test_a_negative_total_is_refused() -> None:
    with pytest.raises(RequestError, match="amount to divide is -1"):
        split(-1, (1, 1))

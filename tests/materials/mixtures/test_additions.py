"""Volumes add; what no longer pours is said, what cannot be is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.mixtures.additions import (
    Addition,
    addition_notices,
    filler_share,
    mixed_density_g_ml,
    volume_shares,
)
from tests.bench import powder

PORTIONS = st.lists(st.tuples(st.floats(0.01, 1e4), st.floats(0.05, 20)), min_size=1, max_size=6)


@given(portions=PORTIONS)
def test_a_mix_lies_between_its_densities(portions: list[tuple[float, float]]) -> None:
    densities = [density for _, density in portions]
    assert min(densities) * (1 - 1e-9) <= mixed_density_g_ml(portions) <= max(densities) * (1 + 1e-9)


@given(portions=PORTIONS)
def test_volume_shares_add_up(portions: list[tuple[float, float]]) -> None:
    assert sum(volume_shares(portions)) == pytest.approx(1)


def test_by_volume_is_by_volume() -> None:
    half = Addition(filler=powder(8.8), by_volume=100)
    assert half.mass_per_g(1.10) == pytest.approx(8.0)
    assert filler_share([half], 1.10) == pytest.approx(0.5)


def test_by_weight_is_per_hundred_of_resin() -> None:
    assert Addition(filler=powder(), by_weight=30).mass_per_g(1.1) == 0.3


def test_paste_is_liquid() -> None:
    paste = Addition(filler=powder(1.0, kind="pigment", name="paste"), by_weight=100)
    assert filler_share([paste], 1.0) == 0.0
    assert filler_share([paste, Addition(filler=powder(1.0), by_weight=100)], 1.0) == pytest.approx(1 / 3)


@pytest.mark.parametrize(
    ("parts", "code"), [(40, None), (60, "filler-stiff"), (90, "filler-will-not-pour"), (170, "filler-will-not-pour")]
)
def test_from_pouring_to_packing(parts: float, code: str | None) -> None:
    notices = addition_notices([Addition(filler=powder(1.0), by_weight=parts)], 1.0)
    assert [notice.code for notice in notices] == ([code] if code else [])


def test_beyond_closest_packing_there_is_not_enough_resin() -> None:
    with pytest.raises(RequestError) as refusal:
        addition_notices([Addition(filler=powder(1.0), by_weight=200)], 1.0)
    assert str(refusal.value) == (
        "The fillers would take 67 % of the volume, and beyond 64 % the resin no longer fills the gaps between their "
        "grains; take less filler."
    )


def test_a_powder_may_have_a_limit_of_its_own() -> None:
    with pytest.raises(RequestError, match="beyond 20 % the resin"):
        addition_notices([Addition(filler=powder(1.0, packing_limit=0.2), by_weight=30)], 1.0)


def test_an_unusual_dose_is_pointed_out() -> None:
    thickener = powder(2.2, name="silica", percent_low=1.0, percent_high=3.0)
    (notice,) = addition_notices([Addition(filler=thickener, by_weight=6)], 1.1)
    assert notice.message == "6 % of silica is more than the usual 1 to 3 % by weight: try it in a small cup first."
    assert addition_notices([Addition(filler=thickener, by_weight=3)], 1.1) == addition_notices([], 1.1) == ()


@pytest.mark.parametrize("amount", [{}, {"by_weight": 1, "by_volume": 1}])
def test_an_amount_is_one_or_the_other(amount: dict[str, float]) -> None:
    with pytest.raises(RequestError, match=r"^Give powder either by weight or by volume, one of the two\.$"):
        Addition(filler=powder(), **amount)


@pytest.mark.parametrize("amount", [{"by_weight": 0}, {"by_volume": -3}, {"by_weight": float("nan")}])
def test_an_amount_is_above_nothing(amount: dict[str, float]) -> None:
    with pytest.raises(RequestError, match="amount of powder is"):
        Addition(filler=powder(), **amount)


def test_a_mix_of_nothing_has_no_density() -> None:
    with pytest.raises(RequestError, match="volume of the mix"):
        mixed_density_g_ml([])
    with pytest.raises(RequestError, match="density of a portion in g/ml is 0"):
        mixed_density_g_ml([(1, 0)])

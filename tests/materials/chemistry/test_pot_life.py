"""Pot life by temperature and by mass, and what is said of a bench that is too cold or too hot."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.chemistry.pot_life import arrhenius_factor, minutes, pot_life
from tests.bench import silicone, urethane

BENCHES = st.floats(-5, 70)


def test_at_its_own_temperature_it_is_as_stated() -> None:
    life = pot_life(urethane(), 20)
    assert (life.stated_mass_s, life.pot_s, life.halving_rule_s) == (300.0, 300.0, 300.0)
    assert life.notices == ()


def test_warmer_is_shorter_by_the_resins_own_energy() -> None:
    assert pot_life(urethane(), 30).stated_mass_s == pytest.approx(150, rel=0.002)
    assert pot_life(urethane(activation_energy_j_mol=25_600), 30).stated_mass_s == pytest.approx(212.1, rel=0.002)
    assert pot_life(urethane(), 30).halving_rule_s == 150.0
    assert pot_life(urethane(), 10).halving_rule_s == 600.0


@given(one=BENCHES, other=BENCHES, energy=st.floats(20_000, 90_000))
def test_there_and_back_is_nothing(one: float, other: float, energy: float) -> None:
    back = arrhenius_factor(energy, one, other) * arrhenius_factor(energy, other, one)
    assert back == pytest.approx(1, rel=1e-9)
    assert (arrhenius_factor(energy, one, other) - 1) * (other - one) <= 0  # warmer is shorter


def test_a_quick_catalyst_shortens_it() -> None:
    assert pot_life(urethane(), 20, faster=2).pot_s == 150.0


@pytest.mark.parametrize(("bench_c", "code"), [(14.9, "bench-cold"), (15, None), (30, None), (30.1, "bench-hot")])
def test_a_bench_outside_the_band_is_pointed_out(bench_c: float, code: str | None) -> None:
    assert [notice.code for notice in pot_life(urethane(), bench_c).notices] == ([code] if code else [])


@pytest.mark.parametrize("bench_c", [-11, 81, float("nan")])
def test_no_workshop_is_that_cold_or_hot(bench_c: float) -> None:
    with pytest.raises(RequestError, match="is not a workshop; give its temperature, -10 to 80 °C"):
        pot_life(urethane(), bench_c)


def test_more_than_the_stated_mass_is_pointed_out() -> None:
    (notice,) = pot_life(urethane(), 20, 101).notices
    assert notice.code == "pot-life-mass"
    assert pot_life(urethane(), 20, 100).notices == pot_life(silicone(), 20, 5000).notices == ()


def test_times_as_the_bench_says_them() -> None:
    assert (minutes(119), minutes(120), minutes(2915)) == ("119 s", "2.0 min", "48.6 min")


def test_a_pot_that_hardly_warms_itself_is_told_so() -> None:
    (small,), (large,) = pot_life(urethane(), 20, 101).notices, pot_life(urethane(pot_life_s=1800.0), 20, 5000).notices
    assert "live hardly shorter, about 5.0 min: pour at once" in small.message
    assert "hardly shorter" not in large.message

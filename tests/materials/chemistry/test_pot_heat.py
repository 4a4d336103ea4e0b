"""A bigger pot keeps more of its heat and sets sooner, never below what a pot that loses none would do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.materials.chemistry.kinetics import CURE_CLASSES
from moldvol.materials.chemistry.pot_heat import cooling_s, mass_factor
from moldvol.materials.chemistry.thermal import RESIN_CLASSES
from tests.bench import polyester, silicone, urethane

STEP_REL = 0.005  # steps in conversion: doubling them moves a factor by less
SLOW = {"kind": "epoxy", "pot_life_s": 2700.0}


def test_up_to_the_stated_mass_nothing_changes() -> None:
    assert mass_factor(urethane(), 1, 20) == mass_factor(urethane(), 100, 20) == 1.0


def test_a_rubber_hardly_warms() -> None:
    assert mass_factor(silicone(), 20_000, 20) == 1.0


@given(mass=st.floats(100, 50_000), more=st.floats(1.01, 10), bench_c=st.floats(5, 40))
def test_more_never_lives_longer(mass: float, more: float, bench_c: float) -> None:
    slow = urethane(**SLOW)
    assert 0 < mass_factor(slow, mass * more, bench_c) <= mass_factor(slow, mass, bench_c) + 1e-9 <= 1 + 2e-9


@pytest.mark.parametrize("kind", ["polyurethane", "epoxy"])
def test_a_huge_pot_keeps_all_its_heat(kind: str) -> None:
    resin = urethane(kind=kind, pot_life_s=1800.0, pot_life_mass_g=1e9)
    law, rise_k = CURE_CLASSES[kind].law, RESIN_CLASSES[kind].adiabatic_rise_k
    # Stated for a mass that loses nothing, its pot life is the law's adiabatic time: twice the mass changes nothing.
    assert mass_factor(resin, 2e9, 20) == pytest.approx(1, rel=STEP_REL)
    kept = law.time_to_s(law.gel_conversion, start_c=20, rise_k=rise_k)
    assert kept < law.time_to_s(law.gel_conversion, start_c=20)


def test_a_slow_resin_minds_its_mass_more_than_a_fast_one() -> None:
    slow, fast = urethane(**SLOW), urethane(kind="epoxy", pot_life_s=300.0)
    assert mass_factor(slow, 1000, 20) < mass_factor(fast, 1000, 20) < 1


def test_a_polyester_counts_as_what_it_is() -> None:
    assert 0.9 < mass_factor(polyester(), 1000, 20) < 1


def test_eight_times_the_mass_cools_twice_as_slowly() -> None:
    assert cooling_s(800, "epoxy") == pytest.approx(2 * cooling_s(100, "epoxy"))

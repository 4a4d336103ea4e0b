"""Foam for a core: the core is filled, overpack adds in proportion, nonsense is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.mixtures.foam import expansion_ratio, foam_for_core, moulded_g_ml

ROUNDING = 1e-12


@given(st.floats(1, 1e9), st.floats(0.02, 0.4), st.floats(0, 1))
def test_the_liquid_becomes_the_core(volume_mm3: float, free_rise: float, overpack: float) -> None:
    charge = foam_for_core(volume_mm3, free_rise, overpack=overpack)
    assert charge.liquid_volume_ml * 1000 * charge.expansion_ratio == pytest.approx(volume_mm3, rel=ROUNDING)
    assert charge.liquid_mass_g / charge.liquid_volume_ml == pytest.approx(1.1, rel=ROUNDING)
    assert charge.liquid_mass_g == pytest.approx(free_rise * (1 + overpack) * volume_mm3 / 1000, rel=ROUNDING)


def test_no_overpack_is_free_rise() -> None:
    assert moulded_g_ml(0.048, 0) == 0.048


def test_no_core_needs_no_foam() -> None:
    assert foam_for_core(0, 0.064).liquid_mass_g == 0


def test_what_is_remarked_on() -> None:
    assert [notice.code for notice in foam_for_core(2e6, 0.064).notices] == ["foam-vent"]
    big = foam_for_core(20e6, 0.064, overpack=0.4)
    assert [notice.code for notice in big.notices] == ["foam-vent", "foam-heat", "foam-overpack"]
    assert big.notices[2].message == "An overpack of 40 % can burst a thin shell; 10 to 20 % is usual."


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: foam_for_core(-1, 0.064), "The volume of the core in mm³ is -1; give 0 or more."),
        (lambda: foam_for_core(1, 0), "The free-rise density in g/ml is 0; give a number above 0."),
        (
            lambda: foam_for_core(1, 0.064, overpack=15),
            "The overpack in per cent is 1500; give a number from 0 to 100.",
        ),
        (
            lambda: expansion_ratio(0.0011, 0.064),
            "The foam of 0.064 g/ml would be denser than its liquid of 0.0011 g/ml; "
            "check both densities and their units.",
        ),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

"""Degassing: Boyle's law, what a gauge can show, and what must be said at each pressure."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.vessels.vacuum import absolute_from_vacuum_gauge, atmosphere_pa, degas
from moldvol.quantities import PA_PER_INHG

ROUNDING = 1e-12


@given(st.floats(0, 8000), st.floats(1, 1000))
def test_the_air_gets_thinner(altitude_m: float, more_m: float) -> None:
    assert atmosphere_pa(altitude_m + more_m) < atmosphere_pa(altitude_m)


@given(st.floats(1, 5000), st.floats(100, 50_000), st.floats(0, 0.5), st.floats(0, 3000))
def test_boyle(liquid_ml: float, absolute_pa: float, air: float, altitude_m: float) -> None:
    mix = degas(liquid_ml, absolute_pa=absolute_pa, air_share=air, altitude_m=altitude_m, headroom=0)
    grown_ml = mix.container_ml - liquid_ml
    assert grown_ml * absolute_pa == pytest.approx(air * liquid_ml * mix.atmosphere_pa, rel=1e-9, abs=1e-6)
    assert mix.gauge_pa + mix.absolute_pa == pytest.approx(mix.atmosphere_pa, rel=ROUNDING)


def test_headroom_is_on_top() -> None:
    assert degas(400, absolute_pa=3120, headroom=0.25).container_ml == pytest.approx(
        1.25 * degas(400, absolute_pa=3120, headroom=0).container_ml
    )


def test_the_same_needle_is_a_deeper_vacuum_in_the_mountains_until_it_cannot_be() -> None:
    low, high = (absolute_from_vacuum_gauge(24 * PA_PER_INHG, altitude_m=height) for height in (0, 1500))
    assert high < low
    with pytest.raises(RequestError) as refusal:
        absolute_from_vacuum_gauge(29 * PA_PER_INHG, altitude_m=1500)
    assert str(refusal.value) == (
        "A vacuum gauge cannot show 29 inHg where the air has 24.97 inHg (1500 m above the sea); "
        "give a smaller reading, or the absolute pressure."
    )


@pytest.mark.parametrize(
    ("absolute_pa", "codes"),
    [
        (13_000, ["froth-stands"]),
        (3_000, []),
        (2_000, ["water-boils"]),
        (500, ["water-boils", "styrene-boils"]),
    ],
)
def test_what_is_remarked_on(absolute_pa: float, codes: list[str]) -> None:
    assert [notice.code for notice in degas(100, absolute_pa=absolute_pa).notices] == codes


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: degas(100, absolute_pa=0),
            "An absolute pressure of 0 mbar is no vacuum under air of 1013 mbar; give one between.",
        ),
        (
            lambda: degas(100, absolute_pa=2e5),
            "An absolute pressure of 2000 mbar is no vacuum under air of 1013 mbar; give one between.",
        ),
        (lambda: degas(0, absolute_pa=3000), "The volume of liquid in ml is 0; give a number above 0."),
        (lambda: degas(1, absolute_pa=3000, air_share=-1), "The share of entrained air is -1; give 0 or more."),
        (lambda: atmosphere_pa(20_000), "The height above the sea in m is 20000; give a number from -500 to 9000."),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

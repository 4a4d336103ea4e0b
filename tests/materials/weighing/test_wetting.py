"""Draining films: the laws of the formula, the cup's geometry, and never more lost than was there."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.weighing.wetting import (
    Cup,
    cup_for_content,
    cup_loss,
    dip_film_mm,
    draining_film,
    usual_loss_share,
)

ROUNDING = 1e-12
viscosities = st.floats(0.001, 100)
densities = st.floats(0.8, 2.0)
times = st.floats(1, 600)


@given(viscosities, densities, st.floats(1, 500), times)
def test_four_times_as_thick_is_twice_the_film(
    viscosity: float, density: float, length_mm: float, time_s: float
) -> None:
    film = draining_film(viscosity, density, length_mm=length_mm, time_s=time_s)
    thicker = draining_film(4 * viscosity, density, length_mm=length_mm, time_s=time_s)
    longer = draining_film(viscosity, density, length_mm=length_mm, time_s=4 * time_s)
    assert thicker.mean_mm == pytest.approx(2 * film.mean_mm, rel=ROUNDING)
    assert longer.mean_mm == pytest.approx(film.mean_mm / 2, rel=ROUNDING)


@given(viscosities, densities, times)
def test_the_film_obeys_the_flow_it_was_derived_from(viscosity: float, density: float, time_s: float) -> None:
    # ∂δ/∂t + (ρg/μ) δ² ∂δ/∂z = 0, by central differences: a wrong exponent anywhere would leave a remainder.
    def film_m(z_mm: float, t: float) -> float:
        return draining_film(viscosity, density, length_mm=z_mm, time_s=t).bottom_mm / 1000

    z_mm, step = 50.0, 1e-4
    by_time = (film_m(z_mm, time_s * (1 + step)) - film_m(z_mm, time_s * (1 - step))) / (2 * step * time_s)
    by_height = (film_m(z_mm * (1 + step), time_s) - film_m(z_mm * (1 - step), time_s)) / (2 * step * z_mm / 1000)
    flow = 1000 * density * 9.80665 / viscosity * film_m(z_mm, time_s) ** 2 * by_height
    assert by_time + flow == pytest.approx(0, abs=1e-6 * flow)


def test_the_mean_is_the_mean() -> None:
    heights = [(step + 0.5) / 2000 * 100 for step in range(2000)]
    films = [draining_film(0.8, 1.1, length_mm=height, time_s=60).bottom_mm for height in heights]
    assert draining_film(0.8, 1.1, length_mm=100, time_s=60).mean_mm == pytest.approx(sum(films) / 2000, rel=1e-5)


@given(viscosities, densities, st.floats(1, 20_000), times)
def test_no_cup_keeps_more_than_was_in_it(viscosity: float, density: float, content_ml: float, time_s: float) -> None:
    loss = cup_loss(viscosity, density, cup_for_content(content_ml), time_s=time_s)
    assert 0 < loss.share <= 1 + ROUNDING
    assert loss.total_g == pytest.approx(loss.share * content_ml * density, rel=1e-9)


@given(st.floats(1, 5000), st.floats(1, 5))
def test_the_cup_holds_its_content(content_ml: float, times_larger: float) -> None:
    snug, roomy = cup_for_content(content_ml), cup_for_content(content_ml, capacity_ml=content_ml * times_larger)
    for cup in (snug, roomy):
        assert cup.content_ml == pytest.approx(content_ml, rel=1e-9)
    assert roomy.diameter_mm == pytest.approx(snug.diameter_mm * math.cbrt(times_larger), rel=1e-9)
    assert snug.wet_height_mm == snug.diameter_mm


@given(st.floats(0, 5000), st.floats(1, 100))
def test_a_larger_batch_loses_a_smaller_share(batch_g: float, more_g: float) -> None:
    assert usual_loss_share(batch_g + more_g) <= usual_loss_share(batch_g) * (1 + ROUNDING)


def test_a_dip_film_never_passes_its_upper_limit() -> None:
    film = dip_film_mm(20, 1.1, speed_mm_s=50, surface_tension_n_m=0.02)
    assert film == pytest.approx(1000 * math.sqrt(20 * 0.05 / (1100 * 9.80665)))


def test_silicone_in_a_thimble_is_remarked_on() -> None:
    assert [notice.code for notice in cup_loss(20, 1.1, cup_for_content(10)).notices] == ["hardly-drains"]
    assert cup_loss(0.8, 1.1, cup_for_content(500)).notices == ()


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: Cup(0, 1), "The diameter of the cup in mm is 0; give a number above 0."),
        (lambda: Cup(1, 0), "The height to which the cup is wetted in mm is 0; give a number above 0."),
        (lambda: cup_for_content(-1), "The content of the cup in ml is -1; give a number above 0."),
        (
            lambda: cup_for_content(300, capacity_ml=250),
            "The content of the cup in ml is 300; give a number from 0 to 250.",
        ),
        (
            lambda: draining_film(0, 1, length_mm=1, time_s=1),
            "The viscosity in Pa·s is 0; give a number above 0.",
        ),
        (
            lambda: draining_film(1, 1, length_mm=1, time_s=0),
            "The time of draining in s is 0; give a number above 0.",
        ),
        (lambda: usual_loss_share(-1), "The mass of the batch in g is -1; give 0 or more."),
        (
            lambda: dip_film_mm(1, 1, speed_mm_s=1, surface_tension_n_m=0),
            "The surface tension in N/m is 0; give a number above 0.",
        ),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

"""Pressure casting: bubbles, room, time, and the figures behind the cautions."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.vessels.pressure import (
    Vessel,
    box_in_vessel,
    bubble_shrinkage,
    closing_time,
    marking_notices,
    round_in_vessel,
    vacuum_lid_force_n,
    vessel_hazard,
)

ROUNDING = 1e-12
sizes = st.floats(10, 400)


@given(st.floats(0, 1e6), st.floats(0, 3000))
def test_a_bubble_is_a_ball(gauge_pa: float, altitude_m: float) -> None:
    bubble = bubble_shrinkage(gauge_pa, altitude_m=altitude_m)
    assert bubble.diameter_ratio**3 == pytest.approx(bubble.volume_ratio, rel=ROUNDING)
    assert 0 < bubble.volume_ratio <= 1


# Boyle at sea level (arithmetic): 101.325/(101.325 + gauge), psi of 6.894757 kPa.
@pytest.mark.parametrize(
    ("gauge_pa", "volume", "diameter"),
    [(206_842.7, 0.32880, 0.69020), (310_264.1, 0.24618, 0.62674), (3e5, 0.25248, 0.63203), (4e5, 0.20211, 0.58686)],
)
def test_usual_pressures(gauge_pa: float, volume: float, diameter: float) -> None:
    bubble = bubble_shrinkage(gauge_pa)
    assert (bubble.volume_ratio, bubble.diameter_ratio) == pytest.approx((volume, diameter), abs=5e-6)


@given(sizes, sizes, sizes, sizes, sizes)
def test_what_fits_has_its_corners_inside(x: float, y: float, z: float, diameter: float, height: float) -> None:
    fit = box_in_vessel((x, y, z), Vessel(diameter, height), clearance_mm=0)
    corners_inside = math.hypot(x / 2, y / 2) <= diameter / 2 * (1 + ROUNDING)
    assert fit.fits == (fit.spare_diameter_mm >= 0 and fit.spare_height_mm >= 0)
    if fit.fits:
        assert corners_inside
        assert z <= height


def test_what_does_not_fit_says_by_how_much() -> None:
    fit = box_in_vessel((180, 180, 300), Vessel(250, 280), clearance_mm=5)
    assert not fit.fits
    assert [notice.message for notice in fit.notices] == [
        "The mould is 15 mm too wide for the vessel, with room to grip it.",
        "The mould is 25 mm too high for the vessel.",
    ]


def test_a_snug_round_mould_fits() -> None:
    assert round_in_vessel(240, 275, Vessel(250, 280), clearance_mm=5).fits


def test_time_to_close() -> None:
    slow = closing_time(420, mix_s=90, pour_s=120, close_s=60, pressurise_s=90)
    assert (slow.enough, slow.spare_s) == (True, 60)
    fast = closing_time(180, mix_s=60, pour_s=60, close_s=60, pressurise_s=60)
    assert (fast.enough, fast.spare_s) == (False, -60)
    assert fast.notices[-1].message == (
        "The vessel is closed 60 s after the pot life; bubbles do not shrink in a set resin."
    )


def test_ten_litres_at_sixty_psi() -> None:
    # Brode by hand (arithmetic): 413 685 Pa × 0.01 m³ / 0.4 = 10.34 kJ, 2.5 g of TNT.
    vessel = Vessel(250, 1e7 / (math.pi / 4 * 250**2))
    hazard = vessel_hazard(vessel, 413_685)
    assert vessel.volume_ml == pytest.approx(10_000)
    assert hazard.stored_energy_j == pytest.approx(10_342, rel=1e-4)
    assert hazard.tnt_g == pytest.approx(2.47, abs=0.01)


def test_the_lid_of_a_vacuum_vessel_is_lighter_loaded_in_the_mountains() -> None:
    assert vacuum_lid_force_n(300, altitude_m=1500) < vacuum_lid_force_n(300)


@pytest.mark.parametrize(
    ("marked_pa", "codes"), [(None, ["vessel-unmarked"]), (3e5, ["vessel-overpressure"]), (6e5, [])]
)
def test_only_a_marked_vessel_below_its_mark(marked_pa: float | None, codes: list[str]) -> None:
    assert [notice.code for notice in marking_notices(marked_pa, 4e5)] == codes


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: Vessel(0, 1), "The inside diameter of the vessel in mm is 0; give a number above 0."),
        (lambda: Vessel(1, -1), "The inside height of the vessel in mm is -1; give a number above 0."),
        (lambda: Vessel(1, 1, 0), "The pressure marked on the vessel in Pa is 0; give a number above 0."),
        (lambda: bubble_shrinkage(-1), "The gauge pressure in Pa is -1; give 0 or more."),
        (lambda: box_in_vessel((1, 0, 1), Vessel(9, 9)), "The side of the mould in mm is 0; give a number above 0."),
        (
            lambda: closing_time(0, mix_s=1, pour_s=1, close_s=1, pressurise_s=1),
            "The pot life in s is 0; give a number above 0.",
        ),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

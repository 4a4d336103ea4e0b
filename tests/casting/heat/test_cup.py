"""Calibration: the same model of the same cup must give back what it was fitted to, and refuse what it cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.cup import CupTest, calibrate
from moldvol.casting.heat.pot import Pot, gel_time_s, left_standing, pot_cells
from moldvol.casting.heat.pot_life import pot_life_of_family, pot_life_of_pot
from moldvol.errors import RequestError, ShelfError
from moldvol.materials.chemistry.thermal import RESIN_CLASSES

SHEET = CupTest(name="test resin", kind="polyurethane", pot_life_s=300, pot_life_mass_g=100)
CUP = Pot(mass_g=100, room=Film(air_c=23), start_c=23)
POT_LIFE_REL = 2e-3
PEAK_K = 1.0


@pytest.mark.parametrize(("kind", "pot_life_s"), [("polyurethane", 180), ("polyester", 1200), ("epoxy", 2700)])
def test_the_cup_lives_as_long_as_the_sheet_says(kind, pot_life_s):
    usual = calibrate(replace(SHEET, kind=kind, pot_life_s=pot_life_s)).usual
    assert gel_time_s(CUP, usual.resin, usual.law) == approx(pot_life_s, rel=POT_LIFE_REL)
    assert {figure.name: figure.origin for figure in usual.figures}["heat of reaction"] == "class"


@pytest.mark.parametrize(
    ("kind", "pot_life_s", "peak_c"), [("polyurethane", 300, 120), ("polyester", 1200, 150), ("epoxy", 2700, 120)]
)
def test_a_stated_peak_fits_the_heat(kind, pot_life_s, peak_c):
    usual = calibrate(replace(SHEET, kind=kind, pot_life_s=pot_life_s, peak_c=peak_c)).usual
    assert left_standing(CUP, usual.resin, usual.law).peak_c == approx(peak_c, abs=PEAK_K)
    assert gel_time_s(CUP, usual.resin, usual.law) == approx(pot_life_s, rel=POT_LIFE_REL)
    assert {figure.name: figure.origin for figure in usual.figures}["heat of reaction"] == "fitted"


def test_own_figures_of_the_shelf_are_used_and_said_to_be():
    own = calibrate(replace(SHEET, heat_of_reaction_j_g=200, energy_j_mol=40_000)).usual
    assert own.resin.heat_of_reaction_j_g == 200
    assert own.law.energy_j_mol == 40_000
    origins = {figure.name: figure.origin for figure in own.figures}
    assert (origins["heat of reaction"], origins["activation energy"], origins["conductivity"]) == (
        "shelf", "shelf", "class",
    )  # fmt: skip


def test_the_family_brackets_the_usual_peak():
    family = calibrate(SHEET)
    cool, usual, hot = (left_standing(CUP, m.resin, m.law).peak_c for m in (family.cooler, family.usual, family.hotter))
    assert cool < usual < hot


def test_all_the_family_agree_on_the_sheets_own_cup():
    life = pot_life_of_pot(SHEET, 100, 23)
    assert life.low_s == approx(300, rel=POT_LIFE_REL)
    assert life.high_s == approx(300, rel=POT_LIFE_REL)


def test_bigger_and_warmer_pots_live_shorter():
    family = calibrate(replace(SHEET, pot_life_s=900))
    lives = [pot_life_of_family(family, mass, 23).usual_s for mass in (20, 100, 500)]
    assert lives[0] > lives[1] > lives[2]
    assert pot_life_of_family(family, 100, 28).usual_s < 0.85 * lives[1]
    assert pot_life_of_family(family, 100, 18).usual_s > 1.15 * lives[1]


def test_pot_life_lies_between_adiabatic_and_isothermal():
    usual = calibrate(SHEET).usual
    gel, rise = usual.law.gel_conversion, usual.resin.adiabatic_rise_k
    fastest = usual.law.time_to_s(gel, start_c=23, rise_k=rise)
    slowest = usual.law.time_to_s(gel, start_c=23)
    assert (
        0.99 * fastest <= pot_life_of_pot(SHEET, 5000, 23).usual_s <= pot_life_of_pot(SHEET, 1, 23).usual_s <= slowest
    )


def test_pot_holds_its_mass_and_has_its_surface():
    cells = pot_cells(CUP, RESIN_CLASSES["polyurethane"])
    assert cells.heat_j.sum() == approx(100 * 280, rel=1e-12)
    radius = CUP.radius_mm(1.1)
    height = 2 * radius
    assert np.pi * radius**2 * height * 1.1e-3 == approx(100)
    # film and half a cell in series: a little under 10 W/(m² K) on the closed cylinder
    full = 2 * np.pi * radius * (radius + height) * 10e-6
    assert 0.9 * full < cells.film_w_k.sum() < full


@pytest.mark.parametrize(
    ("missing", "words"),
    [({"pot_life_s": None}, "has no pot_life_min,"), ({"pot_life_mass_g": None}, "has no pot_life_mass_g,"),
     ({"pot_life_s": None, "pot_life_mass_g": None}, "no pot_life_min and no pot_life_mass_g")],
)  # fmt: skip
def test_no_cup_no_estimate(missing, words):
    with pytest.raises(ShelfError, match=words):
        calibrate(replace(SHEET, **missing))


def test_rubber_has_no_heat_to_reckon_with():
    with pytest.raises(ShelfError, match="'silicone', whose heat is not known"):
        calibrate(replace(SHEET, kind="silicone"))


@pytest.mark.parametrize("peak_c", [40, 400])
def test_a_peak_no_resin_of_the_class_has_is_refused(peak_c):
    with pytest.raises(ShelfError, match="check peak_c and its mass"):
        calibrate(replace(SHEET, peak_c=peak_c))


def test_a_cup_at_an_odd_temperature_is_refused():
    with pytest.raises(ShelfError, match="at 80 °C"):
        calibrate(replace(SHEET, temperature_c=80))


def test_a_pot_beyond_reason_is_refused():
    with pytest.raises(RequestError, match="pot of 0 g"):
        pot_life_of_pot(SHEET, 0.0, 23)

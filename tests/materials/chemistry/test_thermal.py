"""Class values against sums by hand, and the filler rules."""

from __future__ import annotations

import pytest
from pytest import approx

from moldvol.errors import RequestError
from moldvol.materials.chemistry.thermal import (
    FILLERS,
    MOULD_MATERIALS,
    RESIN_CLASSES,
    filled,
    filler_share,
    maxwell_conductivity_w_mk,
    mould_material,
    pours,
)

POLYESTER = RESIN_CLASSES["polyester"]
CHALK = FILLERS["chalk"]


def test_diffusivity_by_hand():
    # 0.2 / (1100 · 1800) m²/s
    assert RESIN_CLASSES["polyurethane"].substance.diffusivity_mm2_s == approx(0.10101, rel=1e-4)


def test_chalk_halves_the_heat_and_little_else():
    # 36 300 J in 100 · 1.9 + 100 · 0.83 J/K
    mixed = filled(POLYESTER, CHALK, parts_per_100=100)
    assert mixed.adiabatic_rise_k == approx(36_300 / 273, rel=1e-9)
    assert mixed.heat_of_reaction_j_g == approx(363 / 2)
    # volumes add: 200 g in 100/1.12 + 100/2.71 cm³
    assert mixed.substance.density_g_cm3 == approx(1.58496, rel=1e-5)
    assert filler_share(POLYESTER, CHALK, parts_per_100=100) == approx(0.29243, rel=1e-4)


def test_no_filler_changes_nothing():
    none = filled(POLYESTER, CHALK, parts_per_100=0)
    assert none.adiabatic_rise_k == approx(POLYESTER.adiabatic_rise_k)
    assert none.substance.conductivity_w_mk == approx(POLYESTER.substance.conductivity_w_mk)


def test_maxwell_by_hand():
    # spheres that lead endlessly well: (1 + 2φ)/(1 − φ)
    assert maxwell_conductivity_w_mk(0.2, 1e9, 0.3) == approx(0.2 * 1.6 / 0.7)


def test_too_much_filler_is_refused():
    assert not pours(POLYESTER, CHALK, parts_per_100=200)
    with pytest.raises(RequestError, match="no longer pours"):
        filled(POLYESTER, CHALK, parts_per_100=200)


def test_unknown_moulds_are_refused():
    assert mould_material("silicone") is MOULD_MATERIALS["silicone"]
    with pytest.raises(RequestError, match="'sand' is not a mould material"):
        mould_material("sand")

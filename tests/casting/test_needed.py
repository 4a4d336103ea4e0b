"""Grams for a volume."""

from __future__ import annotations

from pytest import approx

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.needed import needed_for
from moldvol.materials.shelf import load_shelf

SHELF = load_shelf()


def test_a_volume_takes_its_mass_and_the_allowance():
    resin = SHELF.resins["fast-urethane"]
    needed = needed_for(200_000, MixRequest(resin=resin), stated=0.08)
    assert needed.net_mass_g == approx(200 * resin.cured_density_g_ml)
    assert needed.allowance_g == approx(0.08 * needed.net_mass_g)
    assert needed.mix.total_mass_g == approx(needed.total_mass_g)


def test_the_catalyst_of_a_polyester_is_part_of_the_cast():
    needed = needed_for(200_000, MixRequest(resin=SHELF.resins["casting-polyester"]), stated=0.0)
    assert needed.mix.total_mass_g == approx(needed.net_mass_g)

"""What goes into the cup, in order, and the density of what comes out."""

from __future__ import annotations

import pytest

from moldvol.casting.mixing.ingredients import ingredients_of, mix_density_g_ml
from moldvol.materials.mixtures.additions import Addition
from tests.bench import polyester, powder, urethane


def test_grams_to_a_gram_of_resin() -> None:
    half = Addition(filler=powder(2.2), by_weight=50)
    resin, filler, catalyst = ingredients_of(polyester(), [half], 2.0)
    assert [resin.per_g, filler.per_g, catalyst.per_g] == [1.0, 0.5, 0.02]
    assert [one.role for one in (resin, filler, catalyst)] == ["part", "addition", "catalyst"]


def test_resin_without_anything_is_as_dense_as_it_cures() -> None:
    assert mix_density_g_ml(urethane(), ingredients_of(urethane(), [], 0.0)) == pytest.approx(1.10)
    assert mix_density_g_ml(polyester(), ingredients_of(polyester(), [], 2.0)) == pytest.approx(1.20)


def test_an_overpacked_foam_is_denser() -> None:
    foam = urethane(kind="foam", cured_density_g_ml=0.064, overpack=0.15)
    assert mix_density_g_ml(foam, ingredients_of(foam, [], 0.0)) == pytest.approx(0.0736)


def test_a_catalyst_without_price_costs_what_the_resin_costs() -> None:
    *_, catalyst = ingredients_of(polyester(), [], 1.0)
    assert catalyst.price_per_kg == 20.0

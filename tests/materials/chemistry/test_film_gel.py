"""A film at the bench's temperature gels when its law says so at that temperature, never before the cup."""

from __future__ import annotations

import pytest
from pytest import approx

from moldvol.errors import RequestError
from moldvol.materials.chemistry.film_gel import film_gel_s
from moldvol.materials.chemistry.kinetics import CURE_CLASSES
from moldvol.materials.chemistry.pot_heat import law_of_cup
from moldvol.materials.shelf import load_shelf
from tests.bench import polyester, silicone, urethane

URETHANES = ("fast-urethane", "clear-urethane", "tough-urethane", "slow-urethane")


def test_a_cup_that_loses_its_heat_at_once_gels_as_its_film() -> None:
    # a speck hardly warms: then the film takes the stated pot life, all of it isothermal
    tiny = urethane(pot_life_mass_g=1e-12, activation_energy_j_mol=45_000.0)
    assert film_gel_s(tiny, 20).usual == approx(tiny.pot_life_s, rel=5e-3)


def test_by_hand_for_a_law_of_second_order() -> None:
    # dα/dt = k (1 − α)² is α/(1 − α) = k t
    resin = urethane()
    shape = CURE_CLASSES["polyurethane"].law
    law = law_of_cup(resin, shape, "polyurethane")
    gel = shape.gel_conversion
    by_hand = gel / (1 - gel) / (law.k1_per_s * law.arrhenius(20, 45_000))
    assert film_gel_s(urethane(activation_energy_j_mol=45_000.0), 20).usual == approx(by_hand, rel=1e-3)


@pytest.mark.parametrize("key", URETHANES)
def test_a_urethane_film_gels_long_after_its_cup(key: str) -> None:
    resin = load_shelf().resin(key)
    film = film_gel_s(resin, resin.pot_life_temperature_c)
    assert resin.gel_time_s is not None
    assert 2 * resin.gel_time_s < film.low < film.usual < film.high


def test_never_before_the_stated_cup() -> None:
    resin = load_shelf().resin("casting-polyester")
    assert film_gel_s(resin, resin.pot_life_temperature_c).usual == approx(resin.gel_time_s)


def test_a_rubber_film_gels_with_its_cup() -> None:
    resin = silicone()
    film = film_gel_s(resin, resin.pot_life_temperature_c)
    assert film.low == film.usual == film.high == approx(resin.pot_life_s)


@pytest.mark.parametrize("resin", [urethane(), polyester(), urethane(kind="foam"), urethane(kind="epoxy")])
def test_warmth_and_more_catalyst_make_it_sooner(resin) -> None:
    film = film_gel_s(resin, 20)
    assert film_gel_s(resin, 30).usual < film.usual
    assert film_gel_s(resin, 20, faster=2.0).usual < film.usual


def test_no_workshop_is_that_hot() -> None:
    with pytest.raises(RequestError, match="not a workshop"):
        film_gel_s(urethane(), 300)

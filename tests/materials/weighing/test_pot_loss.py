"""What a pot keeps: by viscosity where known, by practice where not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from moldvol.errors import RequestError
from moldvol.materials.resin import Resin
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.pot_loss import FILM, PRACTICE, pot_loss
from moldvol.materials.weighing.wetting import cup_for_content, cup_loss

RESINS = list(load_shelf().resins.values())


def first_of(kind: str) -> Resin:
    return next(resin for resin in RESINS if resin.kind == kind)


def test_by_viscosity() -> None:
    resin = replace(first_of("epoxy"), viscosity_pa_s=0.8, cured_density_g_ml=1.1)
    loss = pot_loss(resin, 330, capacity_ml=500, drain_s=60)
    expected = cup_loss(0.8, 1.1, cup_for_content(300, capacity_ml=500), time_s=60)
    assert (loss.mass_g, loss.share) == (expected.total_g, expected.share)
    assert loss.grade == FILM


@pytest.mark.parametrize(("kind", "share"), [("silicone", 0.125), ("polyurethane", 0.05)])
def test_by_practice(kind: str, share: float) -> None:
    loss = pot_loss(replace(first_of(kind), viscosity_pa_s=None), 800)
    assert (loss.share, loss.mass_g, loss.grade) == (share, 800 * share, PRACTICE)


@pytest.mark.parametrize("resin", RESINS, ids=lambda resin: resin.key)
def test_every_resin_of_the_shelf_leaves_most_of_it(resin: Resin) -> None:
    loss = pot_loss(resin, 200)
    assert 0 < loss.share < 0.25
    assert loss.mass_g == pytest.approx(200 * loss.share)


def test_an_overfull_pot_is_refused() -> None:
    with pytest.raises(RequestError, match=r"^The content of the cup in ml is "):
        pot_loss(first_of("epoxy"), 1000, capacity_ml=250)

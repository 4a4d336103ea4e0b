"""What goes into the cup: the resin's parts, a polyester's catalyst, additions; each as grams to one gram of resin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from moldvol.errors import RequestError
from moldvol.materials.mixtures.additions import Addition
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.ratio import mass_shares

Role = Literal["part", "catalyst", "addition"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ingredient:
    """``per_g`` grams of it go to one gram of the resin's own parts."""

    name: str
    role: Role
    per_g: float
    density_g_ml: float | None
    price_per_kg: float | None


def ingredients_of(resin: Resin, additions: Sequence[Addition], catalyst_percent: float) -> tuple[Ingredient, ...]:
    """Parts, catalyst and additions in the order they go into the cup: what starts the cure last."""
    parts = [
        Ingredient(
            name=part.name, role="part", per_g=share, density_g_ml=part.density_g_ml, price_per_kg=resin.price_per_kg
        )
        for part, share in zip(resin.parts, mass_shares(resin), strict=True)
    ]
    added = [_addition(addition, resin) for addition in additions]
    ingredients = (*parts, *added, *_catalyst(resin, catalyst_percent))
    _check_names(ingredients)
    return ingredients


def mix_density_g_ml(resin: Resin, ingredients: Sequence[Ingredient]) -> float:
    """Density of the cast in g/ml: cured resin (of a foam: risen in a closed mould) and additions by volume."""
    cured = resin.cured_density_g_ml * (1 + (resin.overpack or 0.0))
    volumes = [
        one.per_g / (one.density_g_ml if one.role == "addition" and one.density_g_ml else cured) for one in ingredients
    ]
    return math.fsum(one.per_g for one in ingredients) / math.fsum(volumes)


def _addition(addition: Addition, resin: Resin) -> Ingredient:
    filler = addition.filler
    return Ingredient(
        name=filler.name,
        role="addition",
        per_g=addition.mass_per_g(resin.cured_density_g_ml),
        density_g_ml=filler.density_g_ml,
        price_per_kg=filler.price_per_kg,
    )


def _catalyst(resin: Resin, percent: float) -> tuple[Ingredient, ...]:
    if resin.catalyst is None:
        return ()
    catalyst = resin.catalyst
    return (
        Ingredient(
            name=catalyst.name,
            role="catalyst",
            per_g=percent / 100,
            density_g_ml=catalyst.density_g_ml,
            price_per_kg=resin.price_per_kg if catalyst.price_per_kg is None else catalyst.price_per_kg,
        ),
    )


def _check_names(ingredients: Sequence[Ingredient]) -> None:
    names = [one.name.casefold() for one in ingredients]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise RequestError(f"{twice} goes into the mix twice; give it once, with all of it.", value=twice)

"""The weigh-out: so much of every part, what the scale shows on the way, and how far the ratio may be off.

Masses in g, volumes in ml. Everything goes into one cup, so nothing that is poured can be taken out again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from moldvol.casting.mixing.ingredients import Ingredient, ingredients_of, mix_density_g_ml
from moldvol.casting.mixing.notices import mix_notices
from moldvol.casting.mixing.over_pour import fill_up, poured_amounts
from moldvol.casting.mixing.recipe import KITCHEN_SCALE, Component, MixPlan, MixRequest, in_ratio
from moldvol.errors import RequestError
from moldvol.materials.bounds import positive
from moldvol.materials.cautions import cautions_for
from moldvol.materials.chemistry.catalyst import CatalystDose, catalyst_dose
from moldvol.materials.chemistry.pot_life import pot_life
from moldvol.materials.mixtures.additions import Addition, filler_share
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.scales import Scale
from moldvol.materials.weighing.weighing_error import RatioError, smallest_batch_g, weighed_ratio_error

__all__ = [
    "KITCHEN_SCALE",
    "Component",
    "MixPlan",
    "MixRequest",
    "component_names",
    "haste_of",
    "plan_measured",
    "plan_mix",
    "plan_request",
]

_SOME_G = 100.0  # enough of everything to name it


def plan_mix(
    resin: Resin,
    *,
    mass_g: float | None = None,
    volume_ml: float | None = None,
    additions: Sequence[Addition] = (),
    scale: Scale = KITCHEN_SCALE,
    bench_c: float | None = None,
    catalyst: float | None = None,
    poured: Mapping[str, float] | None = None,
) -> MixPlan:
    """The recipe for *mass_g* or *volume_ml* of *resin*; see `MixRequest` for what the two mean.

    *catalyst* is a polyester's dose in per cent, if not the usual one; *poured* what is in the cup already, g by name.
    Raises `RequestError` for amounts that cannot be mixed.
    """
    return plan_request(
        MixRequest(
            resin=resin,
            mass_g=mass_g,
            volume_ml=volume_ml,
            additions=tuple(additions),
            scale=scale,
            bench_c=bench_c,
            catalyst_percent=catalyst,
            poured=dict(poured or {}),
        )
    )


def component_names(request: MixRequest) -> tuple[str, ...]:
    """What goes into the cup for a request whose amount is still open, in order. Raises as `plan_request`."""
    return tuple(one.name for one in plan_request(replace(request, mass_g=_SOME_G, volume_ml=None)).components)


def plan_measured(request: MixRequest) -> MixPlan:
    """The recipe for an amount that a mesh has told, as `plan_request`: hardly anything points to a wrong unit."""
    return plan_request(request, too_little="use a finer scale, or pass --unit if the part is larger than that")


def plan_request(request: MixRequest, *, too_little: str = "mix more, or use a finer scale") -> MixPlan:
    """The recipe for a request; *too_little* is what to do where the scale does not show it at all.

    Raises `RequestError` for amounts that cannot be mixed.
    """
    resin = request.resin
    bench_c = resin.pot_life_temperature_c if request.bench_c is None else request.bench_c
    dose = _dose(request, bench_c)
    ingredients = ingredients_of(resin, request.additions, dose.percent if dose else 0.0)
    density = mix_density_g_ml(resin, ingredients)
    due_g = _due_g(request, ingredients, density, too_little)
    poured = poured_amounts(request.poured, [ingredient.name for ingredient in ingredients])
    due_g, surplus_g = fill_up(due_g, poured)
    components = _weighed(ingredients, due_g, poured, request.scale)
    error = _ratio_error(components, request.scale)
    total_g = math.fsum(due_g)
    life = pot_life(resin, bench_c, total_g, faster=dose.haste if dose else 1.0)
    return MixPlan(
        request=request,
        total_mass_g=total_g,
        total_volume_ml=total_g / density,
        density_g_ml=density,
        components=components,
        ratio_error=error,
        smallest_batch_g=_smallest_batch_g(components, request),
        pot_life_s=life.stated_mass_s,
        one_cup_life_s=life.pot_s,
        halving_rule_s=life.halving_rule_s,
        bench_c=bench_c,
        filler_share=filler_share(request.additions, resin.cured_density_g_ml),
        surplus_g=surplus_g,
        catalyst=_dose_of(components, dose),
        cost=_cost(ingredients, due_g, request),
        notices=mix_notices(request, components, surplus_g) + (dose.notices if dose else ()) + life.notices,
        cautions=cautions_for(resin, [addition.filler for addition in request.additions]),
    )


def density_of(request: MixRequest) -> float:
    """Density in g/ml of what *request* casts, fillers and catalyst included; its amount may still be open."""
    resin = request.resin
    bench_c = resin.pot_life_temperature_c if request.bench_c is None else request.bench_c
    dose = _dose(request, bench_c)
    return mix_density_g_ml(resin, ingredients_of(resin, request.additions, dose.percent if dose else 0.0))


def haste_of(request: MixRequest) -> float:
    """How many times as fast the catalyst of *request* makes its resin as the usual dose; 1 without one."""
    bench_c = request.resin.pot_life_temperature_c if request.bench_c is None else request.bench_c
    dose = _dose(request, bench_c)
    return 1.0 if dose is None else dose.haste


def _dose(request: MixRequest, bench_c: float) -> CatalystDose | None:
    if request.resin.catalyst is None:
        if request.catalyst_percent is not None:
            parts = ", ".join(part.name for part in request.resin.parts)
            raise RequestError(
                f"{request.resin.name} takes no catalyst: it is mixed from {parts}; leave the catalyst out."
            )
        return None
    return catalyst_dose(request.resin, 0.0, bench_c, percent=request.catalyst_percent, section_mm=request.section_mm)


def _dose_of(components: Sequence[Component], dose: CatalystDose | None) -> CatalystDose | None:
    if dose is None:
        return None
    mass_g = next(component.mass_g for component in components if component.role == "catalyst")
    volume_ml = next(component.volume_ml or 0.0 for component in components if component.role == "catalyst")
    return replace(dose, mass_g=mass_g, volume_ml=volume_ml, drops=round(volume_ml * dose.drops_per_ml))


def _due_g(request: MixRequest, ingredients: Sequence[Ingredient], density_g_ml: float, too_little: str) -> list[float]:
    if (request.mass_g is None) == (request.volume_ml is None):
        raise RequestError("Give the amount either as a mass or as a volume, one of the two.")
    whole = math.fsum(ingredient.per_g for ingredient in ingredients)
    if request.volume_ml is not None:
        base_g = positive(request.volume_ml, "volume to mix in ml") * density_g_ml / whole
    else:
        catalyst = math.fsum(ingredient.per_g for ingredient in ingredients if ingredient.role == "catalyst")
        base_g = positive(request.mass_g or 0.0, "mass to mix in g") / (whole - catalyst)
    if base_g * whole < request.scale.readability_g:
        raise request.scale.not_shown(base_g * whole, too_little)
    return [base_g * ingredient.per_g for ingredient in ingredients]


def _weighed(
    ingredients: Sequence[Ingredient], due_g: Sequence[float], in_cup: Sequence[float], scale: Scale
) -> tuple[Component, ...]:
    """The components in the order of the recipe. What is poured already is in the cup first, whatever its place."""
    missing = [max(due - done, 0.0) for due, done in zip(due_g, in_cup, strict=True)]
    steps = scale.readings_g(missing)
    shown = _shown_after(in_cup, steps, scale)
    return tuple(
        Component(
            name=ingredient.name,
            role=ingredient.role,
            mass_g=due_g[place],
            volume_ml=None if ingredient.density_g_ml is None else due_g[place] / ingredient.density_g_ml,
            reading_g=round(in_cup[place] + steps[place], 6),
            scale_reading_g=shown[place],
            poured_g=in_cup[place],
            to_add_g=steps[place],
        )
        for place, ingredient in enumerate(ingredients)
    )


def _shown_after(in_cup: Sequence[float], steps: Sequence[float], scale: Scale) -> list[float]:
    after_pouring = scale.cumulative_g(in_cup)
    after_adding = scale.cumulative_g(steps, start_g=after_pouring[-1])
    # Where nothing is missing of a part, the display stood still at what it showed when the part went in.
    return [
        after_adding[place] if steps[place] or not in_cup[place] else after_pouring[place]
        for place in range(len(steps))
    ]


def _ratio_error(components: Sequence[Component], scale: Scale) -> RatioError:
    matter = in_ratio(components)
    return weighed_ratio_error([one.mass_g for one in matter], [one.reading_g for one in matter], scale)


def _smallest_batch_g(components: Sequence[Component], request: MixRequest) -> float:
    """The least total, additions included, that keeps the ratio on this scale."""
    matter = [one.mass_g for one in in_ratio(components)]
    least_g = smallest_batch_g(matter, request.scale, request.resin.ratio_tolerance)
    whole_g = least_g * math.fsum(one.mass_g for one in components) / math.fsum(matter)
    return request.scale.rounded_up_g(whole_g)


def _cost(ingredients: Sequence[Ingredient], due_g: Sequence[float], request: MixRequest) -> float | None:
    if request.resin.price_per_kg is None:
        return None
    return math.fsum(mass * (one.price_per_kg or 0.0) / 1000 for one, mass in zip(ingredients, due_g, strict=True))

"""What a recipe wants said: about its scale, its ratio, its additions, what was poured too much, what has no price."""

from __future__ import annotations

import math
from collections.abc import Sequence

from moldvol.casting.mixing.recipe import Component, MixRequest, in_ratio
from moldvol.materials.mixtures.additions import addition_notices
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.ratio import volume_ratio_notice
from moldvol.materials.weighing.remedies import Weighing, addition_notice, ratio_notices
from moldvol.materials.weighing.scales import Scale
from moldvol.notices import Notice

MOST_IN_A_CUP_ML = 5000.0  # common practice, no source: what one person stirs through in a bucket and carries
WORTH_TOPPING_UP = 0.04  # of the volume; below, what stands proud of the mould is enough


def mix_notices(request: MixRequest, components: Sequence[Component], surplus_g: float) -> tuple[Notice, ...]:
    """The remarks on a mix of *components* for *request*, of which *surplus_g* is left over."""
    resin, scale = request.resin, request.scale
    first = _weighing(components[0])
    additions = [_weighing(one) for one in components if one.role == "addition"]
    return (
        volume_ratio_notice(resin)
        + ratio_notices([_weighing(one) for one in in_ratio(components)], scale, resin.ratio_tolerance)
        + tuple(notice for one in additions for notice in addition_notice(one, first, scale))
        + _load_notices(components, scale)
        + _cup_notices(components)
        + addition_notices(request.additions, resin.cured_density_g_ml)
        + _shrinking_notices(resin, components)
        + _surplus_notices(surplus_g)
        + _price_notices(request)
    )


def _weighing(component: Component) -> Weighing:
    volume_ml = component.volume_ml
    return Weighing(
        name=component.name,
        due_g=component.mass_g,
        reading_g=component.reading_g,
        density_g_ml=None if volume_ml is None else component.mass_g / volume_ml,
    )


def _load_notices(components: Sequence[Component], scale: Scale) -> tuple[Notice, ...]:
    said = []
    total_g = max(one.scale_reading_g for one in components)
    if scale.capacity_g is not None and total_g > scale.capacity_g:
        said.append(
            Notice(
                "over-capacity",
                f"{total_g:g} g and the cup are more than the {scale.capacity_g:g} g this scale bears: use more pots.",
            )
        )
    least_g = scale.least_load_g
    light = [one.name for one in components if least_g is not None and 0 < one.reading_g < least_g]
    if light:
        said.append(
            Notice(
                "below-minimum",
                f"The class of this scale vouches for nothing below {least_g:g} g, and there is less of "
                f"{' and '.join(light)}.",
            )
        )
    return tuple(said)


def _cup_notices(components: Sequence[Component]) -> tuple[Notice, ...]:
    """More than one person stirs in one cup; a part of unknown density is taken for as light as water."""
    volume_ml = math.fsum(one.mass_g if one.volume_ml is None else one.volume_ml for one in components)
    if volume_ml <= MOST_IN_A_CUP_ML:
        return ()
    told = f"{volume_ml / 1000:.3g} l are more than one person mixes at once: split them over pots, like --pot 2l."
    return (Notice("more-than-a-cup", told, grave=True),)


def _shrinking_notices(resin: Resin, components: Sequence[Component]) -> tuple[Notice, ...]:
    """Polyesters above all shrink by several per cent as they cure; the amount is what fills the mould after that."""
    if resin.kind == "foam" or any(one.volume_ml is None for one in components):
        return ()
    liquid_ml = math.fsum(one.volume_ml or 0.0 for one in components if one.role != "addition")
    cured_ml = math.fsum(one.mass_g for one in components if one.role != "addition") / resin.cured_density_g_ml
    if liquid_ml <= cured_ml * (1 + WORTH_TOPPING_UP):
        return ()
    return (
        Notice(
            "shrinks",
            f"{liquid_ml:.0f} ml of liquid resin cure to {cured_ml:.0f} ml: keep some back, and top the "
            "mould up as it sinks.",
        ),
    )


def _surplus_notices(surplus_g: float) -> tuple[Notice, ...]:
    if surplus_g <= 0:
        return ()
    return (Notice("over-poured", f"To keep the ratio the mix grows by {surplus_g:.1f} g, which are left over."),)


def _price_notices(request: MixRequest) -> tuple[Notice, ...]:
    free = [one.filler.name for one in request.additions if one.filler.price_per_kg is None]
    if request.resin.price_per_kg is None or not free:
        return ()
    return (Notice("no-price", f"The cost leaves out {' and '.join(free)}: the shelf has no price for it."),)

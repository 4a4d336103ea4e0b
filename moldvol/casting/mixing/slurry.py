"""A plaster slurry to weigh: the water, the powder, and what the scale shows. Masses in g, volumes in mm³."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import between
from moldvol.materials.cautions import caution
from moldvol.materials.mixtures.plaster import PlasterMix, plaster_for_bag, plaster_for_volume
from moldvol.materials.sundries import PlasterPowder
from moldvol.materials.weighing.scales import Scale
from moldvol.notices import Notice


@dataclass(frozen=True, slots=True, kw_only=True)
class SlurryRequest:
    """So much slurry of ``volume_mm3``, or what ``powder_g`` at hand gives; exactly one of the two.

    ``consistency`` is grams of water to 100 g of powder, None for the powder's own; ``allowance`` a share on top.
    """

    powder: PlasterPowder
    volume_mm3: float | None = None
    powder_g: float | None = None
    consistency: float | None = None
    allowance: float = 0.0
    scale: Scale


@dataclass(frozen=True, slots=True, kw_only=True)
class SlurryPlan:
    """Water first, then the powder into it; the readings are in steps of the scale."""

    request: SlurryRequest
    mix: PlasterMix
    water_reading_g: float
    powder_reading_g: float
    cost: float | None
    notices: tuple[Notice, ...]
    cautions: tuple[str, ...]


def plan_slurry(request: SlurryRequest) -> SlurryPlan:
    """Water and powder for *request*.

    Raises `RequestError` for no amount or two, an impossible consistency, or too little for the scale.
    """
    powder = request.powder
    consistency = powder.consistency if request.consistency is None else request.consistency
    mix = _mix(request, consistency)
    water_g, powder_g = request.scale.rounded_g(mix.water_g), request.scale.rounded_g(mix.plaster_g)
    if min(water_g, powder_g) <= 0:
        raise request.scale.not_shown(mix.wet_mass_g, "mix more, or use a finer scale")
    return SlurryPlan(
        request=request,
        mix=mix,
        water_reading_g=water_g,
        powder_reading_g=powder_g,
        cost=None if powder.price_per_kg is None else powder.price_per_kg * mix.plaster_g / 1000,
        notices=_unusual(powder, consistency) + mix.notices,
        cautions=(caution("powder"), caution("sheet")),
    )


def _mix(request: SlurryRequest, consistency: float) -> PlasterMix:
    density = request.powder.powder_density_g_ml
    if (request.volume_mm3 is None) == (request.powder_g is None):
        raise RequestError("Give either the volume to fill or the mass of powder at hand, one of the two.")
    if request.powder_g is not None:
        return plaster_for_bag(request.powder_g, consistency, plaster_g_ml=density)
    more = 1 + between(100 * request.allowance, 0, 500, "allowance in per cent") / 100
    return plaster_for_volume((request.volume_mm3 or 0.0) * more, consistency, plaster_g_ml=density)


def _unusual(powder: PlasterPowder, consistency: float) -> tuple[Notice, ...]:
    low, high = powder.consistency_low, powder.consistency_high
    if low <= consistency <= high:
        return ()
    effect = "harder and thicker to pour" if consistency < low else "weaker and more porous"
    message = f"{powder.name} usually takes {low:g} to {high:g} of water to 100; with {consistency:g} it is {effect}."
    return (Notice("plaster-consistency", message[0].upper() + message[1:]),)

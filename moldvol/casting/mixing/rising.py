"""Foam into a core: how little liquid, part by part, and how far it rises. Masses in g, volumes in mm³."""

from __future__ import annotations

from dataclasses import dataclass, replace

from moldvol.casting.mixing.mix import plan_request
from moldvol.casting.mixing.recipe import MixPlan, MixRequest
from moldvol.errors import RequestError
from moldvol.materials.mixtures.foam import USUAL_OVERPACK, FoamCharge, foam_for_core
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.pot_loss import liquid_density_g_ml
from moldvol.notices import Notice


@dataclass(frozen=True, slots=True, kw_only=True)
class FoamPlan:
    """The recipe of a foam with what becomes of it; ``mix`` is the liquid, weighed out."""

    charge: FoamCharge
    mix: MixPlan
    notices: tuple[Notice, ...]


def plan_foam(core_volume_mm3: float, request: MixRequest, *, overpack: float | None = None) -> FoamPlan:
    """The foam of *request*, whose amount is still open, for a core; *overpack* a share of one, if not the resin's own.

    Raises `RequestError` for a resin that does not foam.
    """
    resin = request.resin
    if resin.kind != "foam":
        raise RequestError(f"{resin.name} does not foam; choose a foam of the shelf, like rigid-foam.", value=resin.key)
    more = _overpack(resin, overpack)
    charge = foam_for_core(
        core_volume_mm3, resin.cured_density_g_ml, overpack=more, liquid_g_ml=liquid_density_g_ml(resin)
    )
    asked = replace(request, resin=replace(resin, overpack=more), volume_ml=core_volume_mm3 / 1000, mass_g=None)
    mix = plan_request(asked)
    return FoamPlan(charge=charge, mix=mix, notices=charge.notices + mix.notices)


def rises(resin: Resin) -> tuple[Notice, ...]:
    """A word where a cast is asked for in a foam: a small charge in a closed mould, and no filling to the brim."""
    if resin.kind != "foam":
        return ()
    return (
        Notice(
            "foam-rises",
            f"{resin.name} is a foam: little liquid rises to fill the mould, which must be closed and vented; 'moldvol "
            "foam' tells how far it rises.",
        ),
    )


def _overpack(resin: Resin, stated: float | None) -> float:
    if stated is not None:
        return stated
    return USUAL_OVERPACK if resin.overpack is None else resin.overpack

"""How much of a batch its pot keeps: by the resin's viscosity where it is known, else by common practice."""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.materials.bounds import positive
from moldvol.materials.grade import Grade
from moldvol.materials.mixtures.foam import USUAL_LIQUID_G_ML
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.ratio import mass_shares
from moldvol.materials.weighing.wetting import (
    LOSS_OF_SILICONE,
    USUAL_DRAIN_S,
    cup_for_content,
    cup_loss,
    usual_loss_share,
)
from moldvol.notices import Notice

FILM = Grade("published", "draining film, Jeffreys 1930; base and stirrer as much again by common practice")
PRACTICE = Grade("common practice", "the viscosity is unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class PotLoss:
    """What one pot keeps of its content, as mass and as a share of it, and how far that can be trusted."""

    mass_g: float
    share: float
    grade: Grade
    notices: tuple[Notice, ...] = ()


def pot_loss(
    resin: Resin, content_g: float, *, capacity_ml: float | None = None, drain_s: float = USUAL_DRAIN_S
) -> PotLoss:
    """What a pot keeps of *content_g* of *resin*, emptied and held over the mould for *drain_s*.

    The pot is straight-walled and as high as wide when full; *capacity_ml* to the brim, or just large enough.
    Raises `RequestError` for more in the pot than it holds.

    Method: `wetting.cup_loss`, or `wetting.usual_loss_share` without a viscosity.
    """
    content = positive(content_g, "content of the pot in g")
    density = liquid_density_g_ml(resin)
    cup = cup_for_content(content / density, capacity_ml=capacity_ml)
    if resin.viscosity_pa_s is None:
        share = LOSS_OF_SILICONE if resin.kind == "silicone" else usual_loss_share(content)
        return PotLoss(mass_g=content * share, share=share, grade=PRACTICE)
    loss = cup_loss(resin.viscosity_pa_s, density, cup, time_s=drain_s)
    return PotLoss(mass_g=loss.total_g, share=loss.share, grade=FILM, notices=loss.notices)


def liquid_density_g_ml(resin: Resin) -> float:
    """Density of the mix before it sets, in g/ml; the cured one stands in for all but a foam.

    Method: volumes of the parts add. Error: the cured density is some per cent above the liquid's.
    """
    if resin.kind != "foam":
        return resin.cured_density_g_ml
    densities = [part.density_g_ml for part in resin.parts]
    if None in densities:
        return USUAL_LIQUID_G_ML
    volumes = [share / (density or 1.0) for share, density in zip(mass_shares(resin), densities, strict=True)]
    return 1 / math.fsum(volumes)

"""The grams and the recipe for a volume to be filled. Volumes in mm³, masses in g."""

from __future__ import annotations

from dataclasses import dataclass, replace

from moldvol.casting.allowance import Allowance, allowance_for
from moldvol.casting.learned_allowance import LearnedAllowance
from moldvol.casting.mixing.mix import density_of, plan_measured
from moldvol.casting.mixing.recipe import MixPlan, MixRequest
from moldvol.quantities import MM3_PER_ML


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """``net_mass_g`` fills the volume, ``total_mass_g`` has the allowance on top, and ``mix`` is the recipe for it."""

    density_g_ml: float
    net_mass_g: float
    allowed: Allowance
    total_mass_g: float
    mix: MixPlan

    @property
    def allowance_g(self) -> float:
        """What is added for waste."""
        return self.total_mass_g - self.net_mass_g


def needed_for(
    volume_mm3: float, mix: MixRequest, *, stated: float | None = None, learned: LearnedAllowance | None = None
) -> Needed:
    """What *volume_mm3* takes of the resin in *mix*, whose amount is still open; allowance as in `allowance_for`.

    The mix is asked for by volume: a polyester's catalyst comes on top of the resin, but becomes part of the cast.
    """
    density = density_of(mix)
    net = volume_mm3 * density / MM3_PER_ML
    allowed = allowance_for(net, stated=stated, learned=learned)
    total = net * (1 + allowed.share)
    plan = plan_measured(replace(mix, volume_ml=total / density))
    return Needed(density_g_ml=density, net_mass_g=net, allowed=allowed, total_mass_g=total, mix=plan)

"""A solid cast: the grams of each part to mix for so many copies. Volumes in mm³, masses in g."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi
from typing import TYPE_CHECKING

from moldvol.casting.allowance import Allowance, AllowanceSource, allowance_for
from moldvol.casting.mixing.mix import density_of, plan_measured
from moldvol.casting.mixing.recipe import MixPlan, MixRequest
from moldvol.casting.mixing.rising import rises
from moldvol.geometry.solid import Solid
from moldvol.geometry.wall.caliper import Wall
from moldvol.materials.bounds import not_negative, positive, whole_number
from moldvol.materials.cautions import caution
from moldvol.materials.resin import Resin
from moldvol.notices import Notice
from moldvol.quantities import MM3_PER_ML

if TYPE_CHECKING:
    from moldvol.casting.learned_allowance import LearnedAllowance


@dataclass(frozen=True, slots=True, kw_only=True)
class CastRequest:
    """What is to be cast.

    ``mix`` names the resin, its fillers and the bench, its amount still open; ``allowance`` is the share added for
    waste, None for the usual one; ``learned`` is what the pour book says of it, if it was asked; ``sprues`` are
    (diameter, length) in mm of runners and vents, for each copy; ``keep_voids`` leaves sealed rooms of the master
    empty in the cast; ``cup_loss_g`` stays in the one cup it is all mixed in, and is zero where pots count their own.
    """

    mix: MixRequest
    copies: int = 1
    allowance: float | None = None
    learned: LearnedAllowance | None = None
    sprues: tuple[tuple[float, float], ...] = ()
    keep_voids: bool = False
    cup_loss_g: float = 0.0

    def __post_init__(self) -> None:
        whole_number(self.copies, 1, "number of copies")
        for diameter, length in self.sprues:
            positive(diameter, "diameter of a sprue in mm")
            positive(length, "length of a sprue in mm")
        not_negative(self.cup_loss_g, "loss in the cup in g")


@dataclass(frozen=True, slots=True, kw_only=True)
class CastPlan:
    """How much resin so many solid casts of ``solid`` take.

    ``net_mass_g`` is all copies with their sprues, ``net_mass_error_g`` what the mesh's doubt makes of it,
    ``allowance_g`` the waste on top and ``void_mass_g`` how much of one cast fills rooms that the master has sealed.
    """

    solid: Solid
    request: CastRequest
    wall: Wall | None
    cast_volume_mm3: float
    sprue_volume_mm3: float
    density_g_ml: float
    mass_each_g: float
    net_mass_g: float
    net_mass_error_g: float
    void_mass_g: float
    allowed: Allowance
    allowance_g: float
    total_mass_g: float
    mix: MixPlan
    notices: tuple[Notice, ...]

    @property
    def allowance(self) -> float:
        """The share added for waste."""
        return self.allowed.share

    @property
    def allowance_source(self) -> AllowanceSource:
        """Whether the allowance is the usual one, stated by the user, or learned from the pour book."""
        return self.allowed.source

    @property
    def cost(self) -> float | None:
        """Material cost of the run in the shelf's currency, where the shelf has a price."""
        return self.mix.cost

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions of the resin and of trimming the cast."""
        *most, last = self.mix.cautions
        return (*most, caution("dust"), last)


def plan_cast(solid: Solid, request: CastRequest, *, wall: Wall | None = None) -> CastPlan:
    """The grams for *request*. With the *wall* of the solid the plan also says where it is too thick for the resin.

    Raises `RequestError` for an allowance below nothing.
    """
    volume = solid.volume_mm3 if request.keep_voids else solid.outer_volume_mm3
    sprue = sum(pi * diameter**2 / 4 * length for diameter, length in request.sprues)
    resin = request.mix.resin
    density = density_of(request.mix) / MM3_PER_ML
    net = (volume + sprue) * density * request.copies
    doubt = solid.volume_error_mm3 if request.keep_voids else solid.outer_volume_error_mm3
    error = doubt * density * request.copies
    allowed = allowance_for(net, stated=request.allowance, learned=request.learned)
    waste = net * allowed.share + request.cup_loss_g
    total = net + waste
    # A polyester's catalyst comes on top of the resin, but becomes part of the cast: the mix is asked for by volume.
    volume_ml = total / density / MM3_PER_ML
    mix = plan_measured(replace(request.mix, volume_ml=volume_ml, section_mm=wall.thick_mm if wall else None))
    return CastPlan(
        solid=solid,
        request=request,
        wall=wall,
        cast_volume_mm3=volume,
        sprue_volume_mm3=sprue,
        density_g_ml=density * MM3_PER_ML,
        mass_each_g=volume * density,
        net_mass_g=net,
        net_mass_error_g=error,
        void_mass_g=0.0 if request.keep_voids else solid.void_volume_mm3 * density,
        allowed=allowed,
        allowance_g=waste,
        total_mass_g=total,
        mix=mix,
        notices=(*rises(resin), *_notices(resin, wall, error, waste), *allowed.notices, *mix.notices),
    )


def _notices(resin: Resin, wall: Wall | None, error_g: float, waste_g: float) -> Sequence[Notice]:
    found = []
    limit = resin.largest_section_mm
    if wall is not None and limit is not None and wall.thick_mm > limit:
        found.append(
            Notice(
                "section-too-thick",
                f"The thickest place is {wall.thick_mm:.3g} mm, above the {limit:g} mm that {resin.name} is meant for "
                "at once: it will run hot, may shrink, crack or smoke; pour in stages, cast hollow or take a slower "
                "resin.",
                grave=True,
            )
        )
    if error_g > waste_g:
        found.append(
            Notice(
                "error-exceeds-allowance",
                f"The mesh leaves ± {error_g:.3g} g in doubt, more than the {waste_g:.3g} g of allowance; raise the "
                "allowance or mend the mesh.",
            )
        )
    return found

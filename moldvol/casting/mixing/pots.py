"""Pots: into how many batches a mix is split, how much of everything goes into each, and by when each must be poured.

Masses in g, volumes in ml, times in s from the moment the first pot is begun. One person mixes and pours one pot after
the other; a pot's life runs from the moment its parts meet, which is taken as the start of its mixing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from moldvol.casting.mixing.mix import MixPlan, MixRequest, haste_of, plan_request
from moldvol.casting.mixing.setting import gel_time_s
from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative, positive
from moldvol.materials.chemistry.pot_life import minutes, pot_life
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.scales import Scale
from moldvol.notices import Notice

USUAL_SHARE = 0.7  # common practice, no source: the rest is room to stir in
USUAL_MIXING_S = 60.0  # common practice, no source
USUAL_POURING_S = 30.0  # common practice, no source
MOST_POTS = 500  # beyond this somebody has typed the wrong pot
_POT_STEP_ML = 10.0  # a bigger pot is named in round figures


@dataclass(frozen=True, slots=True, kw_only=True)
class Pots:
    """The pots at hand and the pace of the bench.

    ``loss_g`` stays in each pot and on its stirrer; ``loss_origin`` says where that figure is from, and
    ``loss_notices`` what is to be said of it.
    """

    pot_ml: float
    usable_share: float = USUAL_SHARE
    mixing_s: float = USUAL_MIXING_S
    pouring_s: float = USUAL_POURING_S
    loss_g: float = 0.0
    loss_origin: str = ""
    loss_notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        positive(self.pot_ml, "volume of the pot in ml")
        if not 0.01 <= self.usable_share <= 1:
            raise RequestError(
                f"The usable share of the pot is {100 * self.usable_share:g} %; give 1 % to 100 % (0.01 to 1).",
                what="usable share of the pot",
                value=self.usable_share,
                low=0.01,
                high=1,
            )
        not_negative(self.mixing_s, "time to mix a pot in s")
        not_negative(self.pouring_s, "time to pour a pot in s")
        not_negative(self.loss_g, "loss in a pot in g")

    @property
    def usable_ml(self) -> float:
        """What may go into one pot, in ml."""
        return self.pot_ml * self.usable_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Pot:
    """One pot: begun at ``start_s``, poured until ``poured_s``, and it must be by ``pour_by_s``."""

    number: int
    mix: MixPlan
    mass_g: float
    start_s: float
    poured_s: float
    pour_by_s: float


@dataclass(frozen=True, slots=True)
class BiggerPot:
    """Everything in one pot of ``volume_ml``; ``allowed`` if it stays liquid long enough, and why (not)."""

    volume_ml: float
    mass_g: float
    allowed: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PotPlan:
    """All pots in the order they are mixed.

    ``needed_g`` reaches the mould, ``lost_g`` stays in the pots, ``loss_origin`` says where that is from.
    """

    pots: tuple[Pot, ...]
    needed_g: float
    lost_g: float
    loss_origin: str
    usable_ml: float
    pot_life_s: float
    finished_s: float
    bigger_pot: BiggerPot | None = None
    notices: tuple[Notice, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def mixed_g(self) -> float:
        """What is weighed out in all pots together, in g."""
        return math.fsum(pot.mass_g for pot in self.pots)


def plan_pots(request: MixRequest, pots: Pots) -> PotPlan:
    """*request* split over equal pots, in steps of the scale, each with its recipe and the time it must be poured by.

    The request is what reaches the mould; the loss in each pot comes on top. Raises `RequestError` for a pot that holds
    no more than what sticks to it, for a pot so small that hundreds are needed, and for a request with something
    poured.
    """
    if request.poured:
        raise RequestError("What is poured already stands in one cup; plan it without pots.")
    whole = plan_request(request)
    number = _number_of_pots(whole, pots)
    masses = _pot_masses_g(whole.total_mass_g, number, pots.loss_g, request.scale)
    recipes = {mass: _recipe(mass, whole) for mass in set(masses)}  # two at most: equal pots, to a step of the scale
    mixed = tuple(_pot(place, mass, recipes[mass], pots) for place, mass in enumerate(masses))
    return PotPlan(
        pots=mixed,
        needed_g=whole.total_mass_g,
        lost_g=pots.loss_g * number,
        loss_origin=pots.loss_origin,
        usable_ml=pots.usable_ml,
        pot_life_s=mixed[0].mix.one_cup_life_s,
        finished_s=mixed[-1].poured_s,
        bigger_pot=_bigger_pot(whole, pots, number) if number > 1 else None,
        notices=mixed[0].mix.notices + _time_notices(request.resin, mixed, pots) + pots.loss_notices,
        cautions=whole.cautions,
    )


def liquid_ml(mix: MixPlan) -> float:
    """The volume of the mix as it stands in the pot, in ml: its parts by their own densities, where all have one."""
    volumes = [component.volume_ml for component in mix.components if component.volume_ml is not None]
    return math.fsum(volumes) if len(volumes) == len(mix.components) else mix.total_volume_ml


def _number_of_pots(whole: MixPlan, pots: Pots) -> int:
    usable_g = pots.usable_ml * whole.total_mass_g / liquid_ml(whole)
    if usable_g <= pots.loss_g:
        raise RequestError(
            f"A pot of {pots.pot_ml:g} ml takes {usable_g:.1f} g, and {pots.loss_g:g} g stick to it; use a bigger pot."
        )
    number = max(1, math.ceil(whole.total_mass_g / (usable_g - pots.loss_g) - 1e-9))
    if number > MOST_POTS:
        raise RequestError(
            f"{whole.total_mass_g:.0f} g in pots of {pots.pot_ml:g} ml would be {number} pots; use a bigger pot."
        )
    return number


def _pot_masses_g(needed_g: float, number: int, loss_g: float, scale: Scale) -> tuple[float, ...]:
    return scale.readings_g([needed_g / number + loss_g] * number)


def _recipe(mass_g: float, whole: MixPlan) -> MixPlan:
    # A catalyst comes on top of the mass asked for; here the mass is what the pot holds of everything.
    catalyst_g = math.fsum(one.mass_g for one in whole.components if one.role == "catalyst")
    asked_g = mass_g * (1 - catalyst_g / whole.total_mass_g)
    return plan_request(replace(whole.request, mass_g=asked_g, volume_ml=None))


def _pot(place: int, mass_g: float, mix: MixPlan, pots: Pots) -> Pot:
    start_s = place * (pots.mixing_s + pots.pouring_s)
    return Pot(
        number=place + 1,
        mix=mix,
        mass_g=mass_g,
        start_s=start_s,
        poured_s=start_s + pots.mixing_s + pots.pouring_s,
        pour_by_s=start_s + mix.one_cup_life_s,
    )


def _time_notices(resin: Resin, mixed: Sequence[Pot], pots: Pots) -> tuple[Notice, ...]:
    said = []
    work_s, life_s = pots.mixing_s + pots.pouring_s, mixed[0].mix.one_cup_life_s
    if work_s > life_s:
        said.append(
            Notice(
                "pot-life-short",
                f"Mixing and pouring take {minutes(work_s)} and the pot lives {minutes(life_s)}: it sets before it is "
                "empty; use smaller pots, a cooler bench or a slower resin.",
            )
        )
    gel_s = gel_time_s(mixed[0].mix.request)
    if len(mixed) > 1 and work_s + pots.mixing_s > gel_s:
        said.append(
            Notice(
                "cold-joint",
                f"Pot 1 has gelled after {minutes(gel_s)}, before pot 2 is poured: the cast will show a seam; mix in "
                "pairs, or use a slower resin.",
            )
        )
    return tuple(said)


def _bigger_pot(whole: MixPlan, pots: Pots, number: int) -> BiggerPot:
    mass_g = whole.total_mass_g + pots.loss_g
    volume_ml = liquid_ml(whole) * mass_g / whole.total_mass_g / pots.usable_share
    work_s = pots.mixing_s + pots.pouring_s * number
    life_s = pot_life(whole.request.resin, whole.bench_c, mass_g, faster=haste_of(whole.request)).pot_s
    return BiggerPot(
        volume_ml=_POT_STEP_ML * math.ceil(volume_ml / _POT_STEP_ML),
        mass_g=mass_g,
        allowed=work_s <= life_s,
        reason=f"mixing and pouring take {minutes(work_s)}, {mass_g:.0f} g in one pot live about {minutes(life_s)}",
    )

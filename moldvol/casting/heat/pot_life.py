"""Pot life of this pot in this room: the data sheet's cup carried to another mass and temperature by the heat model."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.cup import Calibrated, CupTest, Family, calibrate
from moldvol.casting.heat.pot import Pot, gel_time_s, left_standing
from moldvol.materials.chemistry.kinetics import Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class PotLife:
    """How long a pot of ``mass_g`` lasts; ``low_s`` to ``high_s`` over the class's resins that fit the same data sheet.

    The band is zero wide for the sheet's own cup: there all of them agree.
    """

    mass_g: float
    room_c: float
    low_s: float
    usual_s: float
    high_s: float


def pot_life_of_pot(test: CupTest, mass_g: float, room_c: float, *, start_c: float | None = None) -> PotLife:
    """The pot life of *mass_g* of the resin of *test*; ``start_c`` is the mixed resin's temperature, else the room's.

    Raises `ShelfError` for a resin that cannot be calibrated and `RequestError` for a mass beyond reason.
    """
    return pot_life_of_family(calibrate(test), mass_g, room_c, start_c=start_c)


def pot_life_of_family(family: Family, mass_g: float, room_c: float, *, start_c: float | None = None) -> PotLife:
    """The same of a resin that has been calibrated before, for many pots of one resin."""

    def seconds(member: Calibrated) -> float:
        return gel_time_s(_pot(member, mass_g, room_c, start_c), member.resin, member.ends_pot_life)

    usual, cooler, hotter = (seconds(member) for member in (family.usual, family.cooler, family.hotter))
    return PotLife(
        mass_g=mass_g, room_c=room_c, usual_s=usual, low_s=min(usual, cooler, hotter), high_s=max(usual, cooler, hotter)
    )


def peak_of_pot_left(family: Family, mass_g: float, room_c: float, *, start_c: float | None = None) -> Spread:
    """How hot a pot of *mass_g* gets if nobody pours it out, °C, over the same resins."""

    def peak(member: Calibrated) -> float:
        return left_standing(_pot(member, mass_g, room_c, start_c), member.resin, member.law).peak_c

    usual, *ends = (peak(member) for member in (family.usual, family.cooler, family.hotter))
    return Spread(low=min(usual, *ends), usual=usual, high=max(usual, *ends))


def _pot(member: Calibrated, mass_g: float, room_c: float, start_c: float | None) -> Pot:
    film = Film(air_c=room_c, coefficient_w_m2k=member.film_w_m2k)
    return Pot(mass_g=mass_g, room=film, start_c=room_c if start_c is None else start_c)

"""A temperature as a band: between the coolest and the hottest resin that fit the sheet, the grid's error added."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.cup import Calibrated, Family
from moldvol.casting.heat.grids import COARSER
from moldvol.casting.heat.part import Mould
from moldvol.casting.heat.pour import Pour


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A temperature between the coolest and the hottest resin of the class that fits the sheet, grid error included."""

    low_c: float
    usual_c: float
    high_c: float
    grid_error_k: float


@dataclass(frozen=True, slots=True)
class Pours:
    """The usual resin of a family, and the two ends of its class that fit the same sheet."""

    usual: Pour
    cooler: Pour
    hotter: Pour

    @classmethod
    def of(cls, family: Family, mould: Mould, room_c: float, start_c: float) -> Pours:
        """The same pour for each of *family*."""

        def pour(member: Calibrated) -> Pour:
            room = Film(air_c=room_c, coefficient_w_m2k=member.film_w_m2k)
            return Pour(resin=member.resin, law=member.law, mould=mould, room=room, start_c=start_c)

        return cls(pour(family.usual), pour(family.cooler), pour(family.hotter))

    @property
    def all(self) -> tuple[Pour, Pour, Pour]:
        """Usual, cooler, hotter."""
        return self.usual, self.cooler, self.hotter

    @property
    def ceiling_c(self) -> float:
        """The hottest any of them can be with no heat lost.

        A peak on the sheet leaves the 'cooler' one, which loses more heat in the cup, with more heat of reaction: in a
        part so large that little is lost it is the hotter one.
        """
        return max(pour.adiabatic_c for pour in self.all)


def band_of(fine_c: float, rough_c: Sequence[float], pours: Pours) -> Band:
    """From the fine grid's usual resin and the coarse grid's usual, cooler and hotter; the ends keep within physics."""
    # on coarse cubes a cure front can pass full heat by a few kelvin
    usual, *ends = (min(end, pour.adiabatic_c) for end, pour in zip(rough_c, pours.all, strict=True))
    fine = min(fine_c, pours.usual.adiabatic_c)
    grid_error = abs(fine - usual) / (COARSER**2 - 1)  # Richardson, second order in the cube's size
    low = fine + min(*(end - usual for end in ends), 0.0) - grid_error
    high = fine + max(*(end - usual for end in ends), 0.0) + grid_error
    return Band(
        low_c=max(low, min(pours.usual.floor_c, fine)),
        usual_c=fine,
        high_c=min(high, max(pours.ceiling_c, fine)),
        grid_error_k=grid_error,
    )

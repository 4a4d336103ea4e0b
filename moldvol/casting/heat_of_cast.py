"""The heat of a part, its pot and its mould in one answer: what the heat model says to what the bench asks.

Lengths in mm, temperatures in °C, times in s.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from moldvol.casting.heat.cup import calibrate, cup_test_of
from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.part import Mould
from moldvol.casting.heat.plan import SECTION_LIMIT_C, Band, HeatPlan, peak_band, plan_heat
from moldvol.casting.heat.pot_life import PotLife, pot_life_of_pot
from moldvol.casting.hollow_part import HollowPart
from moldvol.casting.pots import USUAL_SHARE
from moldvol.errors import RequestError, ShelfError
from moldvol.geometry.solid import Solid
from moldvol.materials.cautions import cautions_for
from moldvol.materials.resin import Resin
from moldvol.materials.thermal import mould_material

NO_MOULD = "none"
USUAL_RUBBER_MM = 15.0  # a block mould's least: common practice, no source
QUICK_CELLS = 8_000


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRequest:
    """What is cast in what: ``mould`` a material of the thermal table or "none", ``pot_ml`` the pot asked about."""

    resin: Resin
    mould: str = "silicone"
    mould_mm: float = 15.0
    wall_mm: float | None = None
    room_c: float = 22.0
    resin_c: float | None = None
    limit_c: float = SECTION_LIMIT_C
    pot_ml: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CastHeat:
    """The heat of one cast of ``solid``; ``pot_life`` that of the pot asked about."""

    solid: Solid
    request: HeatRequest
    heat: HeatPlan
    pot_life: PotLife | None

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions of the resin."""
        return cautions_for(self.request.resin)


def peak_of(part: HollowPart, resin: Resin, wall_mm: float | None, room_c: float) -> Band | None:
    """The peak of *part* cast in *resin* in 15 mm of silicone, solid or with *wall_mm*, on a quick grid.

    None for a resin without the figures of a cup test.
    """
    try:
        family = calibrate(cup_test_of(resin))
    except ShelfError:
        return None
    mould = Mould(substance=mould_material("silicone"), thickness_mm=USUAL_RUBBER_MM, start_c=room_c)
    depth = PartDepth.of(part.field)
    return peak_band(depth, family, mould, room_c=room_c, wall_mm=wall_mm, resin_cells=QUICK_CELLS)


def plan_cast_heat(part: HollowPart, request: HeatRequest, progress: Callable[[float], None] | None = None) -> CastHeat:
    """The heat of *part* as *request* has it cast.

    Raises `ShelfError` for a resin without the figures of a cup test, `RequestError` for a mould or temperature that
    makes no sense.
    """
    if not request.limit_c > request.room_c:
        raise RequestError(f"A limit of {request.limit_c:g} °C is below the room's; give one above it.")
    test = cup_test_of(request.resin)
    thickness = 0.0 if request.mould == NO_MOULD else request.mould_mm
    substance = mould_material("silicone" if request.mould == NO_MOULD else request.mould)
    heat = plan_heat(
        PartDepth.of(part.field),
        test,
        Mould(substance=substance, thickness_mm=thickness, start_c=request.room_c),
        room_c=request.room_c,
        resin_c=request.resin_c,
        wall_mm=request.wall_mm,
        section_limit_c=request.limit_c,
        progress=progress,
    )
    pot = None
    if request.pot_ml is not None:
        content_g = request.pot_ml * USUAL_SHARE * request.resin.cured_density_g_ml
        pot = pot_life_of_pot(test, content_g, request.room_c, start_c=request.resin_c)
    return CastHeat(solid=part.solid, request=request, heat=heat, pot_life=pot)

"""The heat of a part, its pot and its mould in one answer: what the heat model says to what the bench asks.

Lengths in mm, temperatures in °C, times in s.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from moldvol.casting.heat.band import Band
from moldvol.casting.heat.cup import calibrate, cup_test_of
from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.grids import THINNEST_WALL_MM, deepest_mm
from moldvol.casting.heat.part import Mould
from moldvol.casting.heat.plan import SECTION_LIMIT_C, HeatPlan, peak_band, plan_heat
from moldvol.casting.heat.pot_life import PotLife, peak_of_pot_left, pot_life_of_family
from moldvol.casting.hollow_part import HollowPart
from moldvol.casting.mixing.pots import USUAL_SHARE
from moldvol.errors import RequestError, ShelfError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.solid import Solid
from moldvol.materials.cautions import caution, cautions_for
from moldvol.materials.chemistry.kinetics import Spread
from moldvol.materials.chemistry.pot_life import COLDEST_C, HOTTEST_C, pot_life
from moldvol.materials.chemistry.thermal import mould_material
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.pot_loss import liquid_density_g_ml
from moldvol.notices import Notice

NO_MOULD = "none"
USUAL_RUBBER_MM = 15.0  # a block mould's least: common practice, no source
QUICK_CELLS = 8_000
LATE = 2.0  # times as long as the cup takes to gel: the wall is told to be late


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
class PotHeat:
    """A pot of ``pot_ml``, filled as usual: how long it stays liquid, and how hot it gets if nobody pours it out.

    ``even_s`` is the pot life by the quicker reckoning of `moldvol mix`, one temperature throughout the pot; ``None``
    where that cannot be compared, the resin being warmer or colder than the room.
    """

    pot_ml: float
    mass_g: float
    life: PotLife
    even_s: float | None
    left_c: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class CastHeat:
    """The heat of one cast of ``solid``, and of the pot asked about."""

    solid: Solid
    request: HeatRequest
    heat: HeatPlan
    pot: PotHeat | None
    notices: tuple[Notice, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions of the resin, and of anything hot in its mould."""
        *most, last = cautions_for(self.request.resin)
        return (*most, caution("hot-cast"), last)


def peak_of(part: HollowPart, resin: Resin, wall_mm: float | None, room_c: float) -> Band | None:
    """The peak of *part* cast in *resin* in 15 mm of silicone, solid or with *wall_mm*, on a quick grid.

    None for a resin without the figures of a cup test, and for a part too thin to keep any warmth of its own.
    """
    depth = PartDepth.of(part.field)
    if 2 * deepest_mm(depth) < THINNEST_WALL_MM:
        return None
    try:
        family = calibrate(cup_test_of(resin))
    except ShelfError:
        return None
    mould = Mould(substance=mould_material("silicone"), thickness_mm=USUAL_RUBBER_MM, start_c=room_c)
    return peak_band(depth, family, mould, room_c=room_c, wall_mm=wall_mm, resin_cells=QUICK_CELLS)


def plan_cast_heat(
    solid: Solid, field: DistanceField, request: HeatRequest, progress: Callable[[float], None] | None = None
) -> CastHeat:
    """The heat of *solid*, whose depths are in *field*, as *request* has it cast.

    Raises `ShelfError` for a resin without the figures of a cup test, `RequestError` for a mould, a wall or a
    temperature that makes no sense, and for a part that is nowhere as thick as the thinnest wall.
    """
    if not request.limit_c > request.room_c:
        raise RequestError(f"A limit of {request.limit_c:g} °C is below the room's; give one above it.")
    if request.wall_mm is not None and not isfinite(request.wall_mm):
        raise RequestError(f"A wall of {request.wall_mm:g} mm is no thickness; give {THINNEST_WALL_MM:g} mm or more.")
    if request.wall_mm is not None and request.wall_mm < THINNEST_WALL_MM:
        raise RequestError(
            f"A wall of {request.wall_mm:g} mm is a coat of paint; give {THINNEST_WALL_MM:g} mm or more."
        )
    test = cup_test_of(request.resin)
    part = PartDepth.of(field)
    thickest = 2 * deepest_mm(part)
    if thickest < THINNEST_WALL_MM:
        raise RequestError(
            f"The part is nowhere thicker than {thickest:.2g} mm and gets no warmer than its mould; pass --unit if it "
            "is larger than that."
        )
    comes_solid = request.wall_mm is not None and request.wall_mm >= deepest_mm(part)
    thickness = 0.0 if request.mould == NO_MOULD else request.mould_mm
    substance = mould_material("silicone" if request.mould == NO_MOULD else request.mould)
    heat = plan_heat(
        part,
        test,
        Mould(substance=substance, thickness_mm=thickness, start_c=request.room_c),
        room_c=request.room_c,
        resin_c=request.resin_c,
        wall_mm=None if comes_solid else request.wall_mm,
        section_limit_c=request.limit_c,
        progress=progress,
    )
    pot = None if request.pot_ml is None else pot_heat(request, request.pot_ml)
    said = (*((_nothing_hollow(request),) if comes_solid else ()), *_gels_late(request, heat))
    return CastHeat(solid=solid, request=request, heat=heat, pot=pot, notices=(*said, *heat.notices))


def _nothing_hollow(request: HeatRequest) -> Notice:
    return Notice(
        "nothing-hollow",
        f"The part is nowhere thicker than two walls of {request.wall_mm:g} mm: it comes out solid and is reckoned so.",
    )


def _gels_late(request: HeatRequest, heat: HeatPlan) -> tuple[Notice, ...]:
    """A thin wall stays cool, so it gels long after the cup that the shelf's times are stated for."""
    resin, cup_s = request.resin, request.resin.gel_time_s or request.resin.pot_life_s
    late_s = heat.gel.last_s
    if heat.wall_mm is None or not isfinite(late_s) or late_s < LATE * cup_s:
        return ()
    return (
        Notice(
            "gels-late",
            f"The shelf has {cup_s / 60:.0f} min to gel for {resin.pot_life_mass_g:g} g in a cup, which warm "
            "themselves. A thin wall stays cool: by the figures of the class its coolest places may take "
            f"{late_s / 60:.0f} min, so "
            "turn it until a trial of the same coat has gelled, not by the clock.",
        ),
    )


def pot_heat(request: HeatRequest, pot_ml: float) -> PotHeat:
    """What a pot of *pot_ml* does, filled as usual with the resin of *request* and left in its room.

    Raises as `plan_cast_heat`.
    """
    resin, room_c = request.resin, request.room_c
    family = calibrate(cup_test_of(resin))
    mass_g = pot_ml * USUAL_SHARE * liquid_density_g_ml(resin)
    comparable = request.resin_c in (None, room_c) and COLDEST_C <= room_c <= HOTTEST_C
    return PotHeat(
        pot_ml=pot_ml,
        mass_g=mass_g,
        life=pot_life_of_family(family, mass_g, room_c, start_c=request.resin_c),
        even_s=pot_life(resin, room_c, mass_g).pot_s if comparable else None,
        left_c=peak_of_pot_left(family, mass_g, room_c, start_c=request.resin_c),
    )

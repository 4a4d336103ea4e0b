"""How hot a casting gets, where and when, how sure that is, how thick is too thick, and what would help.

It is an estimate from a data sheet's cup and class values, told as a band: never a licence to pour.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from moldvol.casting.heat.cautions import HotSpots, heat_notices
from moldvol.casting.heat.cells import Film, Floats
from moldvol.casting.heat.cup import Calibrated, CupTest, Family, Figure, calibrate
from moldvol.casting.heat.depth import PartDepth, regrid
from moldvol.casting.heat.part import Mould, PartCells
from moldvol.casting.heat.pour import Pour, on_grid, side_by_side
from moldvol.casting.heat.record import Course
from moldvol.casting.heat.remedies import Remedy, remedies
from moldvol.casting.heat.sections import LargestSection, largest_sections
from moldvol.errors import MoldvolError
from moldvol.notices import Notice

RESIN_CELLS = 40_000  # a ball of 56 mm radius: peak within 0.1 K, mould face within 3 K of fine cells along its radius
MOST_CELLS = 100_000  # resin and mould; a thin sheet in a thick mould would take far more for nothing
ROUND_EDGES = 1.35  # a mould holds this much more than area × thickness, usual parts
CELLS_ACROSS = 5  # of the thickest section, at least
COARSER = 1.6  # second grid: a quarter of the cells
MOST_IMBALANCE = 0.01  # of the heat that moved; measured 1e-12
SECTION_LIMIT_C = 120.0  # above it unfilled casts are often seen to crack or char: common practice, no source


@dataclass(frozen=True, slots=True, eq=False)
class HeatCurve:
    """(steps,) each: temperature over time of the core, the resin's skin on average, the mould's hottest face."""

    time_s: Floats
    core_c: Floats
    skin_c: Floats
    face_c: Floats


@dataclass(frozen=True, slots=True, eq=False)
class HeatMap:
    """The most each place became: ``highest_c`` (nx, ny, nz) at origin + spacing · (i, j, k), NaN in the air."""

    origin_mm: tuple[float, float, float]
    spacing_mm: float
    highest_c: Floats
    depth_mm: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A temperature between the coolest and the hottest resin of the class that fits the sheet, grid error included."""

    low_c: float
    usual_c: float
    high_c: float
    grid_error_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GelTimes:
    """From the pour, for the usual resin; infinite where it never came. ``skin_s`` is the surface's median."""

    core_s: float
    skin_s: float
    last_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatAccount:
    """Where the heat went by the end of the run, and by what share it does not add up."""

    released_j: float
    stored_j: float
    lost_j: float
    error: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HeatPlan:
    """The answer.

    ``peak`` lies between ``floor_c`` (no cure at all) and ``adiabatic_c`` (no heat lost). ``hot_from_s`` is when the
    core first comes within one kelvin of it. ``face`` is where the mould touches the resin, ``face_limit_c`` what it
    bears.
    """

    resin: str
    mould: str
    mould_thickness_mm: float
    room_c: float
    wall_mm: float | None
    peak: Band
    floor_c: float
    adiabatic_c: float
    peak_at_mm: tuple[float, float, float]
    hot_from_s: float
    gel: GelTimes
    face: Band
    face_limit_c: float | None
    account: HeatAccount
    cells: int
    spacing_mm: float
    sections: tuple[LargestSection, ...]
    remedies: tuple[Remedy, ...]
    figures: tuple[Figure, ...]
    curve: HeatCurve
    map: HeatMap
    notices: tuple[Notice, ...]


class HeatBalanceError(MoldvolError):
    """Heat released, stored and lost do not add up: a fault of the computation, not of the user's."""

    code = "heat-balance"


def plan_heat(
    part: PartDepth,
    test: CupTest,
    mould: Mould,
    *,
    room_c: float,
    resin_c: float | None = None,
    wall_mm: float | None = None,
    section_limit_c: float = SECTION_LIMIT_C,
    resin_cells: int = RESIN_CELLS,
) -> HeatPlan:
    """The heat of *part* cast in the resin of *test*, solid or hollow with *wall_mm*, in *mould*.

    ``resin_c`` is the mixed resin's temperature, the room's if not given. The part's depths need reach only one grid
    step outside it. *resin_cells* trades time for ``grid_error_k``. Raises `ShelfError` for a resin that cannot be
    calibrated, `RequestError` for impossible temperatures, and `HeatBalanceError` should the heat not balance within 1
    %.
    """
    family = calibrate(test)
    start_c = room_c if resin_c is None else resin_c
    pours = _Pours(*(_pour(member, mould, room_c, start_c) for member in (family.usual, family.cooler, family.hotter)))
    spacing = heat_spacing_mm(part, mould.thickness_mm, wall_mm, resin_cells)
    runs = _run(part, pours, wall_mm, spacing)
    answer = _answer(runs, pours, wall_mm)
    return replace(
        answer,
        resin=test.name,
        room_c=room_c,
        sections=largest_sections(pours.usual, section_limit_c),
        figures=family.usual.figures,
        notices=heat_notices(_hot_spots(answer, family)),
    )


@dataclass(frozen=True, slots=True)
class _Pours:
    """The usual resin of a family, its coolest and its hottest."""

    usual: Pour
    cooler: Pour
    hotter: Pour


@dataclass(frozen=True, slots=True, eq=False)
class _Runs:
    """The usual resin on a fine grid; all three on a coarse one."""

    placed: PartCells
    fine: Course
    coarse: PartDepth
    rough: Course
    cool: Course
    hot: Course


def _pour(member: Calibrated, mould: Mould, room_c: float, start_c: float) -> Pour:
    room = Film(air_c=room_c, coefficient_w_m2k=member.film_w_m2k)
    return Pour(resin=member.resin, law=member.law, mould=mould, room=room, start_c=start_c)


def _run(part: PartDepth, pours: _Pours, wall_mm: float | None, spacing_mm: float) -> _Runs:
    thickness = pours.usual.mould.thickness_mm
    fine = regrid(part, spacing_mm, thickness)
    coarse = regrid(part, spacing_mm * COARSER, thickness)
    placed, course = on_grid(fine, pours.usual, wall_mm=wall_mm)
    check_balance(course)
    three = side_by_side(
        lambda pour: on_grid(coarse, pour, wall_mm=wall_mm)[1], (pours.usual, pours.cooler, pours.hotter)
    )
    return _Runs(placed, course, coarse, *three)


def heat_spacing_mm(
    part: PartDepth, mould_mm: float, wall_mm: float | None = None, resin_cells: int = RESIN_CELLS
) -> float:
    """Cube size for *part*: fine enough for its volume and its thickest section, coarse enough to be quick."""
    volume, area = part.volume_mm3, part.area_mm2
    across = 2 * float(np.nanmax(part.depth_mm))
    if wall_mm is not None:
        across = min(across, wall_mm)
        volume = min(volume, area * wall_mm)
    wanted = min((volume / resin_cells) ** (1 / 3), across / CELLS_ACROSS)
    return float(
        max(wanted, ((volume + ROUND_EDGES * area * mould_mm) / (MOST_CELLS * resin_cells / RESIN_CELLS)) ** (1 / 3))
    )


def check_balance(course: Course) -> None:
    """Raises `HeatBalanceError` where released, stored and lost heat differ by more than 1 %."""
    if not course.balance_error <= MOST_IMBALANCE:
        raise HeatBalanceError(
            f"The heat balance is off by {course.balance_error:.1%} where {MOST_IMBALANCE:.0%} is allowed, so the "
            "estimate is withheld; please report the part and the resin."
        )


def _answer(runs: _Runs, pours: _Pours, wall_mm: float | None) -> HeatPlan:
    fine, placed, usual = runs.fine, runs.placed, pours.usual
    peaks = [course.peak_c for course in (fine, runs.rough, runs.cool, runs.hot)]
    faces = [course.face_peak_c for course in (fine, runs.rough, runs.cool, runs.hot)]
    shift = peaks[0] - peaks[1], faces[0] - faces[1]
    return HeatPlan(
        resin="",
        mould=usual.mould.substance.name,
        mould_thickness_mm=usual.mould.thickness_mm,
        room_c=usual.room.air_c,
        wall_mm=wall_mm,
        peak=_band(peaks, pours),
        floor_c=usual.floor_c,
        adiabatic_c=usual.adiabatic_c,
        peak_at_mm=placed.place_mm(fine.peak_cell),
        hot_from_s=hot_from_s(fine),
        gel=GelTimes(core_s=fine.core_gel_s, skin_s=fine.skin_gel_s, last_s=float(fine.gel_s.max())),
        face=_band(faces, pours),
        # without a mould the face is the resin's own
        face_limit_c=usual.mould.substance.limit_c if usual.mould.thickness_mm > 0 else None,
        account=HeatAccount(
            released_j=fine.released_j, stored_j=fine.stored_j, lost_j=fine.lost_j, error=fine.balance_error
        ),
        cells=len(placed.cells.heat_j),
        spacing_mm=placed.depth.spacing_mm,
        sections=(),
        remedies=remedies(runs.coarse, usual, runs.rough, shift) if wall_mm is None else (),
        figures=(),
        curve=HeatCurve(fine.time_s, fine.core_c, fine.skin_c, fine.face_c),
        map=HeatMap(
            placed.depth.origin_mm, placed.depth.spacing_mm, placed.spread(fine.highest_c), placed.depth.depth_mm
        ),
        notices=(),
    )


def _band(temperatures_c: list[float], pours: _Pours) -> Band:
    """From the fine grid's usual resin and the coarse grid's usual, cooler and hotter; the ends keep within physics."""
    # on coarse cubes a cure front can pass full heat by a few kelvin
    fine, rough, cool, hot = (min(temperature, pours.hotter.adiabatic_c) for temperature in temperatures_c)
    fine = min(fine, pours.usual.adiabatic_c)
    grid_error = abs(fine - rough) / (COARSER**2 - 1)  # Richardson, second order in the cube's size
    low = fine + min(cool - rough, hot - rough, 0.0) - grid_error
    high = fine + max(cool - rough, hot - rough, 0.0) + grid_error
    return Band(
        low_c=max(low, min(pours.usual.floor_c, fine)),
        usual_c=fine,
        high_c=min(high, max(pours.hotter.adiabatic_c, fine)),
        grid_error_k=grid_error,
    )


def hot_from_s(course: Course) -> float:
    """When the core first comes within one kelvin of its highest."""
    return float(course.time_s[np.argmax(course.core_c >= course.core_c.max() - 1.0)])


def _hot_spots(plan: HeatPlan, family: Family) -> HotSpots:
    return HotSpots(
        peak_low_c=plan.peak.low_c, peak_high_c=plan.peak.high_c,
        face_low_c=plan.face.low_c, face_high_c=plan.face.high_c,
        mould=plan.mould, face_limit_c=plan.face_limit_c, boils_c=family.usual.boils_c,
        grid_error_k=max(plan.peak.grid_error_k, plan.face.grid_error_k),
    )  # fmt: skip

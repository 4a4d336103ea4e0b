"""How hot a casting gets, where and when, how sure that is, how thick is too thick, and what would help.

It is an estimate from a data sheet's cup and class values, told as a band: never a licence to pour.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from moldvol.casting.heat.band import Band, Pours, band_of
from moldvol.casting.heat.cautions import HotSpots, heat_notices
from moldvol.casting.heat.cells import Floats
from moldvol.casting.heat.cup import CupTest, Family, Figure, calibrate
from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.grids import RESIN_CELLS
from moldvol.casting.heat.part import Mould
from moldvol.casting.heat.record import Course
from moldvol.casting.heat.remedies import Remedy
from moldvol.casting.heat.runs import Peaks, Runs, run_all, run_peaks
from moldvol.casting.heat.sections import LargestSection
from moldvol.casting.heat.workers import Progress
from moldvol.notices import Notice

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
    core first comes close to it, ``peak_depth_mm`` how far below the surface the hottest place is. ``face``
    is where the mould touches the resin, ``face_limit_c`` what it bears.
    """

    resin: str
    mould: str
    mould_thickness_mm: float
    room_c: float
    resin_c: float
    wall_mm: float | None
    peak: Band
    floor_c: float
    adiabatic_c: float
    peak_at_mm: tuple[float, float, float]
    peak_depth_mm: float
    hot_from_s: float
    gel: GelTimes
    face: Band
    face_limit_c: float | None
    account: HeatAccount
    cells: int
    spacing_mm: float
    section_limit_c: float
    sections: tuple[LargestSection, ...]
    remedies: tuple[Remedy, ...]
    figures: tuple[Figure, ...]
    curve: HeatCurve
    map: HeatMap
    notices: tuple[Notice, ...]


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
    progress: Progress | None = None,
) -> HeatPlan:
    """The heat of *part* cast in the resin of *test*, solid or hollow with *wall_mm*, in *mould*.

    ``resin_c`` is the mixed resin's temperature, the room's if not given. The part's depths need reach only one grid
    step outside it. *resin_cells* trades time for ``grid_error_k``. Raises `ShelfError` for a resin that cannot be
    calibrated, `RequestError` for impossible temperatures, and `HeatBalanceError` should the heat not balance within 1
    %.
    """
    family = calibrate(test)
    start_c = room_c if resin_c is None else resin_c
    pours = Pours.of(family, mould, room_c, start_c)
    runs = run_all(part, pours, wall_mm, section_limit_c, resin_cells, progress)
    peak, face = bands(runs.peaks, pours)
    return HeatPlan(
        resin=test.name,
        mould=mould.substance.name,
        mould_thickness_mm=mould.thickness_mm,
        room_c=room_c,
        resin_c=start_c,
        wall_mm=wall_mm,
        peak=peak,
        floor_c=pours.usual.floor_c,
        adiabatic_c=pours.usual.adiabatic_c,
        peak_at_mm=runs.peaks.placed.place_mm(runs.peaks.fine.peak_cell),
        peak_depth_mm=min(
            runs.peaks.placed.depth_of_mm(runs.peaks.fine.peak_cell), inf if wall_mm is None else wall_mm
        ),
        hot_from_s=hot_from_s(runs.peaks.fine),
        gel=_gel_times(runs.peaks.fine),
        face=face,
        # without a mould the face is the resin's own
        face_limit_c=mould.substance.limit_c if mould.thickness_mm > 0 else None,
        account=_account(runs.peaks.fine),
        cells=len(runs.peaks.placed.cells.heat_j),
        spacing_mm=runs.peaks.placed.depth.spacing_mm,
        section_limit_c=section_limit_c,
        sections=runs.sections,
        remedies=_remedies(runs, pours),
        figures=family.usual.figures,
        curve=_curve(runs.peaks.fine),
        map=_map(runs.peaks),
        notices=heat_notices(_hot_spots(peak, face, mould, family)),
    )


def peak_band(
    part: PartDepth, family: Family, mould: Mould, *, room_c: float, wall_mm: float | None = None, resin_cells: int
) -> Band:
    """The peak alone of *part* in a resin that has been calibrated, resin and mould as warm as the room."""
    pours = Pours.of(family, mould, room_c, room_c)
    return bands(run_peaks(part, pours, wall_mm, resin_cells), pours)[0]


def _remedies(runs: Runs, pours: Pours) -> tuple[Remedy, ...]:
    fine, rough = runs.peaks.fine, runs.peaks.rough
    shift = fine.peak_c - rough.peak_c, fine.face_peak_c - rough.face_peak_c
    return tuple(changed.remedy(pours, rough, shift) for changed in runs.changed)


def _gel_times(course: Course) -> GelTimes:
    return GelTimes(core_s=course.core_gel_s, skin_s=course.skin_gel_s, last_s=float(course.gel_s.max()))


def _account(course: Course) -> HeatAccount:
    return HeatAccount(
        released_j=course.released_j, stored_j=course.stored_j, lost_j=course.lost_j, error=course.balance_error
    )


def _curve(course: Course) -> HeatCurve:
    return HeatCurve(course.time_s, course.core_c, course.skin_c, course.face_c)


def _map(peaks: Peaks) -> HeatMap:
    grid = peaks.placed.depth
    return HeatMap(grid.origin_mm, grid.spacing_mm, peaks.placed.spread(peaks.fine.highest_c), grid.depth_mm)


def bands(peaks: Peaks, pours: Pours) -> tuple[Band, Band]:
    """The bands of the resin's peak and of the mould's hottest face."""
    three = (peaks.rough, peaks.cool, peaks.hot)
    peak = band_of(peaks.fine.peak_c, [course.peak_c for course in three], pours)
    face = band_of(peaks.fine.face_peak_c, [course.face_peak_c for course in three], pours)
    spike = max(peaks.spike_k, face.grid_error_k)
    # a front that passes in seconds can only be hotter than what cubes make of it
    high = min(face.high_c - face.grid_error_k + spike, pours.ceiling_c)
    return peak, Band(
        low_c=min(face.low_c, peak.low_c),
        usual_c=min(face.usual_c, peak.usual_c),
        high_c=max(face.high_c, high),
        grid_error_k=spike,
    )


def hot_from_s(course: Course) -> float:
    """When the core first comes within one kelvin of its highest, or within a twentieth of its rise if that is less."""
    highest = float(course.core_c.max())
    close = min(1.0, 0.05 * (highest - float(course.core_c[0])))
    return float(course.time_s[np.argmax(course.core_c >= highest - close)])


def _hot_spots(peak: Band, face: Band, mould: Mould, family: Family) -> HotSpots:
    return HotSpots(
        peak_low_c=peak.low_c, peak_high_c=peak.high_c, face_low_c=face.low_c, face_high_c=face.high_c,
        mould=mould.substance.name,
        face_limit_c=mould.substance.limit_c if mould.thickness_mm > 0 else None,
        boils_c=family.usual.boils_c, grid_error_k=max(peak.grid_error_k, face.grid_error_k),
    )  # fmt: skip

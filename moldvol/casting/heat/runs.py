"""Which runs make an estimate: the usual resin on a fine grid, and on a coarse one the class's ends and each remedy."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from functools import partial
from math import pi, sqrt

import numpy as np

from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.cup import Calibrated, Family
from moldvol.casting.heat.depth import PartDepth, regrid
from moldvol.casting.heat.layers import SLAB, SPHERE
from moldvol.casting.heat.part import Mould, PartCells
from moldvol.casting.heat.pour import Pour, in_part, in_section, on_grid
from moldvol.casting.heat.record import Course
from moldvol.casting.heat.remedies import Change, Changed, changes_of
from moldvol.casting.heat.sections import LargestSection, largest_sections
from moldvol.casting.heat.workers import Progress, Workers
from moldvol.errors import MoldvolError

# A ball of 56 mm radius: peak within 1 K, mould face within 1 K of fine cells along its radius, but for a runaway,
# whose front passes the face in seconds: see `face_spike_k`.
RESIN_CELLS = 24_000
MOST_CELLS = 60_000  # resin and mould; a thin sheet in a thick mould would take far more for nothing
CELLS_ACROSS = 5  # of the thickest section, at least
COARSER = 1.6  # second grid: a quarter of the cells
FINE_SECTION, COARSEST_SECTION = 100, 3  # cells along a radius
MOST_IMBALANCE = 0.01  # of the heat that moved; measured 1e-12


class HeatBalanceError(MoldvolError):
    """Heat released, stored and lost do not add up: a fault of the computation, not of the user's."""

    code = "heat-balance"


@dataclass(frozen=True, slots=True)
class Pours:
    """The usual resin of a family, its coolest and its hottest."""

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


@dataclass(frozen=True, slots=True, eq=False)
class Peaks:
    """The usual resin on the fine grid, where its cells stand, and all three on a coarse grid."""

    placed: PartCells
    fine: Course
    rough: Course
    cool: Course
    hot: Course
    spike_k: float


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """All that is computed for one estimate; ``changed`` on the coarse grid."""

    peaks: Peaks
    changed: tuple[Changed, ...]
    sections: tuple[LargestSection, ...]


def run_all(
    part: PartDepth, pours: Pours, wall_mm: float | None, limit_c: float, spacing_mm: float, progress: Progress | None
) -> Runs:
    """Everything, two runs at a time."""
    with Workers(progress) as workers:
        begun = _begin(workers, part, pours, wall_mm, spacing_mm)
        changes = tuple(changes_of(begun.grid, pours.usual.resin, wall_mm))
        usual = [workers.begin(partial(change.run, pours.usual)) for change in changes]
        sections = workers.begin(lambda: largest_sections(pours.usual, limit_c))
        changed = _with_hot_ends(workers, changes, usual, pours.hotter, limit_c)
        return Runs(begun.peaks(), changed, sections.result())


def _with_hot_ends(
    workers: Workers, changes: Sequence[Change], usual: Sequence[Future[Course]], hotter: Pour, limit_c: float
) -> tuple[Changed, ...]:
    """A change that keeps the usual resin below *limit_c* is tried with the hottest as well: is it below for sure?"""
    helps = [promise.result().peak_c <= limit_c for promise in usual]
    hot = [
        workers.begin(partial(change.run, hotter)) if helpful else None
        for change, helpful in zip(changes, helps, strict=True)
    ]
    return tuple(
        Changed(change, course.result(), None if end is None else end.result())
        for change, course, end in zip(changes, usual, hot, strict=True)
    )


def run_peaks(part: PartDepth, pours: Pours, wall_mm: float | None, spacing_mm: float) -> Peaks:
    """No more than what a band of the peak takes."""
    with Workers() as workers:
        return _begin(workers, part, pours, wall_mm, spacing_mm).peaks()


@dataclass(frozen=True, slots=True)
class _Begun:
    """Runs that are on their way, and the coarse grid."""

    grid: PartDepth
    fine: Future[tuple[PartCells, Course]]
    coarse: tuple[Future[Course], ...]
    spike_k: Future[float]

    def peaks(self) -> Peaks:
        placed, fine = self.fine.result()
        check_balance(fine)
        rough, cool, hot = (promise.result() for promise in self.coarse)
        return Peaks(placed, fine, rough, cool, hot, self.spike_k.result())


def _begin(workers: Workers, part: PartDepth, pours: Pours, wall_mm: float | None, spacing_mm: float) -> _Begun:
    fine = workers.begin(lambda: in_part(part, pours.usual, spacing_mm, wall_mm=wall_mm))
    grid = regrid(part, spacing_mm * COARSER, pours.usual.mould.thickness_mm)

    def coarse(pour: Pour) -> Future[Course]:
        return workers.begin(lambda: on_grid(grid, pour, wall_mm=wall_mm)[1])

    three = (coarse(pours.usual), coarse(pours.cooler), coarse(pours.hotter))
    spike = workers.begin(lambda: face_spike_k(part, pours.usual, wall_mm, spacing_mm))
    return _Begun(grid, fine, three, spike)


def heat_spacing_mm(
    part: PartDepth, mould_mm: float, wall_mm: float | None = None, resin_cells: int = RESIN_CELLS
) -> float:
    """Cube size for *part*: fine enough for its volume and its thickest section, coarse enough to be quick."""
    volume, area = part.volume_mm3, part.area_mm2
    across = 2 * deepest_mm(part)
    if wall_mm is not None:
        across = min(across, wall_mm)
        volume = min(volume, area * wall_mm)
    wanted = min((volume / resin_cells) ** (1 / 3), across / CELLS_ACROSS)
    most = MOST_CELLS * resin_cells / RESIN_CELLS
    return float(max(wanted, ((volume + _around_mm3(area, mould_mm)) / most) ** (1 / 3)))


def _around_mm3(area_mm2: float, thickness_mm: float) -> float:
    """About what lies within *thickness_mm* of a surface: Steiner's formula, round as a ball of that surface."""
    t = thickness_mm
    return area_mm2 * t + sqrt(4 * pi * area_mm2) * t**2 + 4 / 3 * pi * t**3


def deepest_mm(part: PartDepth) -> float:
    """Half of the thickest section."""
    return float(np.nanmax(part.depth_mm))


def face_spike_k(part: PartDepth, pour: Pour, wall_mm: float | None, spacing_mm: float) -> float:
    """By how much cubes of *spacing_mm* may miss the highest temperature of the mould's face, K, 0 or more.

    In a runaway the cure arrives at the face as a front thinner than a cube and heats it for seconds. What cubes make
    of that is seen on the largest ball in the part (on the plain wall, if hollow), along whose radius fine cells cost
    little.
    """
    form, half = (SPHERE, deepest_mm(part)) if wall_mm is None else (SLAB, min(wall_mm, deepest_mm(part)))
    coarse = min(max(round(half / spacing_mm), COARSEST_SECTION), FINE_SECTION)
    fine = in_section(form, half, pour, cells=FINE_SECTION).face_peak_c
    return max(0.0, fine - in_section(form, half, pour, cells=coarse).face_peak_c)


def check_balance(course: Course) -> None:
    """Raises `HeatBalanceError` where released, stored and lost heat differ by more than 1 %."""
    if not course.balance_error <= MOST_IMBALANCE:
        raise HeatBalanceError(
            f"The heat balance is off by {course.balance_error:.1%} where {MOST_IMBALANCE:.0%} is allowed, so the "
            "estimate is withheld; please report the part and the resin."
        )

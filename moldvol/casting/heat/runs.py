"""Which runs make an estimate: the usual resin on a fine grid, and on a coarse one the class's ends and each remedy."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from functools import partial

from moldvol.casting.heat.band import Pours
from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.grids import Grids, deepest_mm
from moldvol.casting.heat.layers import SLAB, SPHERE
from moldvol.casting.heat.part import PartCells
from moldvol.casting.heat.pour import Pour, in_section, on_grid
from moldvol.casting.heat.record import Course
from moldvol.casting.heat.remedies import Change, Changed, changes_of
from moldvol.casting.heat.sections import LargestSection, largest_sections
from moldvol.casting.heat.workers import Progress, Workers
from moldvol.errors import MoldvolError

FINE_SECTION, COARSEST_SECTION = 100, 3  # cells along a radius
NEAR_LIMIT_K = 15.0  # of a hot end on the coarse grid: the fine one has been seen to move a cast below the limit by 5
MOST_IMBALANCE = 0.01  # of the heat that moved; measured 1e-12


class HeatBalanceError(MoldvolError):
    """Heat released, stored and lost do not add up: a fault of the computation, not of the user's."""

    code = "heat-balance"


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
    """All that is computed for one estimate."""

    peaks: Peaks
    changed: tuple[Changed, ...]
    sections: tuple[LargestSection, ...]


def run_all(
    part: PartDepth, pours: Pours, wall_mm: float | None, limit_c: float, resin_cells: int, progress: Progress | None
) -> Runs:
    """Everything, two runs at a time."""
    grids = Grids.of(part, pours.usual.mould.thickness_mm, wall_mm, resin_cells)
    with Workers(progress) as workers:
        begun = _begin(workers, grids, pours, wall_mm)
        sections = workers.begin(lambda: largest_sections(pours, limit_c))
        changes = tuple(changes_of(grids, pours.usual, wall_mm, resin_cells))
        changed = _changed(workers, changes, pours, limit_c)
        return Runs(begun.peaks(), changed, sections.result())


def _changed(workers: Workers, changes: Sequence[Change], pours: Pours, limit_c: float) -> tuple[Changed, ...]:
    """Each change in the usual resin; where that stays below *limit_c* also in the class's two ends: is it sure?

    Where the ends come near the limit the fine grid has the last word, and always for what can be asked directly.
    """

    def begin(change: Change, pour: Pour, *, fine: bool = False) -> Future[Course]:
        return workers.begin(partial(change.run, pour, fine=fine))

    rough = [begin(change, pours.usual) for change in changes]
    fine = [begin(change, pours.usual, fine=True) if change.asked_directly else None for change in changes]
    ends: list[list[Future[Course]]] = []
    for change, *first in zip(changes, rough, fine, strict=True):
        coolest = min(promise.result().peak_c for promise in first if promise is not None)
        helps = change.has_band and coolest <= limit_c
        ends.append([begin(change, end) for end in (pours.cooler, pours.hotter)] if helps else [])
    for place, change in enumerate(changes):
        found = [end.result().peak_c for end in ends[place]]
        if found and fine[place] is None and abs(max(found) - limit_c) < NEAR_LIMIT_K:
            fine[place] = begin(change, pours.usual, fine=True)
    return tuple(
        Changed(change, first.result(), None if last is None else last.result(), [end.result() for end in two])
        for change, first, last, two in zip(changes, rough, fine, ends, strict=True)
    )


def run_peaks(part: PartDepth, pours: Pours, wall_mm: float | None, resin_cells: int) -> Peaks:
    """No more than what a band of the peak takes."""
    grids = Grids.of(part, pours.usual.mould.thickness_mm, wall_mm, resin_cells)
    with Workers() as workers:
        return _begin(workers, grids, pours, wall_mm).peaks()


@dataclass(frozen=True, slots=True)
class _Begun:
    """Runs that are on their way."""

    fine: Future[tuple[PartCells, Course]]
    coarse: tuple[Future[Course], ...]
    spike_k: Future[float]

    def peaks(self) -> Peaks:
        placed, fine = self.fine.result()
        check_balance(fine)
        rough, cool, hot = (promise.result() for promise in self.coarse)
        return Peaks(placed, fine, rough, cool, hot, self.spike_k.result())


def _begin(workers: Workers, grids: Grids, pours: Pours, wall_mm: float | None) -> _Begun:
    fine = workers.begin(lambda: on_grid(grids.fine, pours.usual, wall_mm=wall_mm))

    def coarse(pour: Pour) -> Future[Course]:
        return workers.begin(lambda: on_grid(grids.rough, pour, wall_mm=wall_mm)[1])

    three = (coarse(pours.usual), coarse(pours.cooler), coarse(pours.hotter))
    spike = workers.begin(lambda: face_spike_k(grids.part, pours.usual, wall_mm, grids.spacing_mm))
    return _Begun(fine, three, spike)


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

"""What would make a casting cooler, each computed with the same model: hollow, lifts, slower, filled, cooler room.

A remedy that may be promised is computed as the question about it would be: on the same two grids, with the same three
resins, to the same band.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np

from moldvol.casting.heat.band import Pours, band_of
from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.grids import THINNEST_WALL_MM, Grids, deepest_mm
from moldvol.casting.heat.part import Lift
from moldvol.casting.heat.pour import Pour, on_grid
from moldvol.casting.heat.record import Course
from moldvol.materials.chemistry.thermal import FILLERS, Substance, filled, pours

HOLLOW_WALL_MM = 4.0
LIFT_COUNTS = (2, 3, 4)
SLOWER = 0.5  # a resin of the class with half the rate everywhere: about twice the pot life where little heat is kept
FILLER_PARTS = 100.0  # g in 100 g of resin: 29 % by volume for chalk and for aluminium powder
COOLER_K = -5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change and what it would do. Temperatures are of the usual resin, beside the plan's ``peak``.

    ``peak_high_c`` is the hot end of the band that the changed casting would be told with; ``None`` where the usual
    resin passes the limit anyway, and for lifts, of which no band is known.
    """

    code: str
    what: str
    peak_c: float
    peak_high_c: float | None
    face_peak_c: float
    core_gel_s: float


@dataclass(frozen=True, slots=True)
class Change:
    """A remedy not yet computed: the part's grids, and what of the pour is other than planned."""

    code: str
    what: str
    grids: Grids
    altered: Callable[[Pour], Pour] = lambda pour: pour
    wall_mm: float | None = None
    lifts: int = 1
    asked_directly: bool = False  # as another wall of the same part: then both answers must be one

    @property
    def has_band(self) -> bool:
        """Whether a hot end is reckoned: a lift on one that is still hot is worse than any of its runs."""
        return self.lifts == 1

    def run(self, pour: Pour, *, fine: bool = False) -> Course:
        """The course of the changed casting on the coarse grid, or on the fine one."""
        grid = self.grids.fine if fine else self.grids.rough
        if self.lifts > 1:
            return in_lifts(grid, self.lifts, self.altered(pour))
        return on_grid(grid, self.altered(pour), wall_mm=self.wall_mm)[1]


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """What a change came to: ``rough`` the usual resin on the coarse grid, ``fine`` on the fine one if that was run.

    ``ends`` are the class's cooler and hotter resin on the coarse grid, where it helps.
    """

    change: Change
    rough: Course
    fine: Course | None
    ends: Sequence[Course]

    def remedy(self, pours: Pours, base: Course, shift_k: tuple[float, float]) -> Remedy:
        """Told of *pours*; where no fine run was made, moved by *shift_k* (peak, face): by how much a fine grid moves
        *base*, the casting unchanged."""
        share = _share_of_rise(self.rough.peak_c, base.peak_c, pours.usual.floor_c)
        peak, face = self.rough.peak_c + share * shift_k[0], self.rough.face_peak_c + share * shift_k[1]
        if self.fine is not None:
            peak, face = self.fine.peak_c, self.fine.face_peak_c
        altered = Pours(*(self.change.altered(pour) for pour in pours.all))
        rough = [course.peak_c for course in (self.rough, *self.ends)]
        return Remedy(
            code=self.change.code, what=self.change.what, peak_c=peak, face_peak_c=face,
            peak_high_c=band_of(peak, rough, altered).high_c if self.ends else None,
            core_gel_s=(self.fine or self.rough).core_gel_s,
        )  # fmt: skip


def changes_of(grids: Grids, planned: Pour, wall_mm: float | None, resin_cells: int) -> Iterator[Change]:
    """What may be changed where the pour *planned* goes into the part on *grids*, solid or hollow with *wall_mm*."""

    def mixed(code: str, what: str, altered: Callable[[Pour], Pour]) -> Change:
        return Change(code, what, grids, altered, wall_mm)

    yield from _thinner(grids, wall_mm, resin_cells)
    yield mixed("slower", "a resin half as fast", lambda pour: pour.with_rate(SLOWER))
    for name, filler in FILLERS.items():
        # a resin that is heavily filled already takes no more
        if pours(planned.resin, filler, parts_per_100=FILLER_PARTS):
            what = f"{name}, {FILLER_PARTS / 100:g}:1 by weight"
            yield mixed(name.replace(" ", "-"), what, partial(_with_filler, filler=filler))
    yield mixed("cooler", f"room, mould, resin {-COOLER_K:g} °C cooler", lambda pour: pour.in_room(COOLER_K))


def _with_filler(pour: Pour, filler: Substance) -> Pour:
    return replace(pour, resin=filled(pour.resin, filler, parts_per_100=FILLER_PARTS))


def _thinner(grids: Grids, wall_mm: float | None, resin_cells: int) -> Iterator[Change]:
    def walled(code: str, what: str, wall: float) -> Change:
        own = Grids.of(grids.part, grids.margin_mm, wall, resin_cells)
        return Change(code, what, own, wall_mm=wall, asked_directly=True)

    if wall_mm is not None:
        # each coat as if alone: the cured one beneath leads heat about as well as a mould
        half = wall_mm / 2
        if half >= THINNEST_WALL_MM:
            yield walled("coats-2", f"2 coats of {half:.3g} mm, each cooled", half)
        return
    # a part nowhere thicker than two walls would come out solid as it is
    if deepest_mm(grids.part) > HOLLOW_WALL_MM:
        yield walled("hollow", f"hollow, a {HOLLOW_WALL_MM:g} mm wall in one coat", HOLLOW_WALL_MM)
    for count in LIFT_COUNTS:
        yield Change(f"lifts-{count}", f"{count} lifts, each cooled first", grids, lifts=count)


def _share_of_rise(peak_c: float, base_c: float, floor_c: float) -> float:
    """A cooler casting's grid error is smaller in proportion."""
    return float(np.clip((peak_c - floor_c) / max(base_c - floor_c, 1e-9), 0.0, 1.0))


def in_lifts(grid: PartDepth, count: int, pour: Pour) -> Course:
    """The course of the thickest of *count* lifts of equal height along z, each on a cured one and under open air."""
    lift = max(_lifts(grid, count), key=lambda lift: _deepest(grid, lift))
    return on_grid(grid, pour, lift=lift)[1]


def _lifts(grid: PartDepth, count: int) -> list[Lift]:
    levels = np.flatnonzero((grid.depth_mm > 0).any(axis=(0, 1)))
    cuts = np.round(np.linspace(levels[0], levels[-1] + 1, count + 1)).astype(int)
    return [Lift(int(low), int(high)) for low, high in pairwise(cuts) if high > low]


def _deepest(grid: PartDepth, lift: Lift) -> float:
    layer = grid.depth_mm[:, :, lift.bottom : lift.top]
    height = (np.arange(layer.shape[2]) + 0.5) * grid.spacing_mm
    # the free top leads heat away slower than a mould; the cured floor about as well
    return float(np.minimum(layer, np.minimum(height, height[::-1])[None, None, :]).max())

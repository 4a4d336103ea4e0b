"""What would make a casting cooler, each computed with the same model: hollow, lifts, slower, filled, cooler room."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np

from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.layers import SLAB
from moldvol.casting.heat.part import Lift
from moldvol.casting.heat.pour import Pour, in_section, on_grid
from moldvol.casting.heat.record import Course
from moldvol.materials.chemistry.thermal import FILLERS, ResinThermal, Substance, filled, pours

HOLLOW_WALL_MM = 4.0
LIFT_COUNTS = (2, 3, 4)
SLOWER = 0.5  # a resin of the class with half the rate everywhere: about twice the pot life where little heat is kept
FILLER_PARTS = 100.0  # g in 100 g of resin: 29 % by volume for chalk and for aluminium powder
COOLER_K = -5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change and what it would do. Temperatures are of the usual resin, beside the plan's ``peak``.

    ``peak_high_c`` is the peak of the hottest resin that fits the sheet, looked at only where the usual one stays below
    the limit.
    """

    code: str
    what: str
    peak_c: float
    peak_high_c: float | None
    face_peak_c: float
    core_gel_s: float


@dataclass(frozen=True, slots=True)
class Change:
    """A remedy not yet computed; ``on_cubes`` if it runs on the coarse grid and shares its error."""

    code: str
    what: str
    run: Callable[[Pour], Course]
    on_cubes: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """What a change came to for the usual resin and, where it was asked, for the hottest."""

    change: Change
    usual: Course
    hot: Course | None

    def remedy(self, base: Course, floor_c: float, shift_k: tuple[float, float]) -> Remedy:
        """The same moved by *shift_k* (peak, face): by how much a fine grid moves *base*, the casting unchanged."""
        share = _share_of_rise(self.usual.peak_c, base.peak_c, floor_c) if self.change.on_cubes else 0.0
        peak, face = (share * shift for shift in shift_k)
        return Remedy(
            code=self.change.code, what=self.change.what, core_gel_s=self.usual.core_gel_s,
            peak_c=self.usual.peak_c + peak, face_peak_c=self.usual.face_peak_c + face,
            peak_high_c=None if self.hot is None else max(self.usual.peak_c, self.hot.peak_c) + peak,
        )  # fmt: skip


def changes_of(grid: PartDepth, resin: ResinThermal, wall_mm: float | None) -> Iterator[Change]:
    """What may be changed where *resin* goes into the part on *grid*, solid or hollow with *wall_mm*."""

    def mixed(code: str, what: str, changed: Callable[[Pour], Pour]) -> Change:
        return Change(code, what, lambda pour: on_grid(grid, changed(pour), wall_mm=wall_mm)[1])

    yield from _thinner(grid, wall_mm)
    yield mixed("slower", "a resin half as fast", lambda pour: pour.with_rate(SLOWER))
    for name, filler in FILLERS.items():
        # a resin that is heavily filled already takes no more
        if pours(resin, filler, parts_per_100=FILLER_PARTS):
            what = f"{name}, {FILLER_PARTS / 100:g}:1 by weight"
            yield mixed(name.replace(" ", "-"), what, partial(_with_filler, filler=filler))
    yield mixed("cooler", f"room, mould and resin {-COOLER_K:g} °C cooler", lambda pour: pour.in_room(COOLER_K))


def _with_filler(pour: Pour, filler: Substance) -> Pour:
    return replace(pour, resin=filled(pour.resin, filler, parts_per_100=FILLER_PARTS))


def _thinner(grid: PartDepth, wall_mm: float | None) -> Iterator[Change]:
    if wall_mm is not None:
        # each coat as if alone: the cured one beneath leads heat about as well as a mould
        half = wall_mm / 2
        what = f"two coats of {half:.3g} mm, each cooled first"
        yield Change("coats-2", what, partial(in_section, SLAB, half), on_cubes=False)
        return
    what = f"hollow, a {HOLLOW_WALL_MM:g} mm wall in one coat"
    yield Change("hollow", what, partial(in_section, SLAB, HOLLOW_WALL_MM), on_cubes=False)
    for count in LIFT_COUNTS:
        yield Change(f"lifts-{count}", f"{count} lifts, each cooled first", partial(in_lifts, grid, count))


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

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
from moldvol.casting.heat.pour import Pour, in_section, on_grid, side_by_side
from moldvol.casting.heat.record import Course
from moldvol.materials.thermal import FILLERS, filled, pours

HOLLOW_WALL_MM = 4.0
LIFT_COUNTS = (2, 3, 4)
SLOWER = 0.5  # a resin of the class with half the rate everywhere: about twice the pot life where little heat is kept
FILLER_PARTS = 100.0  # g in 100 g of resin: 29 % by volume for chalk and for aluminium powder
COOLER_K = -5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change and what it would do. Temperatures are of the usual resin, beside the plan's ``peak_c``."""

    code: str
    what: str
    peak_c: float
    face_peak_c: float
    core_gel_s: float


def remedies(grid: PartDepth, pour: Pour, base: Course, shift_k: tuple[float, float]) -> tuple[Remedy, ...]:
    """The remedies on a coarse *grid*, each moved by *shift_k* (peak, face): by how much a fine grid moves *base*."""
    changes = list(_changes(grid, pour))
    courses = side_by_side(lambda change: change.run(), changes)
    found = [_hollow(pour)]
    for change, course in zip(changes, courses, strict=True):
        share = _share_of_rise(course.peak_c, base.peak_c, pour.floor_c)
        found.append(
            Remedy(
                code=change.code, what=change.what, core_gel_s=course.core_gel_s,
                peak_c=course.peak_c + shift_k[0] * share, face_peak_c=course.face_peak_c + shift_k[1] * share,
            )
        )  # fmt: skip
    return tuple(found)


def _share_of_rise(peak_c: float, base_c: float, floor_c: float) -> float:
    """A cooler casting's grid error is smaller in proportion."""
    return float(np.clip((peak_c - floor_c) / max(base_c - floor_c, 1e-9), 0.0, 1.0))


def _hollow(pour: Pour) -> Remedy:
    course = in_section(SLAB, HOLLOW_WALL_MM, pour)
    return Remedy(
        code="hollow", what=f"cast hollow with a wall of {HOLLOW_WALL_MM:g} mm in one coat",
        peak_c=course.peak_c, face_peak_c=course.face_peak_c, core_gel_s=course.core_gel_s,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Change:
    """A remedy not yet computed."""

    code: str
    what: str
    run: Callable[[], Course]


def _changes(grid: PartDepth, pour: Pour) -> Iterator[_Change]:
    def solid(code: str, what: str, changed: Pour) -> _Change:
        return _Change(code, what, lambda: on_grid(grid, changed)[1])

    for count in LIFT_COUNTS:
        what = f"pour in {count} lifts, each cooled before the next"
        yield _Change(f"lifts-{count}", what, partial(in_lifts, grid, pour, count))
    yield solid("slower", "a resin half as fast", pour.with_rate(SLOWER))
    for name, filler in FILLERS.items():
        # a resin that is heavily filled already takes no more
        if pours(pour.resin, filler, parts_per_100=FILLER_PARTS):
            mixed = filled(pour.resin, filler, parts_per_100=FILLER_PARTS)
            what = f"{FILLER_PARTS:g} g of {name} in 100 g of resin"
            yield solid(name.replace(" ", "-"), what, replace(pour, resin=mixed))
    yield solid("cooler", f"everything {-COOLER_K:g} °C cooler", pour.in_room(COOLER_K))


def in_lifts(grid: PartDepth, pour: Pour, count: int) -> Course:
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

"""The room that air and liquid can fill, as runs of grid lines that touch: a net that serves every direction.

Lengths in mm. A *run* is a stretch of a grid line that lies wholly in the room; its ends are exact. A *contact* joins
two runs of neighbouring lines over a stretch where nothing stands between them. Along a run the height in any
direction rises or falls steadily, so runs and contacts say about levels all that the millions of cells of the grid
could say, with some ten thousand numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moldvol.geometry.columns import column_crossings
from moldvol.geometry.grid import Grid, Indices
from moldvol.geometry.mesh import Floats, Mesh

Flags = NDArray[np.bool_]
RunAt = NDArray[np.int32]
Runs = tuple[Indices, Floats, Floats]

SHORTEST_RUN = 1e-9  # of the spacing: two faces that touch leave rounding, not room


@dataclass(frozen=True, slots=True, eq=False)
class OpenSpace:
    """Runs and contacts of the room inside or outside a mesh, along one ``axis`` of ``grid`` (0, 1 or 2).

    ``line`` (r,), ``low_mm`` and ``high_mm`` (r,) are the runs, with lines along x numbered over (y, z), along y over
    (z, x), along z over (x, y). ``ends`` (c, 2) are the runs of each contact, ``from_mm`` and ``to_mm`` (c, 2) where on
    each of the two it begins and stops. ``bounded`` tells whether the room ends within the grid.
    """

    grid: Grid
    axis: int
    bounded: bool
    line: Indices
    low_mm: Floats
    high_mm: Floats
    ends: Indices
    from_mm: Floats
    to_mm: Floats

    @classmethod
    def inside(cls, mesh: Mesh, grid: Grid, axis: int = 2) -> OpenSpace:
        """The inside of the closed *mesh*: the cavity that a mould of it would have."""
        runs = _solid_runs(mesh, grid, axis)
        return cls(grid, axis, True, *runs, *_contacts(mesh, grid, axis, *runs))

    @classmethod
    def outside(cls, mesh: Mesh, grid: Grid, axis: int = 2) -> OpenSpace:
        """Everything around the closed *mesh* as far as *grid* reaches, which must be past the mesh on every side."""
        runs = _gaps(grid, axis, *_solid_runs(mesh, grid, axis))
        return cls(grid, axis, False, *runs, *_contacts(mesh, grid, axis, *runs))

    @property
    def section_mm2(self) -> float:
        """Area across the axis that one line stands for."""
        return self.grid.spacing_mm**2

    @property
    def volume_mm3(self) -> float:
        """Volume of all runs."""
        return float((self.high_mm - self.low_mm).sum()) * self.section_mm2

    def run_points(self) -> tuple[Floats, Floats]:
        """(r, 3) lower and (r, 3) upper end of every run."""
        return self._points(self.low_mm), self._points(self.high_mm)

    def ends_on_surface(self) -> tuple[Indices, Floats]:
        """(m,) run and (m, 3) place of every run end that lies on the mesh, not on the border of the grid."""
        low, high = self.run_points()
        bottom, top = _reach(self.grid, self.axis)
        lower, upper = np.flatnonzero(self.low_mm > bottom), np.flatnonzero(self.high_mm < top)
        return np.concatenate([lower, upper]), np.concatenate([low[lower], high[upper]])

    def run_heights(self, up: ArrayLike) -> tuple[Floats, Floats]:
        """(r,) lowest and (r,) highest height of every run along the unit vector *up*."""
        beside, rise = self._line_heights(up)
        one, other = beside + rise * self.low_mm, beside + rise * self.high_mm
        return np.minimum(one, other), np.maximum(one, other)

    def contact_heights(self, up: ArrayLike) -> Floats:
        """(c,) the greatest height along *up* at which one can step across each contact."""
        beside, rise = self._line_heights(up)
        highest = beside[self.ends] + np.maximum(rise * self.from_mm, rise * self.to_mm)
        return np.asarray(highest.min(axis=1))

    def border(self, up: ArrayLike) -> tuple[Indices, Floats]:
        """Runs that reach the border of the grid, with the greatest height along *up* at which they do."""
        if self.bounded:
            return np.zeros(0, dtype=np.int64), np.zeros(0)
        (first, firsts), (second, seconds) = self._lattice()
        on_side = (first == 0) | (first == firsts - 1) | (second == 0) | (second == seconds - 1)
        bottom, top = _reach(self.grid, self.axis)
        beside, rise = self._line_heights(up)
        at_side = np.where(on_side, self.run_heights(up)[1], -inf)
        at_bottom = np.where(self.low_mm <= bottom, beside + rise * self.low_mm, -inf)
        at_top = np.where(self.high_mm >= top, beside + rise * self.high_mm, -inf)
        heights = np.maximum(at_side, np.maximum(at_bottom, at_top))
        runs = np.flatnonzero(np.isfinite(heights))
        return runs, heights[runs]

    def nearest_run(self, point_mm: ArrayLike) -> int:
        """The run that passes nearest to a point."""
        point = np.asarray(point_mm, dtype=np.float64)
        low, high = self.run_points()
        return int(np.argmin(np.linalg.norm(np.clip(point, low, high) - point, axis=1)))

    def _lattice(self) -> tuple[tuple[Indices, int], tuple[Indices, int]]:
        """Index of every run's line along the two other axes, each with its count."""
        firsts, seconds = (self.grid.shape[number] for number in _across(self.axis))
        first, second = np.divmod(self.line, seconds)
        return (first, firsts), (second, seconds)

    def _points(self, along_mm: Floats) -> Floats:
        (first, _), (second, _) = self._lattice()
        points = np.zeros((len(self.line), 3))
        for number, index in zip(_across(self.axis), (first, second), strict=True):
            points[:, number] = self.grid.axis(number)[index]
        points[:, self.axis] = along_mm
        return points

    def _line_heights(self, up: ArrayLike) -> tuple[Floats, float]:
        """(r,) height along *up* where each run's line starts at coordinate 0, and its rise for each mm."""
        direction = np.asarray(up, dtype=np.float64)
        return self._points(np.zeros(len(self.line))) @ direction, float(direction[self.axis])


def _across(axis: int) -> tuple[int, int]:
    """The two other axes, in the order that keeps a mesh the right way out when *axis* is made the last."""
    return (axis + 1) % 3, (axis + 2) % 3


def _solid_runs(mesh: Mesh, grid: Grid, axis: int) -> Runs:
    """Line, entry and exit of every stretch inside *mesh* along the grid's lines of one *axis*."""
    first, second = _across(axis)
    rolled = Mesh(mesh.vertices[:, [first, second, axis]], mesh.faces)
    crossings = column_crossings(rolled, grid.axis(first), grid.axis(second))
    after = crossings.winding_after() > 0
    starts = np.diff(crossings.column, prepend=-1) != 0
    before = np.concatenate([[False], after])[:-1] & ~starts
    enters, leaves = after & ~before, before & ~after
    return _real(grid, crossings.column[enters], crossings.z_mm[enters], crossings.z_mm[leaves])


def _gaps(grid: Grid, axis: int, line: Indices, low: Floats, high: Floats) -> Runs:
    """What the solid runs leave of every line within the grid."""
    first, second = _across(axis)
    bottom, top = _reach(grid, axis)
    everywhere = np.arange(grid.shape[first] * grid.shape[second])
    lines = np.concatenate([everywhere, line])
    floors = np.concatenate([np.full(len(everywhere), bottom), high])
    roofs = np.concatenate([np.full(len(everywhere), top), low])
    rising_floors, rising_roofs = np.lexsort((floors, lines)), np.lexsort((roofs, lines))
    return _real(grid, lines[rising_floors], floors[rising_floors], roofs[rising_roofs])


def _real(grid: Grid, line: Indices, low: Floats, high: Floats) -> Runs:
    kept = high - low > SHORTEST_RUN * grid.spacing_mm
    return line[kept], low[kept], high[kept]


def _reach(grid: Grid, axis: int) -> tuple[float, float]:
    """Where a line along *axis* leaves the grid's outermost cells."""
    coordinates = grid.axis(axis)
    return float(coordinates[0]) - grid.spacing_mm / 2, float(coordinates[-1]) + grid.spacing_mm / 2


def _contacts(
    mesh: Mesh, grid: Grid, axis: int, line: Indices, low: Floats, high: Floats
) -> tuple[Indices, Floats, Floats]:
    """(c, 2) runs that touch, and the beginnings and ends of the stretches over which they do."""
    run_at = _run_at_points(grid, axis, line, low, high)
    first, second = _across(axis)
    walls = [np.transpose(_walls(mesh, grid, number), (first, second, axis)) for number in (first, second)]
    pairs = ((run_at[:-1], run_at[1:]), (run_at[:, :-1], run_at[:, 1:]))
    found = [_touching(near, far, wall) for (near, far), wall in zip(pairs, walls, strict=True)]
    ends, start, stop = (np.concatenate(part) for part in zip(*found, strict=True))
    return ends, *_stretches(grid, axis, low[ends], high[ends], start, stop)


def _stretches(
    grid: Grid, axis: int, low: Floats, high: Floats, start: Indices, stop: Indices
) -> tuple[Floats, Floats]:
    """(c, 2) where contacts between the grid points *start* and *stop* begin and stop on each of their two runs.

    Where one of the runs ends before the next grid point, both go on to there or to their own end: along a ceiling or a
    floor one can pass from run to run. Where a wall begins between them, they do not.
    """
    along, step = grid.axis(axis), grid.spacing_mm
    first, last = along[start], along[stop]
    floor = low.max(axis=1) > first - step
    ceiling = high.min(axis=1) < last + step
    from_mm = np.where(floor[:, None], np.maximum(low, (first - step)[:, None]), first[:, None])
    to_mm = np.where(ceiling[:, None], np.minimum(high, (last + step)[:, None]), last[:, None])
    return from_mm, to_mm


def _run_at_points(grid: Grid, axis: int, line: Indices, low: Floats, high: Floats) -> RunAt:
    """The run on which each grid point lies, -1 where there is none; axes rolled so that *axis* is the last."""
    first, second = _across(axis)
    along = grid.axis(axis)
    begin, end = np.searchsorted(along, low), np.searchsorted(along, high, side="right")
    counts = np.maximum(end - begin, 0)
    runs = np.repeat(np.arange(len(line), dtype=np.int32), counts)
    place = np.arange(len(runs)) - np.repeat(np.cumsum(counts) - counts, counts) + begin[runs]
    run_at = np.full((grid.shape[first] * grid.shape[second], len(along)), -1, dtype=np.int32)
    run_at[line[runs], place] = runs
    return run_at.reshape(grid.shape[first], grid.shape[second], len(along))


def _touching(near: RunAt, far: RunAt, wall: Flags) -> tuple[Indices, Indices, Indices]:
    """Pairs of runs side by side with no *wall* between, and the first and last grid point of each stretch."""
    free = (near >= 0) & (far >= 0) & ~wall
    place = np.nonzero(free)[2]
    a, b = near[free].astype(np.int64), far[free].astype(np.int64)
    begins = (np.diff(a, prepend=-1) != 0) | (np.diff(b, prepend=-1) != 0) | (np.diff(place, prepend=-2) != 1)
    starts = np.flatnonzero(begins)
    stops = np.append(starts[1:], len(place))[: len(starts)] - 1
    return np.stack([a[starts], b[starts]], axis=1), place[starts], place[stops]


def _walls(mesh: Mesh, grid: Grid, axis: int) -> Flags:
    """Whether the surface passes between each grid point and the next along *axis*, however thin the wall is."""
    first, second = _across(axis)
    line, entry, leaving = _solid_runs(mesh, grid, axis)
    lines, where = np.concatenate([line, line]), np.concatenate([entry, leaving])
    step = np.searchsorted(grid.axis(axis), where) - 1
    steps = grid.shape[axis] - 1
    between = (step >= 0) & (step < steps)
    walls = np.zeros((grid.shape[first] * grid.shape[second], steps), dtype=np.bool_)
    walls[lines[between], step[between]] = True
    rolled = walls.reshape(grid.shape[first], grid.shape[second], steps)
    return np.moveaxis(rolled, (0, 1, 2), (first, second, axis))

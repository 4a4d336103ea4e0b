"""From a distance function to a closed surface of quadrilaterals, as modelling programs write them.

Method: surface nets (Gibson, "Constrained elastic surface nets", 1998): one point per grid cell that the surface
crosses, one quadrilateral per grid edge that it crosses. Flat areas are then gathered into larger polygons.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sample_meshes.surfaces import Distance, Floats, sampled

Ints = NDArray[np.int64]
Polygon = tuple[int, ...]

STEPS_ONTO_SURFACE = 3  # each about halves what the averaging rounded off
CHECKERBOARD_ROUNDS = 20
FLAT = 1e-6  # mm; points so near the plane lie in it


def quad_surface(distance: Distance, low: ArrayLike, high: ArrayLike, step: float) -> tuple[Floats, Ints]:
    """Points (v, 3) in mm and quadrilaterals (n, 4), counter-clockwise seen from outside."""
    grid, origin = sampled(distance, low, high, step)
    grid = _without_checkerboards(grid, step)
    inside = grid < 0
    crossed = [_crossed_edges(inside, axis) for axis in range(3)]
    sums, counts = np.zeros((*grid.shape, 3)), np.zeros(grid.shape)
    for axis, (starts, _) in enumerate(crossed):
        _add_crossings(sums, counts, grid, starts, axis)
    cells = counts > 0
    names = np.full(grid.shape, -1, dtype=np.int64)
    names[cells] = np.arange(cells.sum())
    points = origin + step * sums[cells] / counts[cells][:, None]
    faces = np.concatenate([_faces(names, starts, leaving, axis) for axis, (starts, leaving) in enumerate(crossed)])
    return _drawn_onto(distance, points, step), faces


def _without_checkerboards(grid: Floats, step: float) -> Floats:
    """The grid with the least value turned over wherever a face of four has its signs crosswise.

    There two sheets would meet in one edge. It happens where the surface grazes a grid plane: the shape hardly changes.
    """
    mended = grid.copy()
    for _ in range(CHECKERBOARD_ROUNDS):
        found = [_checkerboards(mended, axis) for axis in range(3)]
        corners = np.concatenate(found)
        if len(corners) == 0:
            return mended
        values = mended[tuple(np.moveaxis(corners, -1, 0))]
        least = np.argmin(np.abs(values), axis=1)
        places = np.unique(corners[np.arange(len(corners)), least], axis=0)
        mended[tuple(places.T)] = np.where(mended[tuple(places.T)] < 0, 1, -1) * 0.01 * step
    raise ValueError("the shape has details finer than the grid; take a smaller step")


def _checkerboards(grid: Floats, axis: int) -> Ints:
    """(m, 4, 3) corners of faces across *axis* whose diagonals differ in sign."""
    first, second = np.eye(3, dtype=np.int64)[[(axis + 1) % 3, (axis + 2) % 3]]
    inside = grid < 0
    beside, beyond = np.roll(inside, -1, (axis + 1) % 3), np.roll(inside, -1, (axis + 2) % 3)
    across = np.roll(beside, -1, (axis + 2) % 3)
    starts = np.argwhere((inside == across) & (beside == beyond) & (inside != beside))
    return np.stack([starts, starts + first, starts + first + second, starts + second], axis=1)


def _crossed_edges(inside: NDArray[np.bool_], axis: int) -> tuple[Ints, NDArray[np.bool_]]:
    """(m, 3) grid points whose edge along *axis* crosses the surface, and whether it leaves the solid there."""
    here = np.moveaxis(np.moveaxis(inside, axis, 0)[:-1], 0, axis)
    there = np.moveaxis(np.moveaxis(inside, axis, 0)[1:], 0, axis)
    starts = np.argwhere(here != there)
    return starts, here[tuple(starts.T)]


def _cells_around(starts: Ints, axis: int) -> list[Ints]:
    """The four cells that share each edge, in turning order about +axis."""
    first, second = np.eye(3, dtype=np.int64)[[(axis + 1) % 3, (axis + 2) % 3]]
    return [starts - first - second, starts - second, starts, starts - first]


def _add_crossings(sums: Floats, counts: Floats, grid: Floats, starts: Ints, axis: int) -> None:
    along = np.eye(3, dtype=np.int64)[axis]
    a, b = grid[tuple(starts.T)], grid[tuple((starts + along).T)]
    places = starts + (a / (a - b))[:, None] * along
    for cells in _cells_around(starts, axis):
        np.add.at(sums, tuple(cells.T), places)
        np.add.at(counts, tuple(cells.T), 1)


def _faces(names: Ints, starts: Ints, leaving: NDArray[np.bool_], axis: int) -> Ints:
    corners = np.stack([names[tuple(cells.T)] for cells in _cells_around(starts, axis)], axis=1)
    return np.where(leaving[:, None], corners, corners[:, ::-1])


def _drawn_onto(distance: Distance, points: Floats, step: float) -> Floats:
    """The points moved along the distance's slope to where it is 0, by less than half a cell in all."""
    moved, small = points.copy(), 0.02 * step
    for _ in range(STEPS_ONTO_SURFACE):
        shifts = small * np.eye(3)
        slope = np.stack([distance(moved + shift) - distance(moved - shift) for shift in shifts], axis=1) / (2 * small)
        steep = np.maximum(np.sum(slope**2, axis=1, keepdims=True), 0.25)
        moved -= 0.7 * np.clip(distance(moved)[:, None] * slope / steep, -0.2 * step, 0.2 * step)
    return moved


def gathered_flat(points: Floats, quads: Ints, axis: int, level: float, block: float) -> list[Polygon]:
    """The faces, those in the plane axis = level gathered into squares of side *block* and their leftover shapes.

    Points that only two polygons share and that lie on a straight edge are dropped from both: neighbours still match.
    """
    flat = np.all(np.abs(points[quads, axis] - level) < FLAT, axis=1)
    tiles = np.floor(np.delete(points[quads[flat]].mean(axis=1), axis, axis=1) / block).astype(int)
    _, tile_of = np.unique(tiles, axis=0, return_inverse=True)
    gathered: list[Polygon] = []
    for tile in range(tile_of.max() + 1):
        members = quads[flat][tile_of.ravel() == tile]
        outline = _outline(members)
        gathered.extend([outline] if outline else [tuple(quad) for quad in members.tolist()])
    return _without_idle_points(points, [*(tuple(quad) for quad in quads[~flat].tolist()), *gathered])


def _outline(quads: Ints) -> Polygon | None:
    """The single loop around a patch, or None where it has several or touches itself."""
    after: dict[int, int] = {}
    edges = {(a, b) for quad in quads.tolist() for a, b in zip(quad, [*quad[1:], quad[0]], strict=True)}
    for a, b in sorted(edges):
        if (b, a) not in edges:
            if a in after:
                return None
            after[a] = b
    loop = [min(after)]
    while after[loop[-1]] != loop[0]:
        loop.append(after[loop[-1]])
    return tuple(loop) if len(loop) == len(after) else None


def _without_idle_points(points: Floats, polygons: Sequence[Polygon]) -> list[Polygon]:
    uses = np.bincount(np.concatenate([np.array(polygon) for polygon in polygons]), minlength=len(points))

    def idle(before: int, here: int, after: int) -> bool:
        turn = np.cross(points[here] - points[before], points[after] - points[here])
        return uses[here] == 2 and float(np.linalg.norm(turn)) < FLAT

    def kept(polygon: Polygon) -> Polygon:
        around = zip(polygon[-1:] + polygon[:-1], polygon, polygon[1:] + polygon[:1], strict=True)
        return tuple(here for before, here, after in around if not idle(before, here, after))

    return [kept(polygon) if len(polygon) > 4 else polygon for polygon in polygons]

"""The half-width and place of a neck, finer than the grid that found it.

Lengths in mm.
"""

from __future__ import annotations

import numpy as np
from pykdtree.kdtree import KDTree

from moldvol.geometry.field.distance import DistanceField, Mask
from moldvol.geometry.field.surface import Surface
from moldvol.geometry.grid import grown
from moldvol.geometry.mesh import Floats

NEAR_CELLS = 3  # how far around the saddle the two sides of a neck are looked for
HALVINGS = 11  # of the step with which the middle of a cross-section is sought: 1/2000 of it at the end
STATIONS = np.linspace(-1.0, 1.0, 9)  # cross-sections along the neck, in units of the stretch searched
TURNS = np.linspace(0.0, 2 * np.pi, 8, endpoint=False)


def refined_neck(
    field: DistanceField, pocket: Mask, reach_mm: float, start_mm: tuple[float, float, float]
) -> tuple[float, tuple[float, float, float]]:
    """Half the width of the neck before *pocket* and its place, mm. *reach_mm* is the half-width that the grid saw,
    *start_mm* where the way in begins.

    Method: the neck is where the deepest point of the cross-sections along it is least deep. The cross-sections are
    searched with exact distances, first every half cell, then every sixteenth about the narrowest; none before the
    start, where a room ends in its floor and no way leads.
    Error: about 1/30 of a cell on straight necks; where the grid saw no way in, the half-width is 0.
    """
    if reach_mm <= 0:
        return 0.0, _touching_place(field, pocket)
    saddle, along = _saddle(field, pocket, reach_mm)
    middle, across, stretch = saddle, _perpendicular(along), 2 * field.grid.spacing_mm
    before = np.array(start_mm) - saddle
    first = before @ along if np.linalg.norm(before) < 2 * stretch else -np.inf
    for _ in range(2):
        steps = np.maximum(stretch * STATIONS, first - (middle - saddle) @ along)
        starts = middle + steps[:, None] * along
        starts, depths = _deepest_across(field.surface, starts, across, field.grid.spacing_mm)
        narrowest = int(depths.argmin())
        middle, stretch = starts[narrowest], stretch / 8
    x, y, z = middle.tolist()
    return max(reach_mm, float(depths[narrowest])), (x, y, z)


def _touching_place(field: DistanceField, pocket: Mask) -> tuple[float, float, float]:
    """The inner point next to *pocket* that is nearest to other inner cells, for a passage the grid cannot see."""
    cells = field.grid.points(np.flatnonzero(pocket))
    others = field.grid.points(np.flatnonzero((field.depth_mm > 0) & ~pocket))
    x, y, z = cells[np.argmin(KDTree(others).query(cells)[0])].tolist()
    return x, y, z


def _saddle(field: DistanceField, pocket: Mask, reach_mm: float) -> tuple[Floats, Floats]:
    """(3,) the grid point that limits the way in, and (3,) the direction of the way there."""
    candidates = np.flatnonzero(field.depth_mm == reach_mm)
    touching = candidates[grown(pocket).ravel()[candidates]]
    cell = field.grid.points(touching[:1] if len(touching) else candidates[:1])[0]
    low = np.maximum(np.array(field.grid.nearest_index(cell)) - NEAR_CELLS, 0)
    window = tuple(slice(i, i + 2 * NEAR_CELLS + 1) for i in low)
    # The way leads from the open cells at least as deep on one side to those of the pocket on the other.
    open_side = (field.depth_mm[window] >= reach_mm) & ~pocket[window]
    way = _centre(pocket[window]) - _centre(open_side)
    length = float(np.linalg.norm(way))
    return cell, way / length if length > 0 else np.array([0.0, 0.0, 1.0])


def _centre(mask: Mask) -> Floats:
    places = np.argwhere(mask)
    return places.mean(axis=0) if len(places) else np.full(3, NEAR_CELLS, dtype=np.float64)


def _perpendicular(along: Floats) -> Floats:
    """(8, 3): unit steps in eight directions square to *along*."""
    first = np.cross(along, np.eye(3)[np.abs(along).argmin()])
    first /= np.linalg.norm(first)
    second = np.cross(along, first)
    return np.asarray(np.cos(TURNS)[:, None] * first + np.sin(TURNS)[:, None] * second)


def _deepest_across(surface: Surface, starts: Floats, across: Floats, step: float) -> tuple[Floats, Floats]:
    """The deepest point of each cross-section from *starts* (n, 3) on, and its depth (n,)."""
    places, depths = starts.copy(), surface.distance(starts)
    for _ in range(HALVINGS):
        for _ in range(2):
            # A step shorter than the depth cannot leave the solid.
            lengths = np.minimum(step, 0.9 * depths)
            tried = places[:, None] + lengths[:, None, None] * across
            found = surface.distance(tried.reshape(-1, 3)).reshape(len(places), -1)
            best = found.argmax(axis=1)
            rows = np.arange(len(places))
            better = found[rows, best] > depths
            places[better] = tried[rows, best][better]
            depths[better] = found[rows, best][better]
        step /= 2
    return places, depths

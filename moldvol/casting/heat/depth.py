"""Signed depths of a part on a cubic grid, and the same part on a coarser grid that also reaches through its mould.

Depths are positive inside the part, in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, map_coordinates
from scipy.spatial import cKDTree

from moldvol.casting.heat.cells import Floats
from moldvol.errors import RequestError

if TYPE_CHECKING:
    from moldvol.geometry.field.distance import DistanceField


@dataclass(frozen=True, slots=True, eq=False)
class PartDepth:
    """Signed depths (nx, ny, nz) on a cubic grid whose point (i, j, k) is at origin + spacing · (i, j, k)."""

    origin_mm: tuple[float, float, float]
    spacing_mm: float
    depth_mm: Floats

    @classmethod
    def of(cls, field: DistanceField) -> PartDepth:
        """The depths of a distance field; it need reach no further outside than its own outer layers."""
        return cls(field.grid.origin_mm, field.grid.spacing_mm, field.depth_mm)

    @property
    def volume_mm3(self) -> float:
        """What the grid says is inside."""
        return float(shares(self.depth_mm, self.spacing_mm).sum() * self.spacing_mm**3)

    @property
    def area_mm2(self) -> float:
        """Surface, from how the inside shrinks with depth."""
        half = self.spacing_mm / 2
        return float(
            (shares(self.depth_mm + half, 2 * half) - shares(self.depth_mm - half, 2 * half)).sum() * 4 * half**2
        )


def shares(depth_mm: Floats, spacing_mm: float) -> Floats:
    """The part of each cube that lies at positive depth, 0 to 1."""
    return np.clip(depth_mm / spacing_mm + 0.5, 0.0, 1.0)


def regrid(part: PartDepth, spacing_mm: float, margin_mm: float) -> PartDepth:
    """*part* on cubes of *spacing_mm* that reach *margin_mm* beyond its surface.

    Up to one old step beyond the surface depths are interpolated; farther out they are distances to where the surface
    crosses the old grid's lines, so the old grid need reach no further than that.
    """
    old = np.nan_to_num(part.depth_mm, nan=-np.inf)
    if not (old > 0).any():
        raise RequestError("No grid point lies inside the part, so there is nothing to heat; use a finer grid.")
    surface = _surface_points(old) * part.spacing_mm
    low, high = surface.min(axis=0) - margin_mm - spacing_mm, surface.max(axis=0) + margin_mm + spacing_mm
    counts = np.ceil((high - low) / spacing_mm).astype(int) + 1
    start = (low + high - (counts - 1) * spacing_mm) / 2  # centred: a symmetric part keeps its symmetry
    points = [start[axis] + spacing_mm * np.arange(counts[axis]) for axis in range(3)]
    depth = _interpolated(old, points, part.spacing_mm)
    reach = margin_mm + 2 * spacing_mm
    depth = np.where(depth > -part.spacing_mm, depth, _beyond(depth > -part.spacing_mm, surface, points, reach))
    origin = np.asarray(part.origin_mm) + start
    return PartDepth((float(origin[0]), float(origin[1]), float(origin[2])), spacing_mm, depth)


def _interpolated(old: Floats, points: list[Floats], spacing_mm: float) -> Floats:
    bounded = np.maximum(old, -2 * spacing_mm)
    coordinates = np.meshgrid(*(axis / spacing_mm for axis in points), indexing="ij")
    return np.asarray(map_coordinates(bounded, coordinates, order=1, mode="nearest"))


def _beyond(known: NDArray[np.bool_], surface: Floats, points: list[Floats], reach_mm: float) -> Floats:
    """Minus the distance to the *surface* points where nothing is *known*, at most *reach_mm*."""
    depth = np.full(known.shape, -reach_mm)
    spacing = float(points[0][1] - points[0][0])
    # most of the box round a slanted sheet is farther away than anyone asks: a quick distance in cells tells
    near = ~known & (distance_transform_edt(~known, sampling=spacing) < reach_mm + spacing)
    where = np.stack([grid[near] for grid in np.meshgrid(*points, indexing="ij")], axis=1)
    away, _ = cKDTree(surface).query(where, distance_upper_bound=reach_mm, workers=-1)
    depth[near] = -np.minimum(away, reach_mm)
    return depth


def _surface_points(depth_mm: Floats) -> Floats:
    """(s, 3): where the surface crosses the grid's lines, in grid steps."""
    found = []
    for axis in range(3):
        before, after = neighbours(depth_mm, axis)
        crossing = (before > 0) != (after > 0)
        a, b = before[crossing], after[crossing]
        at = np.argwhere(crossing).astype(float)
        usable = np.isfinite(a) & np.isfinite(b)
        at[:, axis] += np.where(usable, a / np.where(usable, a - b, 1.0), 0.5)
        found.append(at)
    return np.concatenate(found)


def neighbours(values: np.ndarray, axis: int) -> tuple[np.ndarray, np.ndarray]:
    """Views of every point but the last, and every point but the first, along *axis*."""
    return values[(slice(None),) * axis + (slice(-1),)], values[(slice(None),) * axis + (slice(1, None),)]

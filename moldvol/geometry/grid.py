"""Regular grids of points and what share of a cell lies beyond a level.

Lengths in mm. A grid point is the centre of its cell, a cube of one spacing; arrays over a grid are (nx, ny, nz).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moldvol.geometry.mesh import Floats

Indices = NDArray[np.int64]

MOST_CELLS = 12_000_000  # 96 MB a float64 array; a wire frame in a large box gets coarser cells instead of more memory
CHUNK_POINTS = 1 << 17  # points made at a time: 3 MB of coordinates
BLOCK_SIDE = 4  # cells


@dataclass(frozen=True, slots=True)
class Grid:
    """A regular grid: ``origin_mm`` its first point, ``spacing_mm`` the step along all axes, ``shape`` the counts."""

    origin_mm: tuple[float, float, float]
    spacing_mm: float
    shape: tuple[int, int, int]

    @classmethod
    def over(cls, bounds: ArrayLike, spacing_mm: float, layers: int = 2) -> Grid:
        """A grid whose cells fill the box *bounds* (2, 3), centred on it, with *layers* more cells on every side."""
        low, high = np.asarray(bounds, dtype=np.float64)
        counts = [max(1, ceil(side / spacing_mm - 1e-9)) + 2 * layers for side in high - low]
        x, y, z = (low + high) / 2 - spacing_mm * (np.array(counts) - 1) / 2
        return cls((float(x), float(y), float(z)), float(spacing_mm), (counts[0], counts[1], counts[2]))

    @property
    def size(self) -> int:
        """Number of points."""
        nx, ny, nz = self.shape
        return nx * ny * nz

    @property
    def cell_mm3(self) -> float:
        """Volume of one cell."""
        return self.spacing_mm**3

    def axis(self, number: int) -> Floats:
        """Coordinates of the points along axis 0, 1 or 2, mm."""
        return self.origin_mm[number] + self.spacing_mm * np.arange(self.shape[number], dtype=np.float64)

    def points(self, flat: Indices) -> Floats:
        """(m, 3): the points of flat (C order) indices, mm."""
        indices = np.stack(np.unravel_index(flat, self.shape), axis=-1)
        return np.asarray(indices * self.spacing_mm + self.origin_mm)

    def by_blocks(self, flat: Indices) -> Indices:
        """The indices of *flat* block by block of a few cells a side, so that what follows one another lies close."""
        x, y, z = (index // BLOCK_SIDE for index in np.unravel_index(flat, self.shape))
        _, ny, nz = (side // BLOCK_SIDE + 1 for side in self.shape)
        return np.asarray(flat[np.argsort((x * ny + y) * nz + z, kind="stable")])

    def point_chunks(self, flat: Indices) -> Iterator[tuple[slice, Floats]]:
        """The points of *flat* in blocks of bounded memory, each with its slice of *flat*."""
        for start in range(0, len(flat), CHUNK_POINTS):
            block = slice(start, start + CHUNK_POINTS)
            yield block, self.points(flat[block])

    def nearest_index(self, point_mm: ArrayLike) -> tuple[int, int, int]:
        """Index of the grid point nearest to *point_mm*, inside the grid."""
        steps = np.rint((np.asarray(point_mm, dtype=np.float64) - self.origin_mm) / self.spacing_mm)
        i, j, k = np.clip(steps, 0, np.array(self.shape) - 1).astype(int).tolist()
        return i, j, k


def spacing_for(volume_mm3: float, interior_points: int, bounds: ArrayLike, most_cells: int = MOST_CELLS) -> float:
    """The spacing at which a solid of *volume_mm3* holds *interior_points*, or coarser where its box *bounds* is so
    empty that more than *most_cells* cells would be needed."""
    low, high = np.asarray(bounds, dtype=np.float64)
    wanted = (volume_mm3 / interior_points) ** (1 / 3)
    box = float(np.prod(np.maximum(high - low, wanted)))
    return float(max(wanted, (box / most_cells) ** (1 / 3)))


def grown(mask: NDArray[np.bool_], times: int = 1) -> NDArray[np.bool_]:
    """The mask with *times* more layers of the 26 neighbours; three passes along the axes, cheaper than a stencil."""
    wider = mask.copy()
    for axis in range(3):
        for _ in range(times):
            line = np.moveaxis(wider, axis, 0)
            before = line.copy()
            line[1:] |= before[:-1]
            line[:-1] |= before[1:]
    return wider


def share_beyond(depth_mm: Floats, level_mm: float, spacing_mm: float) -> Floats:
    """Share (0 to 1) of each cell whose depth is above *level_mm*, from the depth at its centre alone.

    Error: exact where the level runs along the axes; elsewhere only the sum over many cells is right.
    """
    return np.clip((depth_mm - level_mm) / spacing_mm + 0.5, 0.0, 1.0)

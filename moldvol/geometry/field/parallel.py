"""The body at an even distance around a part: what a brushed-on rubber skin adds, and the area it then shows.

Lengths in mm, areas in mm², volumes in mm³. The skin is round over edges, as brushed rubber is, and runs together where
two walls are closer than twice its thickness: nothing is counted twice, and a hole smaller than that fills up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.level_set import Lattice, volume_beyond
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.grid import share_beyond
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.triangles import measures

POINTS = 200_000  # in part and skin together
CELLS_PER_SKIN = 4.0  # at least so many cells across the thickest skin asked for
AREA_STEP = 0.15  # of the offset: half the layer whose volume gives the area
AREA_STEP_CELLS = 1.5
LEAST_ERROR = 0.003  # of one cell's depth over the whole surface: two lattices may agree by luck


@dataclass(frozen=True, slots=True, eq=False)
class ParallelBodies:
    """All parallel bodies of one part out to ``furthest_mm``; made once, asked for any offset.

    ``foot_mm`` is the height of the board the part stands on, below which there is no skin; None if it goes all round.
    """

    lattice: Lattice
    solid_mm3: float
    solid_mm2: float
    furthest_mm: float
    foot_mm: float | None

    @classmethod
    def of(
        cls,
        mesh: Mesh,
        furthest_mm: float,
        *,
        on_board: bool = False,
        points: int = POINTS,
        volume_mm3: float | None = None,
    ) -> ParallelBodies:
        """The parallel bodies of the closed *mesh* out to *furthest_mm*; *on_board* if it stands with its lowest
        z on a board. *volume_mm3* is the solid's volume where better known than from these triangles.

        Raises `RequestError` for a distance that is not positive.

        Method: exact distances to the triangles on a grid; the volume nearer than the offset, cell by cell.
        Error: stated with every volume; 0.01 to 0.2 % of the skin on convex bodies and rings.
        """
        if not 0 < furthest_mm < np.inf:
            raise RequestError(f"A skin of {furthest_mm:g} mm is none; give a thickness above 0 mm.")
        sizes = measures(mesh)
        solid_mm3 = sizes.signed_volume_mm3 if volume_mm3 is None else volume_mm3
        field = DistanceField.of(
            mesh,
            interior_points=_interior_points(solid_mm3, sizes.area_mm2, furthest_mm, points),
            volume_mm3=solid_mm3,
            reach_outside_mm=furthest_mm * (1 + 2 * AREA_STEP),
        )
        foot = float(mesh.bounds[0, 2]) if on_board else None
        return cls(field.lattice, solid_mm3, sizes.area_mm2, furthest_mm, foot)

    def added(self, offset_mm: float) -> Volume:
        """Volume between the part and the body *offset_mm* around it."""
        whole = self._whole(offset_mm)
        grain = LEAST_ERROR * self.lattice.grid.spacing_mm * self.solid_mm2
        return Volume(max(0.0, whole.volume_mm3 - self.solid_mm3), whole.error_mm3 + grain)

    def area_mm2(self, offset_mm: float) -> float:
        """Area of the body *offset_mm* around the part, without what would lie on the board.

        Method: the volume of a thin layer there, divided by its thickness.
        """
        step = self._area_step(offset_mm)
        layer = self._whole(offset_mm + step).volume_mm3 - self._whole(offset_mm - step).volume_mm3
        return layer / (2 * step)

    def girth_mm(self, offset_mm: float) -> float:
        """Length of the outline on the lowest layer of cells above the foot, at *offset_mm* from the part.

        Method: the area of the outline grown and shrunk by a step, as `area_mm2` does with volumes.
        Error: a per cent or two, from one layer of cells. Where the part leans out there, its skin counts.
        """
        step = self._area_step(offset_mm)
        ring = self._section_mm2(offset_mm + step) - self._section_mm2(offset_mm - step)
        return ring / (2 * step)

    def _section_mm2(self, offset_mm: float) -> float:
        grid = self.lattice.grid
        foot = grid.origin_mm[2] if self.foot_mm is None else self.foot_mm
        layer = int(np.searchsorted(grid.axis(2), foot))
        shares = share_beyond(self.lattice.depth_mm[:, :, layer], -offset_mm, grid.spacing_mm)
        return float(shares.sum()) * grid.spacing_mm**2

    def _whole(self, offset_mm: float) -> Volume:
        """Volume of part and skin together."""
        lattice = self.lattice if self.foot_mm is None else self._above_foot(self.foot_mm, offset_mm)
        return volume_beyond(lattice, -offset_mm)

    def _above_foot(self, foot_mm: float, offset_mm: float) -> Lattice:
        """The lattice with every point below the foot out of the body: there the board is nearer than the skin."""
        grid = self.lattice.grid
        to_board = np.broadcast_to(grid.axis(2) - foot_mm - offset_mm, grid.shape)
        below = to_board < self.lattice.depth_mm
        depth = np.where(below, to_board, self.lattice.depth_mm)
        measured = np.flatnonzero(self.lattice.row >= 0)
        rows = self.lattice.row.ravel()[measured]
        slope = self.lattice.slope[rows].copy()
        slope[below.ravel()[measured]] = (0.0, 0.0, 1.0)
        return Lattice.of(grid, depth, measured, slope)

    def _area_step(self, offset_mm: float) -> float:
        return min(offset_mm, max(AREA_STEP * offset_mm, AREA_STEP_CELLS * self.lattice.grid.spacing_mm))


def _interior_points(solid_mm3: float, area_mm2: float, furthest_mm: float, points: int) -> int:
    """Grid points inside the part so that part and skin hold about *points*, and the skin enough cells across."""
    spacing = ((solid_mm3 + area_mm2 * furthest_mm) / points) ** (1 / 3)
    spacing = min(spacing, furthest_mm / CELLS_PER_SKIN)
    return max(1, int(solid_mm3 / spacing**3))

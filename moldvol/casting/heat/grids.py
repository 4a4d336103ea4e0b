"""The two grids that an estimate is made on, fine and coarse, for the part as it is cast: solid, or with a wall."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi, sqrt

import numpy as np

from moldvol.casting.heat.depth import PartDepth, regrid

# A ball of 56 mm radius: peak within 1 K, mould face within 1 K of fine cells along its radius, but for a runaway,
# whose front passes the face in seconds: see `runs.face_spike_k`.
RESIN_CELLS = 24_000
MOST_CELLS = 60_000  # resin and mould; a thin sheet in a thick mould would take far more for nothing
MOST_BOX_CELLS = 4_000_000  # with the air around and inside: a thin wall in a part of many metres would fill any memory
CELLS_ACROSS = 5  # of the thickest section, at least
COARSER = 1.6  # second grid: a quarter of the cells
THINNEST_WALL_MM = 0.5  # below it a coat, or a whole part, takes its warmth from the mould alone


@dataclass(frozen=True, eq=False)
class Grids:
    """*part* on cubes of ``spacing_mm`` and on coarser ones, both reaching ``margin_mm`` beyond it.

    Each is made when it is first asked for.
    """

    part: PartDepth
    margin_mm: float
    spacing_mm: float

    @classmethod
    def of(cls, part: PartDepth, mould_mm: float, wall_mm: float | None, resin_cells: int) -> Grids:
        """The grids of *part* in *mould_mm* of mould, solid or hollow: the same for whoever asks for that cast."""
        return cls(part, mould_mm, heat_spacing_mm(part, mould_mm, wall_mm, resin_cells))

    @cached_property
    def fine(self) -> PartDepth:
        """On cubes of ``spacing_mm``."""
        return regrid(self.part, self.spacing_mm, self.margin_mm)

    @cached_property
    def rough(self) -> PartDepth:
        """On cubes `COARSER` times as large."""
        return regrid(self.part, self.spacing_mm * COARSER, self.margin_mm)


def heat_spacing_mm(
    part: PartDepth, mould_mm: float, wall_mm: float | None = None, resin_cells: int = RESIN_CELLS
) -> float:
    """Cube size for *part*: fine enough for its volume and its thickest section, coarse enough to be quick."""
    volume, area = part.volume_mm3, part.area_mm2
    across = 2 * deepest_mm(part)
    if wall_mm is not None:
        across = min(across, wall_mm)
        volume = min(volume, area * wall_mm)
    wanted = min((volume / resin_cells) ** (1 / 3), across / CELLS_ACROSS)
    most = MOST_CELLS * resin_cells / RESIN_CELLS
    box = part.depth_mm.size * part.spacing_mm**3
    return float(
        max(wanted, ((volume + _around_mm3(area, mould_mm)) / most) ** (1 / 3), (box / MOST_BOX_CELLS) ** (1 / 3))
    )


def _around_mm3(area_mm2: float, thickness_mm: float) -> float:
    """About what lies within *thickness_mm* of a surface: Steiner's formula, round as a ball of that surface."""
    t = thickness_mm
    return area_mm2 * t + sqrt(4 * pi * area_mm2) * t**2 + 4 / 3 * pi * t**3


def deepest_mm(part: PartDepth) -> float:
    """Half of the thickest section."""
    return float(np.nanmax(part.depth_mm))

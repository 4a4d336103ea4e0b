"""A standing mould cut from left to right through the middle of its liquid: what is solid there and what is liquid.

Lengths in mm, in the frame of the pour: z points to the ceiling, and the cut is seen from the front.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, find_objects, label

from moldvol.geometry.columns import column_crossings, winding_on_grid
from moldvol.geometry.grid import Grid
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.levels import StandingMould
from moldvol.geometry.moulding.orientation import rotation_to_up, turned

PIXELS = 400  # across a cut
MARGIN_CELLS = 3
LEAST_ROOM_CELLS = 6  # less is the grain of the picture

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class MouldCut:
    """(nz, nx) what is ``solid`` and what is ``liquid``, at the coordinates ``xs`` and ``zs``, where y is ``at_y_mm``.

    ``turn`` takes the mesh's own points into the frame of the pour.
    """

    xs: Floats
    zs: Floats
    solid: Mask
    liquid: Mask
    at_y_mm: float
    turn: Floats


def mould_cut(mould: StandingMould, drop_mm: float = 0.0, pixels: int = PIXELS) -> MouldCut:
    """*mould* filled to *drop_mm* below its rim and cut through the middle of its largest basin.

    Method: a room of the cut below a basin's level holds liquid if the run of the mould's net at its widest place
    belongs to that basin: walls thinner than a pixel are seen by the net.
    """
    turn = rotation_to_up(mould.up)
    back = mould.frame @ turn.T  # from the frame of the cut to that of the net, which is askew to it
    mesh = turned(mould.room.mesh, back.T)
    at_y = float((_middle(mould) @ back)[1])
    grid = _grid(mesh, at_y, pixels)
    winding = winding_on_grid(column_crossings(mesh, grid.axis(0), grid.axis(1)), grid)
    solid = winding[:, 0, :].T > 0
    liquid = np.zeros_like(solid)
    for basin in mould.basins:
        below = ~solid & (grid.axis(2)[:, None] <= -basin.level_mm - drop_mm)
        for room, widest in _rooms(below):
            place = np.array([grid.axis(0)[widest[1]], at_y, grid.axis(2)[widest[0]]])
            if basin.runs[mould.room.space.nearest_run(back @ place)]:
                liquid |= room
    return MouldCut(grid.axis(0), grid.axis(2), solid, liquid, at_y, turn)


def _middle(mould: StandingMould) -> Floats:
    """The middle of the largest basin, in the frame of the net."""
    lows, highs = (ends[mould.basins[0].runs] for ends in mould.room.space.run_points())
    lengths = np.linalg.norm(highs - lows, axis=1)
    return np.asarray(np.average((lows + highs) / 2, axis=0, weights=lengths))


def _grid(mesh: Mesh, at_y: float, pixels: int) -> Grid:
    """A grid of one layer that reaches a little past *mesh*."""
    step = float(np.ptp(mesh.bounds[:, 0])) / pixels
    high = max(1, int(np.ceil(float(np.ptp(mesh.bounds[:, 2])) / step)))
    left, _, bottom = mesh.bounds[0].astype(np.float64) + step * (0.5 - MARGIN_CELLS)
    shape = (pixels + 2 * MARGIN_CELLS, 1, high + 2 * MARGIN_CELLS)
    return Grid((float(left), at_y, float(bottom)), step, shape)


def _rooms(below: Mask) -> Iterator[tuple[Mask, tuple[int, int]]]:
    """Every connected part of *below* with the cell of it that lies farthest from its walls."""
    labels, _ = label(below)
    away = distance_transform_edt(below)
    for number, box in enumerate(find_objects(labels), start=1):
        room = labels == number
        if np.count_nonzero(room[box]) >= LEAST_ROOM_CELLS:
            row, column = np.unravel_index(int(np.where(room, away, -1.0).argmax()), room.shape)
            yield room, (int(row), int(column))

"""Large inner rooms that hang on narrow holes: the sign of a hollow master whose drain holes ought to be plugged.

Lengths in mm, volumes in mm³.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.mesh import Floats, Mesh

LEAST_SHARE = 0.01  # of the solid's volume: a smaller room is not worth a word
ROOM_TO_HOLE = 2.0  # a room less than this many times as wide as its way in is a hollow of the shape, not a room
LOOKED_AT_CELLS = 250_000  # a hand-sized part in steps of a millimetre
STEPS = 6  # halvings of the bracket around a hole's width


@dataclass(frozen=True, slots=True)
class HiddenRoom:
    """An empty room inside. ``hole_mm`` is the width of the widest way in, 0 if sealed or narrower than the grid sees;
    ``width_mm`` that of the largest ball in the room."""

    volume_mm3: float
    hole_mm: float
    width_mm: float
    at_mm: tuple[float, float, float]


def drained_rooms(mesh: Mesh, volume_mm3: float) -> tuple[HiddenRoom, ...]:
    """The hidden rooms of a closed *mesh* of *volume_mm3*, on a grid just fine enough to raise the question."""
    box = float(np.prod(np.maximum(mesh.size_mm, 1e-9)))
    points = int(np.clip(LOOKED_AT_CELLS * volume_mm3 / box, 1_000, LOOKED_AT_CELLS))
    return hidden_rooms(DistanceField.of(mesh, interior_points=points, volume_mm3=volume_mm3))


def hidden_rooms(field: DistanceField) -> tuple[HiddenRoom, ...]:
    """The rooms of at least 1 % of the solid's volume whose widest way out is at most half as wide as they are.

    Method: balls of growing size are let in from outside; a room is what is joined to the outside for a small ball and
    not for a larger one.
    Error: widths to about a cell, volumes to a cell's thickness of their skin.
    """
    away = _away(field)
    found: list[HiddenRoom] = []
    taken = np.zeros(away.shape, dtype=np.bool_)
    for radius in _radii(away, field.grid.spacing_mm):
        parts, outer = _parts(away, radius)
        for part in np.unique(parts[(parts > outer) & ~taken]):
            room = _room(field, away, parts == part, radius)
            if room is not None:
                found.append(room)
            taken |= parts == part
    return tuple(sorted(found, key=lambda room: -room.volume_mm3))


def _away(field: DistanceField) -> Floats:
    """(nx, ny, nz) distance outside, by cells where the field did not look."""
    outside = field.depth_mm <= 0
    cells = ndimage.distance_transform_edt(outside) - 0.5
    measured = field.lattice.row >= 0
    return np.asarray(np.where(outside, np.where(measured, -field.depth_mm, cells * field.grid.spacing_mm), 0.0))


def _radii(away: Floats, spacing_mm: float) -> Floats:
    """Growing radii of the balls let in, up to half the widest place that could be a room."""
    largest = float(away.max()) / ROOM_TO_HOLE
    return np.concatenate([[1e-9], np.geomspace(spacing_mm, max(largest, spacing_mm), 12)])


def _parts(away: Floats, radius: float) -> tuple[NDArray[np.int32], int]:
    # Beyond the grid all is open, so a hollow that ends at its border is none.
    open_ = np.pad(away >= radius, 1, constant_values=True)
    parts = ndimage.label(open_)[0][1:-1, 1:-1, 1:-1]
    return parts, 1


def _room(field: DistanceField, away: Floats, core: NDArray[np.bool_], radius: float) -> HiddenRoom | None:
    """The room around *core*, which a ball of *radius* cannot leave, or None if it is too small or too open."""
    half_width = float(away[core].max())
    deepest = ndimage.maximum_position(away, core)
    half_hole = _half_hole(away, tuple(int(i) for i in deepest), radius)
    volume = _volume_around(field, away, core, radius)
    if half_width < ROOM_TO_HOLE * half_hole or volume < LEAST_SHARE * field.solid_mm3:
        return None
    x, y, z = (o + int(i) * field.grid.spacing_mm for o, i in zip(field.grid.origin_mm, deepest, strict=True))
    return HiddenRoom(volume, 2 * float(half_hole), 2 * half_width, (x, y, z))


def _half_hole(away: Floats, at: tuple[int, ...], closed: float) -> float:
    """The largest radius with which a ball still gets from *at* to the outside, below *closed* at which it does not."""
    open_, parts = 0.0, _parts(away, 1e-9)
    if parts[0][at] != parts[1]:
        return 0.0
    for _ in range(STEPS):
        middle = (open_ + closed) / 2
        labels, outer = _parts(away, middle)
        open_, closed = (middle, closed) if labels[at] == outer else (open_, middle)
    return open_


def _volume_around(field: DistanceField, away: Floats, core: NDArray[np.bool_], radius: float) -> float:
    near = ndimage.distance_transform_edt(~core) * field.grid.spacing_mm <= radius
    return float(np.count_nonzero(near & (away > 0))) * field.grid.cell_mm3

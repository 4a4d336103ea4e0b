"""How far liquid gets from the pour opening as the wall grows: which limb closes off, where, and at which wall.

Lengths in mm, volumes in mm³. The *reach* of a point is the widest way to it from the opening: the largest r such that
some path keeps at least r from the wall. Where reach is less than depth, a neck lies in between; once the wall is as
thick as half the neck it closes, and the pocket behind it keeps the wall it has.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.field.distance import DistanceField, Mask
from moldvol.geometry.field.level_set import estimate_beyond
from moldvol.geometry.field.neck import refined_neck
from moldvol.geometry.field.opening import Opening, first_room, other_seeds
from moldvol.geometry.field.shell import check_wall, shell_from
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.field.widest import Basins
from moldvol.geometry.grid import grown
from moldvol.geometry.mesh import Floats

LEAST_GAIN = 1.0  # cells; a ridge that slants through the grid ripples by up to 0.87 cell: less is no pocket
LEAST_GAIN_AT_ONCE = 0.25  # cells
LEAST_CELLS = 27  # nor is less than three cells each way
RIM_CELLS = 2  # cells around a pocket that its own wall cuts


@dataclass(frozen=True, slots=True)
class Pocket:
    """A part of the solid that liquid reaches only through a neck.

    ``closes_at_wall_mm`` is half the width of the neck, zero where the grid cannot see the passage; ``volume_mm3`` the
    empty volume shut in when it closes, with its error; ``deepest_mm`` the depth at the pocket's thickest place.
    """

    neck_at_mm: tuple[float, float, float]
    closes_at_wall_mm: float
    volume_mm3: float
    volume_error_mm3: float
    deepest_at_mm: tuple[float, float, float]
    deepest_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """The way in from an opening. ``pocket_of`` (nx, ny, nz) is the number, from 1, of the pocket a cell lies in, or 0;
    ``seed_at_mm`` the place inside from which liquid spreads; each of the ``bodies`` that do not touch has its own."""

    field: DistanceField
    seed_at_mm: tuple[float, float, float]
    pockets: tuple[Pocket, ...]
    pocket_of: NDArray[np.int32]
    bodies: int = 1

    @classmethod
    def of(cls, field: DistanceField, opening: Opening = None) -> Reach:
        """The reach from *opening*: "bottom", "top", a point, or by default the lowest flat face.

        Raises `RequestError` for an opening that is none of these.

        Method: the widest way to every cell from the first room behind the opening. Pockets less than one cell deeper
        than their neck, or of fewer than 27 cells, are ripples of the grid and left out; where nothing is narrower than
        the first room, whose width is known better than from the grid, a quarter of a cell is enough.
        """
        basins = Basins.of(field.depth_mm)
        room = first_room(field, opening)
        others = {cell: float(field.depth_mm[cell]) for cell in other_seeds(field, basins, room.cell)}
        way = basins.widest_way({room.cell: room.radius_mm, **others})
        pocket_of = np.zeros(field.grid.shape, dtype=np.int32)
        pockets: list[Pocket] = []
        for cells, reach, gain in _closed_rooms(basins, way):
            at_once = reach == room.radius_mm
            if gain < (LEAST_GAIN_AT_ONCE if at_once else LEAST_GAIN) * field.grid.spacing_mm:
                continue
            inside = basins.on_grid(cells)
            first = (room.radius_mm, room.middle_mm)
            width, place = first if at_once else min(first, refined_neck(field, inside, reach, room.middle_mm))
            pockets.append(_pocket(field, inside, width, place))
            pocket_of[inside] = len(pockets)
        return cls(field, room.middle_mm, tuple(pockets), pocket_of, 1 + len(others))

    def closed_off(self, wall_mm: float) -> tuple[Pocket, ...]:
        """The pockets whose neck closes before the wall is *wall_mm*, the first to close first."""
        check_wall(wall_mm)
        closed = (pocket for pocket in self.pockets if pocket.closes_at_wall_mm < wall_mm)
        return tuple(sorted(closed, key=lambda pocket: pocket.closes_at_wall_mm))

    def wall_everywhere(self, wall_mm: float) -> Floats | float:
        """The wall that each point gets when *wall_mm* is wanted: less in pockets that close before; (nx, ny, nz), or
        the wall itself where nothing closes."""
        wall = np.full(self.field.grid.shape, float(wall_mm))
        closing = [n for n, pocket in enumerate(self.pockets, 1) if pocket.closes_at_wall_mm < wall_mm]
        for number in closing:
            closes = self.pockets[number - 1].closes_at_wall_mm
            wall[_with_rim(self.field, self.pocket_of == number, closes)] = closes
        return wall if closing else wall_mm

    def shell_volume(self, wall_mm: float) -> Volume:
        """Volume of the shell when *wall_mm* is wanted and pockets stay at the wall at which they close."""
        check_wall(wall_mm)
        return shell_from(self.field, estimate_beyond(self.field.lattice, self.wall_everywhere(wall_mm)), wall_mm)


def closed_off(field: DistanceField, opening: Opening, wall_mm: float) -> tuple[Pocket, ...]:
    """The pockets that close before the wall is *wall_mm*, when liquid enters at *opening*."""
    return Reach.of(field, opening).closed_off(wall_mm)


def _closed_rooms(basins: Basins, way: Floats) -> Iterator[tuple[Mask, float, float]]:
    """The mask (m,) of each room's cells, how wide the way to it is and how much deeper the room; the largest first."""
    room = basins.rooms_behind(way)
    behind = np.flatnonzero(room >= 0)
    sizes = np.bincount(room[behind], minlength=1)
    gain = np.zeros(len(sizes))
    np.maximum.at(gain, room[behind], (basins.depth - way)[behind])
    large = np.flatnonzero(sizes >= LEAST_CELLS)
    for number in large[np.argsort(-sizes[large], kind="stable")]:
        cells = room == number
        yield cells, float(way[np.argmax(cells)]), float(gain[number])


def _pocket(field: DistanceField, inside: Mask, width: float, at: tuple[float, float, float]) -> Pocket:
    """The pocket *inside* (nx, ny, nz) behind a neck of half-width *width* *at* a place."""
    deepest = np.argmax(np.where(inside, field.depth_mm, 0.0))
    x, y, z = field.grid.points(np.array([deepest]))[0].tolist()
    level = np.where(_with_rim(field, inside, width), width, np.inf)
    shut_in = estimate_beyond(field.lattice, level).volume()
    return Pocket(at, width, shut_in.volume_mm3, shut_in.error_mm3, (x, y, z), float(field.depth_mm.flat[deepest]))


def _with_rim(field: DistanceField, inside: Mask, closes_at_wall_mm: float) -> Mask:
    """The pocket and the cells around that its wall cuts, but not what is deeper than the neck on its other side."""
    return inside | (grown(inside, RIM_CELLS) & (field.depth_mm <= closes_at_wall_mm))

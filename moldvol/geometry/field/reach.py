"""How far liquid gets from the pour opening as the wall grows: which limb closes off, where, and at which wall.

Lengths in mm, volumes in mm³. The *reach* of a point is the widest way to it from the opening: the largest r such that
some path keeps at least r from the wall. Where reach is less than depth, a neck lies in between; once the wall is as
thick as half the neck it closes, and the pocket behind it keeps the wall it has.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from moldvol.geometry.field.distance import DistanceField, Mask
from moldvol.geometry.field.level_set import estimate_beyond
from moldvol.geometry.field.neck import refined_neck
from moldvol.geometry.field.opening import Opening, first_room, other_seeds
from moldvol.geometry.field.shell import check_wall, shell_from
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.field.widest import Basins
from moldvol.geometry.mesh import Floats

LEAST_GAIN_CELLS = 1.0  # a ridge that slants through the grid ripples by up to 0.87 cell: less is no pocket
LEAST_CELLS = 27  # nor is less than three cells each way
RIM_CELLS = 2  # cells around a pocket that its own wall cuts
EVERY_WAY = np.ones((3, 3, 3), dtype=np.bool_)


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
    ``seed_at_mm`` the place inside from which liquid spreads."""

    field: DistanceField
    seed_at_mm: tuple[float, float, float]
    pockets: tuple[Pocket, ...]
    pocket_of: NDArray[np.int32]

    @classmethod
    def of(cls, field: DistanceField, opening: Opening = None) -> Reach:
        """The reach from *opening*: "bottom", "top", a point, or by default the lowest flat face.

        Raises `RequestError` for an opening that is none of these.

        Method: the widest way to every cell from the first room behind the opening. Pockets less than one cell deeper
        than their neck, or of fewer than 27 cells, are ripples of the grid and left out.
        """
        basins = Basins.of(field.depth_mm)
        room = first_room(field, opening)
        seed = room.cell
        widest = basins.widest_way([seed, *other_seeds(field, basins, seed)])
        pocket_of = np.zeros(field.grid.shape, dtype=np.int32)
        pockets: list[Pocket] = []
        for inside in _closed_regions(field, widest):
            reach = float(widest[inside][0])
            # Where nothing is narrower than the way in itself, its width is known better than from the grid.
            at_once = reach == field.depth_mm[seed]
            neck = (room.radius_mm, room.middle_mm) if at_once else refined_neck(field, inside, reach)
            pockets.append(_pocket(field, inside, *neck))
            pocket_of[inside] = len(pockets)
        return cls(field, room.middle_mm, tuple(pockets), pocket_of)

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
            pocket = self.pockets[number - 1]
            wall[_with_rim(self.field, self.pocket_of == number, pocket)] = pocket.closes_at_wall_mm
        return wall if closing else wall_mm

    def shell_volume(self, wall_mm: float) -> Volume:
        """Volume of the shell when *wall_mm* is wanted and pockets stay at the wall at which they close."""
        check_wall(wall_mm)
        return shell_from(self.field, estimate_beyond(self.field.lattice, self.wall_everywhere(wall_mm)), wall_mm)


def closed_off(field: DistanceField, opening: Opening, wall_mm: float) -> tuple[Pocket, ...]:
    """The pockets that close before the wall is *wall_mm*, when liquid enters at *opening*."""
    return Reach.of(field, opening).closed_off(wall_mm)


def _closed_regions(field: DistanceField, widest: Floats) -> list[Mask]:
    """One mask for each pocket that is more than a ripple, the largest first."""
    behind = field.depth_mm > np.maximum(widest, 0.0)
    reaches, which = np.unique(widest[behind], return_inverse=True)
    deepest = np.zeros(len(reaches))
    np.maximum.at(deepest, which, field.depth_mm[behind])
    least = LEAST_GAIN_CELLS * field.grid.spacing_mm
    regions = []
    for reach in reaches[deepest - reaches >= least]:
        parts, count = ndimage.label(behind & (widest == reach), structure=EVERY_WAY)
        regions += [parts == part for part in range(1, count + 1)]
    kept = [r for r in regions if r.sum() >= LEAST_CELLS and (field.depth_mm[r] - widest[r]).max() >= least]
    return sorted(kept, key=lambda region: -int(region.sum()))


def _pocket(field: DistanceField, inside: Mask, width: float, at: tuple[float, float, float]) -> Pocket:
    """The pocket *inside* (nx, ny, nz) behind a neck of half-width *width* *at* a place."""
    deepest = ndimage.maximum_position(field.depth_mm, inside)
    found = Pocket(at, width, 0.0, 0.0, _place(field, deepest), float(field.depth_mm[deepest]))
    level = np.where(_with_rim(field, inside, found), width, np.inf)
    shut_in = estimate_beyond(field.lattice, level).volume()
    return Pocket(at, width, shut_in.volume_mm3, shut_in.error_mm3, found.deepest_at_mm, found.deepest_mm)


def _with_rim(field: DistanceField, inside: Mask, pocket: Pocket) -> Mask:
    """The pocket and the cells around that its wall cuts, but not what is deeper than the neck on its other side."""
    near = ndimage.binary_dilation(inside, structure=EVERY_WAY, iterations=RIM_CELLS)
    return np.asarray(inside | (near & (field.depth_mm <= pocket.closes_at_wall_mm)))


def _place(field: DistanceField, cell: Sequence[int]) -> tuple[float, float, float]:
    x, y, z = (o + int(i) * field.grid.spacing_mm for o, i in zip(field.grid.origin_mm, cell, strict=True))
    return x, y, z

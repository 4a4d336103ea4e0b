"""Which way up a mould is best poured: every direction is one more height over the same three nets.

Volumes in mm³. The nets, one along each axis of a grid, are built once; each direction uses the one it runs along most.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from moldvol.geometry.grid import Grid, spacing_for
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.levels import LEAST_POCKET_MM3, StandingMould, trapped_air
from moldvol.geometry.moulding.open_space import OpenSpace
from moldvol.geometry.moulding.orientation import Vector, pour_directions, rotation_to_up, turned, unit_vector, vector
from moldvol.geometry.moulding.pockets import Exit, Pocket, find_pockets, parts_above
from moldvol.geometry.moulding.room import net_grid
from moldvol.geometry.triangles import measures

INTERIOR_POINTS = 700_000
NOISE_CELLS = 10.0  # a ridge askew to the grid is a chain of tops of a cell or two
STANDING_CELLS = 400_000  # of the whole box around a mould
LEAST_STANDING = 0.05  # of what the best way holds: a way that holds less is no choice
BEST = 3  # directions measured again from the triangles
ASKEW = rotation_to_up((0.28, 0.17, 0.94))  # so that the walls of a square part do not run along the nets


@dataclass(frozen=True, slots=True)
class RankedDirection:
    """A pour direction with the air it traps and the vents that would free it.

    ``held_volume_mm3`` is what an open mould holds that way, zero for a cavity. ``exact`` tells whether the triangles
    were asked, or the nets alone.
    """

    up: Vector
    trapped_air_mm3: float
    vents: int
    held_volume_mm3: float = 0.0
    exact: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Nets:
    """The nets of one room along the three axes of a grid, in a frame turned by ``rotation`` against the mesh's own."""

    rotation: Floats
    spaces: tuple[OpenSpace, OpenSpace, OpenSpace]

    @classmethod
    def inside(cls, mesh: Mesh, interior_points: int = INTERIOR_POINTS) -> Nets:
        """Nets of a cavity with about *interior_points* grid points in it."""
        standing = turned(mesh, ASKEW)
        volume = abs(measures(mesh).signed_volume_mm3)
        grid = Grid.over(standing.bounds, spacing_for(volume, interior_points, standing.bounds), layers=1)
        return cls._of(lambda axis: OpenSpace.inside(standing, grid, axis))

    @classmethod
    def outside(cls, mesh: Mesh, cells: int = STANDING_CELLS) -> Nets:
        """Nets of the room around a mould, on a grid of about *cells* cells."""
        standing = turned(mesh, ASKEW)
        grid = net_grid(standing, cells)
        return cls._of(lambda axis: OpenSpace.outside(standing, grid, axis))

    @classmethod
    def _of(cls, net: Callable[[int], OpenSpace]) -> Nets:
        return cls(ASKEW, (net(0), net(1), net(2)))

    def along(self, up: ArrayLike) -> tuple[OpenSpace, Floats]:
        """The net to use for the direction *up*, and that direction in the nets' frame."""
        direction = self.rotation @ unit_vector(up)
        return self.spaces[int(np.abs(direction).argmax())], direction


def rank_directions(
    mesh: Mesh,
    directions: ArrayLike | None = None,
    *,
    openings_mm: Sequence[ArrayLike] = (),
    smallest_mm3: float = LEAST_POCKET_MM3,
    interior_points: int = INTERIOR_POINTS,
) -> tuple[RankedDirection, ...]:
    """Pour directions for the cavity *mesh*, the best first: least trapped air, then fewest vents.

    *directions* (n, 3) are the 26 of `pour_directions` unless given; openings and pockets are those of `trapped_air`,
    which also gives the figures of the best three.

    Error: the nets alone are off by up to a spacing on the skin of a pocket, so directions whose air differs by less
    may change places.
    """
    nets = Nets.inside(mesh, interior_points)
    ranks = [_ranked_cavity(nets, up, openings_mm, smallest_mm3) for up in _listed(directions)]
    ranks.sort(key=lambda rank: _order(rank, smallest_mm3))
    best = [_exact_cavity(mesh, rank.up, openings_mm, smallest_mm3) for rank in ranks[:BEST]]
    return (*sorted(best, key=lambda rank: _order(rank, smallest_mm3)), *ranks[BEST:])


def rank_standings(
    mesh: Mesh,
    directions: ArrayLike | None = None,
    *,
    smallest_mm3: float = LEAST_POCKET_MM3,
    cells: int = STANDING_CELLS,
) -> tuple[RankedDirection, ...]:
    """Ways to stand the open mould *mesh* for the pour, the best first: most liquid held beside the air it traps.

    Ways that hold less than a twentieth of the best are listed by what they hold alone, without their air.
    """
    nets = Nets.outside(mesh, cells)
    standings = [(up, _rough_basins(nets, up)) for up in _listed(directions)]
    most = max(_volume(basins) for _, basins in standings)
    ranks = [_ranked_mould(nets, up, basins, smallest_mm3, LEAST_STANDING * most) for up, basins in standings]
    ranks.sort(key=lambda rank: _fill_order(rank, smallest_mm3))
    worthy = [rank.up for rank in ranks[:BEST] if rank.held_volume_mm3 > LEAST_STANDING * most]
    best = [_exact_mould(mesh, up, smallest_mm3) for up in worthy]
    return (*sorted(best, key=lambda rank: _fill_order(rank, smallest_mm3)), *ranks[len(best) :])


def held_roughly(nets: Nets, up: ArrayLike) -> float:
    """What the mould of *nets* holds with *up* to the ceiling, by the nets alone, mm³."""
    return _volume(_rough_basins(nets, up))


def _rough_basins(nets: Nets, up: ArrayLike) -> tuple[Pocket, ...]:
    space, direction = nets.along(up)
    return _pockets(space, -direction, 0.0)


def _volume(pockets: Sequence[Pocket]) -> float:
    return sum(pocket.volume_mm3 for pocket in pockets)


def _listed(directions: ArrayLike | None) -> Floats:
    return pour_directions() if directions is None else np.asarray(directions, dtype=np.float64).reshape(-1, 3)


def _order(rank: RankedDirection, smallest_mm3: float) -> tuple[int, int]:
    """Air to the nearest pocket that counts, then vents: a cubic millimetre less air is not worth a vent."""
    return round(rank.trapped_air_mm3 / max(smallest_mm3, 1e-9)), rank.vents


def _fill_order(rank: RankedDirection, smallest_mm3: float) -> tuple[int, int]:
    return -round((rank.held_volume_mm3 - rank.trapped_air_mm3) / max(smallest_mm3, 1e-9)), rank.vents


def _ranked_cavity(nets: Nets, up: Floats, openings_mm: Sequence[ArrayLike], smallest_mm3: float) -> RankedDirection:
    space, direction = nets.along(up)
    places = [nets.rotation @ np.asarray(point, dtype=np.float64) for point in openings_mm]
    exits = [(space.nearest_run(place), float(place @ direction)) for place in places]
    return _told(up, _pockets(space, direction, smallest_mm3, exits))


def _ranked_mould(
    nets: Nets, up: Floats, basins: Sequence[Pocket], smallest_mm3: float, least_mm3: float
) -> RankedDirection:
    held = _volume(basins)
    if held <= least_mm3:
        return RankedDirection(vector(up), 0.0, 0, held)
    space, direction = nets.along(up)
    wet = np.zeros(len(space.line), dtype=np.bool_)
    for basin in basins:
        parts = parts_above(space, -direction, basin.pass_height_mm)
        wet |= (parts == parts[basin.peak]) & (space.run_heights(direction)[1] < -basin.pass_height_mm)
    pockets = _pockets(space, direction, smallest_mm3)
    return replace(_told(up, [pocket for pocket in pockets if wet[pocket.peak]]), held_volume_mm3=held)


def _pockets(
    space: OpenSpace, direction: Floats, smallest_mm3: float, exits: Sequence[Exit] = ()
) -> tuple[Pocket, ...]:
    """Pockets beyond the grain of the net: a level ceiling askew to its runs has dips of less than one spacing."""
    least = max(smallest_mm3, NOISE_CELLS * space.grid.cell_mm3)
    return find_pockets(space, direction, exits=exits, smallest_mm3=least, shallowest_mm=space.grid.spacing_mm)


def _told(up: Floats, pockets: Sequence[Pocket]) -> RankedDirection:
    air = sum(pocket.volume_mm3 for pocket in pockets)
    return RankedDirection(vector(up), air, sum(1 for pocket in pockets for _ in pocket.all_tops()))


def _exact_cavity(mesh: Mesh, up: Vector, openings_mm: Sequence[ArrayLike], smallest_mm3: float) -> RankedDirection:
    air = trapped_air(mesh, up, openings_mm=openings_mm, smallest_mm3=smallest_mm3)
    return RankedDirection(up, air.volume_mm3, len(air.pockets), exact=True)


def _exact_mould(mesh: Mesh, up: Vector, smallest_mm3: float) -> RankedDirection:
    mould = StandingMould.of(mesh, up)
    held, air = mould.held(), mould.air(smallest_mm3)
    return RankedDirection(up, air.volume_mm3, len(air.pockets), held.volume_mm3, exact=True)

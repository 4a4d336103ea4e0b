"""What an open mould holds before it spills, and what air a mould keeps when it is filled.

Lengths in mm, areas in mm², volumes in mm³; *up* is the direction that points to the ceiling when the mould stands for
the pour. Both questions are one. Liquid rests below the lowest point of the way out; air is caught above the highest.
So held liquid is trapped air with the mould stood on its head, and both are found in two steps:

1. a net of runs (`open_space`) tells which parts of the room are cut off, and roughly where (`pockets`);
2. the triangles tell exactly how high the way out lies, and what volume is cut off there (`level_cuts`).

Both steps give a volume; how far apart they stand is the error that is stated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from moldvol.errors import RequestError
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.caught import Caught, caught_in, outermost_in, raised
from moldvol.geometry.moulding.open_space import OpenSpace
from moldvol.geometry.moulding.orientation import Vector, rotation_to_up, turned, unit_vector, vector
from moldvol.geometry.moulding.room import CELLS, Room, net_grid

RISING, SINKING = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
NET_TURN_RAD = 0.5  # no simple fraction of a turn
LEAST_BASIN_CELLS = 8.0  # less is the grain of the net
LEAST_BASIN_SHARE = 0.001  # of the largest basin: keys and scratches hold liquid too, but nobody pours them full
LEAST_POCKET_MM3 = 10.0  # a bubble of 2.7 mm across


@dataclass(frozen=True, slots=True)
class Basin:
    """A hollow that holds liquid.

    It is lowest at ``lowest_mm``, filled to ``level_mm`` (a height along *up*), and spills at ``spills_at_mm``, which
    lies ``drop_mm`` above that level. ``surface_mm2`` is the liquid's free surface.
    """

    lowest_mm: Vector
    spills_at_mm: Vector
    level_mm: float
    drop_mm: float
    volume_mm3: float
    volume_error_mm3: float
    surface_mm2: float


@dataclass(frozen=True, slots=True)
class HeldLiquid:
    """What all basins of a mould hold together, the largest first."""

    up: Vector
    volume_mm3: float
    volume_error_mm3: float
    basins: tuple[Basin, ...]


@dataclass(frozen=True, slots=True)
class AirPocket:
    """Air that cannot leave: its top at ``at_mm``, where a vent belongs, and its depth below the top."""

    at_mm: Vector
    depth_mm: float
    volume_mm3: float
    volume_error_mm3: float


@dataclass(frozen=True, slots=True)
class TrappedAir:
    """All pockets of at least ``smallest_mm3`` under one pour direction, largest first."""

    up: Vector
    volume_mm3: float
    volume_error_mm3: float
    pockets: tuple[AirPocket, ...]
    smallest_mm3: float


@dataclass(frozen=True, slots=True, eq=False)
class StandingMould:
    """An open mould in its pour pose, asked for what it holds and for the air it keeps."""

    up: Vector
    frame: Floats
    room: Room
    basins: tuple[Caught, ...]

    @classmethod
    def of(cls, mesh: Mesh, up: ArrayLike = (0, 0, 1), *, cells: int = CELLS) -> StandingMould:
        """The mould *mesh* with *up* pointing to the ceiling, on a net over about *cells* cells."""
        frame = _frame(up)
        standing = turned(mesh, frame)
        space = OpenSpace.outside(standing, net_grid(standing, cells))
        room = Room.of(standing, space, SINKING)
        basins = outermost_in(room, smallest_mm3=LEAST_BASIN_CELLS * space.grid.cell_mm3)
        least = LEAST_BASIN_SHARE * max((basin.volume_mm3 for basin in basins), default=0.0)
        return cls(vector(unit_vector(up)), frame, room, tuple(b for b in basins if b.volume_mm3 >= least))

    def held(self, drop_mm: float = 0.0) -> HeldLiquid:
        """What the mould holds when filled to *drop_mm* below the level at which it spills; see `held_liquid`."""
        if not drop_mm >= 0:
            raise RequestError(f"{drop_mm:g} mm below the rim is above it; give a drop of 0 mm or more.")
        basins = [_basin(raised(self.room, caught, drop_mm), self.frame, drop_mm) for caught in self.basins]
        filled = tuple(basin for basin in basins if basin.volume_mm3 > 0)
        if basins and not filled:
            raise RequestError(f"{drop_mm:g} mm below the rim is below the floor of the mould; give a smaller drop.")
        volume, error = sum(b.volume_mm3 for b in filled), sum(b.volume_error_mm3 for b in filled)
        return HeldLiquid(self.up, volume, error, filled)

    def air(self, smallest_mm3: float = LEAST_POCKET_MM3) -> TrappedAir:
        """The air that stays when the mould is filled until it spills: pockets under overhangs of its basins."""
        pockets = caught_in(self.room.turned_over(), smallest_mm3=smallest_mm3)
        wet = [pocket for pocket in pockets if any(_within(pocket, basin) for basin in self.basins)]
        return _trapped(self.up, wet, self.frame, smallest_mm3)


def held_liquid(mesh: Mesh, up: ArrayLike = (0, 0, 1), *, drop_mm: float = 0.0, cells: int = CELLS) -> HeldLiquid:
    """What the mould *mesh* holds when filled to *drop_mm* below the level at which it spills.

    A basin that shares its spill level with others inside it counts once, with theirs. Hollows of less than a
    thousandth of the largest basin are left out, and so are sealed voids, which nothing can be poured into.

    Raises `RequestError` for a *drop_mm* below zero or deeper than every basin.

    Method: the spill level is the lowest pass on any way to the outside (grey-scale reconstruction by erosion: L.
    Vincent, IEEE Trans. Image Process. 2 (1993) 176), looked for along runs instead of cells, then read from the
    vertices.
    Error: rounding where the two ways agree; the stated error is how far apart they stand. Openings narrower than the
    spacing of the net are not seen.
    """
    return StandingMould.of(mesh, up, cells=cells).held(drop_mm)


def trapped_air(
    mesh: Mesh,
    up: ArrayLike = (0, 0, 1),
    *,
    openings_mm: Sequence[ArrayLike] = (),
    smallest_mm3: float = LEAST_POCKET_MM3,
    cells: int = CELLS,
) -> TrappedAir:
    """The air that stays in the cavity *mesh*, the inside of the part to be cast, when resin rises in it.

    Resin fills the cavity from below, or runs down through the pour opening; air can leave only upwards, through an
    opening. *openings_mm* are the points of the sprue and of any vents; without them the highest place of the cavity is
    taken for the sprue. Every other local top of the cavity keeps the air above the highest level at which that air
    could still have gone over to an opening: that is its pocket, and its top is where a vent belongs. A pocket inside
    another is counted by itself, so the volumes add up, and a vent at every top leaves none. Air above an opening that
    is not the highest place is a pocket too. The pressure of the resin, which squeezes pockets by a few per cent, is
    left out.

    Pockets of less than *smallest_mm3* are left out.
    """
    frame = _frame(up)
    standing = turned(mesh, frame)
    room = Room.of(standing, OpenSpace.inside(standing, net_grid(standing, cells)), RISING)
    openings = [frame @ np.asarray(point, dtype=np.float64) for point in openings_mm]
    found = caught_in(room, openings_mm=openings, smallest_mm3=smallest_mm3)
    return _trapped(up, found, frame, smallest_mm3)


def _frame(up: ArrayLike) -> Floats:
    """Rotation that stands the mould upright, turned a little so that its walls do not run along the net.

    A wall in step with the lines is hit by a whole row of them or by none.
    """
    cos, sin = np.cos(NET_TURN_RAD), np.sin(NET_TURN_RAD)
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]]) @ rotation_to_up(up)


def _within(pocket: Caught, basin: Caught) -> bool:
    return bool(basin.runs[pocket.peak_run]) and pocket.top_height_mm <= -basin.level_mm


def _basin(caught: Caught, frame: Floats, drop_mm: float) -> Basin:
    """What is *caught* in the mould on its head, told the right way up."""
    return Basin(
        lowest_mm=vector(np.asarray(caught.top_mm) @ frame),
        spills_at_mm=vector(np.asarray(caught.leaves_at_mm) @ frame),
        level_mm=-caught.level_mm,
        drop_mm=drop_mm,
        volume_mm3=caught.volume_mm3,
        volume_error_mm3=caught.volume_error_mm3,
        surface_mm2=caught.area_mm2,
    )


def _trapped(up: ArrayLike, found: Sequence[Caught], frame: Floats, smallest_mm3: float) -> TrappedAir:
    tops = [top for caught in found for top in caught.all_tops()]
    pockets = sorted((_pocket(top, frame) for top in tops), key=lambda pocket: -pocket.volume_mm3)
    kept = tuple(pocket for pocket in pockets if pocket.volume_mm3 >= smallest_mm3)
    return TrappedAir(
        up=vector(unit_vector(up)),
        volume_mm3=sum(pocket.volume_mm3 for pocket in kept),
        volume_error_mm3=sum(pocket.volume_error_mm3 for pocket in kept),
        pockets=kept,
        smallest_mm3=smallest_mm3,
    )


def _pocket(caught: Caught, frame: Floats) -> AirPocket:
    return AirPocket(
        at_mm=vector(np.asarray(caught.top_mm) @ frame),
        depth_mm=caught.top_height_mm - caught.level_mm,
        volume_mm3=caught.own_mm3,
        volume_error_mm3=caught.volume_error_mm3,
    )

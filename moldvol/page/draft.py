"""Shells read off the curve of those that are known: the figures that follow a knob while it is being turned.

A shell worked out in full costs a few tenths of a second; between known walls the curve is so smooth that the grams
hardly differ. The full answer follows as soon as the knob rests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from moldvol.casting.hollow_part import HollowPart
from moldvol.geometry.field.inscribed import InscribedBall
from moldvol.geometry.field.shell import check_wall
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.mesh import Floats

CURVE_WALLS = 24
LEAST_KNOWN = 6  # walls from which a curve may be drawn
LEAST_WALL_CELLS = 0.5  # of the grid: thinner walls it does not see
ROUGH_DOUBT = 0.01  # of a shell counted cell by cell; see `rough_shell`


@dataclass(frozen=True)
class DraftPart(HollowPart):
    """A part that answers at once from what its *twin* has worked out so far; made by `draft_of`."""

    twin: HollowPart | None = None

    @property
    def thickest(self) -> InscribedBall:
        """The largest ball inside, found once for all drafts."""
        return self.twin.thickest if self.twin is not None else super().thickest

    def shell(self, wall_mm: float) -> Volume:
        """The resin in a wall of *wall_mm*, read off the curve between known walls, else counted roughly.

        Method: monotone cubic through the known shells (F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980)
        238). Error: what the chord between the neighbours would differ by, a tenth of it, beside theirs.
        """
        known = dict(self._shells)
        walls = np.array(sorted(known))
        if wall_mm in known:
            return known[wall_mm]
        if len(walls) < LEAST_KNOWN or wall_mm > walls[-1]:
            return rough_shell(self, wall_mm)
        at = np.concatenate([[0.0], walls])
        volumes = np.array([0.0, *(known[wall].volume_mm3 for wall in walls.tolist())])
        volume = float(PchipInterpolator(at, volumes)(wall_mm))
        chord = float(np.interp(wall_mm, at, volumes))
        errors = [0.0, *(known[wall].error_mm3 for wall in walls.tolist())]
        return Volume(volume, float(np.interp(wall_mm, at, errors)) + abs(volume - chord) / 10)

    def solid_share(self, wall_mm: float) -> float:
        """Share of the surface that comes out solid, between the nearest walls that are known."""
        known = dict(self._shares)
        walls = sorted(known)
        if not walls:
            return super().solid_share(wall_mm)
        return float(np.interp(wall_mm, walls, [known[wall] for wall in walls]))


def draft_of(body: HollowPart) -> DraftPart:
    """The twin of *body* that answers at once."""
    return DraftPart(body.solid, body.field, body.reach, body._shells, body._shares, body)


def rough_shell(body: HollowPart, wall_mm: float) -> Volume:
    """The resin in a wall of *wall_mm*, each cell counted by the depth of its centre alone.

    Raises `RequestError` if the wall is not a positive length.

    Error: within 1 % on ball, box and the sample meshes at walls of two cells and more (tests/page/test_part.py).
    """
    check_wall(wall_mm)
    solid = body.field.solid_mm3
    closing = [min(wall_mm, pocket.closes_at_wall_mm) for pocket in body.reach.pockets]
    walls = np.array([wall_mm, *closing])[body.reach.pocket_of] if min(closing, default=wall_mm) < wall_mm else wall_mm
    left = _cells_beyond(body, walls) / max(_cells_beyond(body, 0.0), 1.0)
    shell = solid * (1 - min(left, 1.0))
    return Volume(shell, ROUGH_DOUBT * shell)


def _cells_beyond(body: HollowPart, level_mm: float | Floats) -> float:
    """How many cells lie deeper than the level, those that it cuts by their share along their depth."""
    spacing = body.field.grid.spacing_mm
    return float(np.clip((body.field.depth_mm - level_mm) / spacing + 0.5, 0.0, 1.0).sum())


def knows_curve(body: HollowPart) -> bool:
    """Whether the shells at all walls of the curve are worked out."""
    return all(wall_mm in body._shells for wall_mm in curve_walls_mm(body))


def fill_curve(body: HollowPart, wanted: Callable[[], bool]) -> None:
    """Work out the shells of *body* at walls all over its depth, a rough curve first, as long as it is *wanted*."""
    for wall_mm in _coarse_to_fine(curve_walls_mm(body)):
        if not wanted():
            return
        body.shell(wall_mm)
        body.solid_share(wall_mm)


def curve_walls_mm(body: HollowPart) -> tuple[float, ...]:
    """The walls of the curve: closer together where they are thin, up to the deepest place."""
    deepest = float(body.field.depth_mm.max())
    least = LEAST_WALL_CELLS * body.field.grid.spacing_mm
    shares = (np.arange(1, CURVE_WALLS + 1) / CURVE_WALLS) ** 1.5
    return tuple(sorted({round(max(least, float(share) * deepest), 6) for share in shares}))


def _coarse_to_fine(walls: tuple[float, ...]) -> Iterator[float]:
    stride, seen = len(walls), set()
    while stride >= 1:
        for place in range(stride - 1, len(walls), stride):
            if walls[place] not in seen:
                seen.add(walls[place])
                yield walls[place]
        stride //= 2

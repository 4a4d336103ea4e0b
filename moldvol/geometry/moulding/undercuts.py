"""What a rigid mould could not let go: surface that is hidden along the way it is pulled.

Areas in mm², shares are fractions of one. *pull* is the direction in which a piece of mould is lifted off the part;
it comes free over a patch of surface if nothing of the part stands in the way from there, as light would fall along it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.orientation import Vector, pour_directions, unit_vector, vector
from moldvol.geometry.triangles import measures
from moldvol.geometry.wall.rays import RayCaster
from moldvol.geometry.wall.sampling import Skin

SAMPLES = 6000
UPRIGHT = float(np.sin(np.radians(0.5)))  # walls within half a degree of the pull have no draft, but come free
BASE_COSINE = 0.999  # faces this nearly square to the pull, at its foot, stand on the board
BASE_SHARE = 1e-3  # of the part's height: how far from its foot a base may reach
OFF_WALL = 2e-5  # of the box: rays along a wall start this far in front of it
LEAST_FACING = 0.02  # a wall met at a flatter angle is the one that the ray runs along

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Release:
    """How a one-part rigid mould comes off along ``pull``.

    ``undercut_share`` of the moulded surface holds it back, ``undercut_mm2`` in area; on ``undraughted_share`` it comes
    free but slides along the wall. ``base_share`` of the whole surface stands on the board and is not moulded.
    ``error_share`` is the standard error of sampling. ``worst_at_mm`` is a place in the midst of the undercuts.
    """

    pull: Vector
    undercut_share: float
    undercut_mm2: float
    undraughted_share: float
    base_share: float
    error_share: float
    worst_at_mm: Vector | None


@dataclass(frozen=True, slots=True)
class Split:
    """How two rigid halves come off, one along ``pull`` and one against it.

    ``undercut_share`` of the surface holds back whichever half it lies in. The flat parting that puts least surface
    into the wrong half lies at ``parting_mm``, a height along ``pull``, and leaves ``misplaced_share`` there.
    """

    pull: Vector
    undercut_share: float
    undercut_mm2: float
    error_share: float
    parting_mm: float
    misplaced_share: float


class Visibility:
    """A surface sampled by area, each place asked whether it is open in a direction."""

    def __init__(self, mesh: Mesh, samples: int = SAMPLES) -> None:
        skin = Skin(mesh)
        self.faces, self.points, self.normals = skin.sample(samples)
        self.area_mm2 = measures(mesh).area_mm2
        self._caster = RayCaster(mesh, skin.normals)
        self._fronts = self.points + OFF_WALL * float(mesh.size_mm.max()) * self.normals

    def hidden(self, pull: Floats) -> Flags:
        """(k,) whether the part itself lies over each sample in the direction *pull*, a unit vector."""
        hidden = self.normals @ pull < -UPRIGHT
        open_ = np.flatnonzero(~hidden)
        rays = np.broadcast_to(pull, (len(open_), 3))
        # Over a place that faces the pull, whatever the ray enters it must leave again.
        met = self._caster.exit_distances(
            self._fronts[open_], np.ascontiguousarray(rays), self.faces[open_], LEAST_FACING
        )
        hidden[open_] = np.isfinite(met)
        return np.asarray(hidden)

    def on_base(self, pull: Floats) -> Flags:
        """(k,) whether each sample lies on the flat foot that the part stands on when *pull* points up."""
        heights = self.points @ pull
        foot = float(heights.min()) + BASE_SHARE * float(np.ptp(heights))
        return np.asarray((heights <= foot) & (self.normals @ pull < -BASE_COSINE))


def release(mesh: Mesh, pull: ArrayLike) -> Release:
    """How a one-part rigid mould of the closed *mesh*, standing on its foot, comes off along *pull*.

    Method: rays from 6,000 places spread by area; the share of those hidden is the share of surface.
    Error: ``error_share``, 0.6 % of the surface at most.
    """
    return _release(Visibility(mesh), unit_vector(pull))


def release_of_faces(mesh: Mesh, pull: ArrayLike, faces: ArrayLike, samples: int = SAMPLES) -> Release | None:
    """As `release`, of the surface of *faces* (m,) of the mesh alone; None where they are too small to be sampled."""
    visibility = Visibility(mesh, samples)
    within = np.asarray(faces, dtype=np.bool_)[visibility.faces]
    return _release(visibility, unit_vector(pull), ~within) if within.any() else None


def best_releases(mesh: Mesh, directions: ArrayLike | None = None, count: int = 3) -> tuple[Release, ...]:
    """The *count* directions (of the 26, unless *directions* (n, 3) are given) along which least is undercut."""
    visibility = Visibility(mesh)
    pulls = pour_directions() if directions is None else np.asarray(directions, dtype=np.float64).reshape(-1, 3)
    found = [_release(visibility, unit_vector(pull)) for pull in pulls]
    return tuple(sorted(found, key=lambda each: each.undercut_share)[:count])


def best_split(mesh: Mesh, directions: ArrayLike | None = None) -> Split:
    """The direction along which two rigid halves leave least undercut, and where to part them.

    *directions* (n, 3) stand for themselves and their opposites; without them the 13 axes of a cube are tried.
    """
    visibility = Visibility(mesh)
    pulls = _half(pour_directions()) if directions is None else np.asarray(directions, dtype=np.float64).reshape(-1, 3)
    splits = [_split(visibility, unit_vector(pull)) for pull in pulls]
    return min(splits, key=lambda split: (round(split.undercut_share, 2), split.misplaced_share))


def _half(directions: Floats) -> Floats:
    """One of each pair of opposite directions: the one that points up, else the first way."""
    kept = [d for d in directions if tuple(d[::-1]) > (0.0, 0.0, 0.0)]
    return np.array(kept)


def _release(visibility: Visibility, pull: Floats, left_out: Flags | None = None) -> Release:
    """How what is not *left_out* (k,) comes off, all but the foot that stands on the board without it."""
    base = visibility.on_base(pull) if left_out is None else left_out
    moulded = ~base
    count = max(1, int(np.count_nonzero(moulded)))
    undercut = visibility.hidden(pull) & moulded
    sliding = (np.abs(visibility.normals @ pull) <= UPRIGHT) & moulded & ~undercut
    share = int(np.count_nonzero(undercut)) / count
    return Release(
        pull=vector(pull),
        undercut_share=share,
        undercut_mm2=float(np.mean(undercut)) * visibility.area_mm2,
        undraughted_share=int(np.count_nonzero(sliding)) / count,
        base_share=float(np.mean(base)),
        error_share=sqrt(share * (1 - share) / count),
        worst_at_mm=_midst(visibility.points[undercut]),
    )


def _midst(points: Floats) -> Vector | None:
    """The one of *points* nearest to their middle."""
    if not len(points):
        return None
    return vector(points[np.linalg.norm(points - points.mean(axis=0), axis=1).argmin()])


def _split(visibility: Visibility, pull: Floats) -> Split:
    over, under = visibility.hidden(pull), visibility.hidden(-pull)
    share = float(np.mean(over & under))
    level, misplaced = _parting(visibility.points @ pull, ~over & under, over & ~under)
    return Split(
        pull=vector(pull),
        undercut_share=share,
        undercut_mm2=share * visibility.area_mm2,
        error_share=sqrt(share * (1 - share) / len(over)),
        parting_mm=level,
        misplaced_share=misplaced,
    )


def _parting(heights: Floats, upper: Flags, lower: Flags) -> tuple[float, float]:
    """The level with least of *upper* below and of *lower* above it, and the share of all samples that is so."""
    order = np.argsort(heights)
    wrong = np.cumsum(np.append(0, upper[order])) + np.cumsum(np.append(0, lower[order][::-1]))[::-1]
    # Between the first and the last level that are equally good, the middle keeps both halves easiest to build.
    best = np.flatnonzero(wrong == wrong.min())
    rising = np.concatenate([heights[order[:1]], heights[order], heights[order[-1:]]])
    level = (rising[best[0]] + rising[best[-1] + 1]) / 2
    return float(level), float(wrong.min()) / len(heights)

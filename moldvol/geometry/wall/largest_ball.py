"""The largest ball that fits into a body: where it is thickest, and how thick.

Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from pykdtree.kdtree import KDTree

from moldvol.geometry.mesh import Floats
from moldvol.geometry.wall.rays import RayCaster
from moldvol.geometry.wall.sampling import SEED, Skin

SURFACE_POINTS = 20_000
# Walls that bound a ball are felt along the normals of this many of the nearest points.
FELT_WALLS = 4
# Balls grown at the longest rays and at an even spread of the others; so many of the largest are then moved about.
GROWN_BALLS = 400
MOVED_BALLS = 12
SHRINKING_ROUNDS = 30
MOVING_ROUNDS = 40
# A first step of this share of the radius; a ball that finds no better place tries half the step, down to the last.
FIRST_STEP, LAST_STEP = 0.4, 2e-4
# A ball counts as empty when the nearest of the sampled points lies this little inside it: rays measure after it.
SAMPLING_SLACK = 1e-2


@dataclass(frozen=True, slots=True, eq=False)
class Ball:
    """A ball inside a body that touches its walls."""

    centre: Floats
    diameter_mm: float


def largest_ball(skin: Skin, caster: RayCaster, points: Floats, normals: Floats, thickness: Floats) -> Ball:
    """The largest ball found inside the body under *skin*.

    *points* (k, 3) on the surface with outward *normals* (k, 3) and the *thickness* (k,) felt there tell where to look.

    Method: balls shrunk from the opposite wall until they are empty (Ma, Bae & Choi, The Visual Computer 28, 2012), the
    largest of them then moved about, as long as they find more room.
    Error: below 0.5 % on boxes, balls, cones, cylinders and tori (tests/geometry/wall/test_largest_ball.py); always
    from above where a ball rests on an edge that juts into the body, else from below.
    """
    room = _Room(skin, caster, points, normals)
    centres = room.shrunk(*_starts(points, normals, thickness))
    clear = room.clearance(centres)
    order = np.argsort(-clear, kind="stable")
    chosen = _apart(centres[order], clear[order])
    centres, clear = _moved_about(room, centres[order][chosen], clear[order][chosen])
    best = int(np.argmax(clear))
    return Ball(centres[best], 2 * float(clear[best]))


def _starts(points: Floats, normals: Floats, thickness: Floats) -> tuple[Floats, Floats, Floats]:
    """Where to grow balls: the longest rays of all, and an even spread, for a long thin part has its longest rays
    where it is thin."""
    longest = np.argsort(-thickness, kind="stable")
    spread = longest[:: max(1, len(longest) // GROWN_BALLS)]
    chosen = np.unique(np.concatenate([longest[: GROWN_BALLS // 2], spread]))
    return points[chosen], -normals[chosen], thickness[chosen] / 2


class _Room:
    """The space inside a body, asked for how far away its walls are."""

    def __init__(self, skin: Skin, caster: RayCaster, points: Floats, normals: Floats) -> None:
        _, more, facing = skin.sample(SURFACE_POINTS, SEED + 1)
        self._points, self._normals = np.concatenate([more, points]), np.concatenate([facing, normals])
        self._tree = KDTree(self._points)
        self._caster = caster

    def shrunk(self, touch: Floats, inward: Floats, radius: Floats) -> Floats:
        """Centres (k, 3) of balls that touch at *touch* and reach *inward*, shrunk until no surface point is inside."""
        shrinking = np.arange(len(touch))
        for _ in range(SHRINKING_ROUNDS):
            centre = touch[shrinking] + radius[shrinking, None] * inward[shrinking]
            distance, nearest = self._tree.query(centre)
            reach = self._points[nearest] - touch[shrinking]
            along = np.einsum("ij,ij->i", reach, inward[shrinking])
            shrinks = (distance < radius[shrinking] * (1 - SAMPLING_SLACK)) & (along > 0)
            if not shrinks.any():
                break
            squared = np.einsum("ij,ij->i", reach[shrinks], reach[shrinks])
            shrinking = shrinking[shrinks]
            radius[shrinking] = np.minimum(radius[shrinking], squared / np.maximum(2 * along[shrinks], 1e-300))
        return np.asarray(touch + radius[:, None] * inward)

    def clearance(self, centres: Floats) -> Floats:
        """(k,) distance from each of *centres* to the nearest wall.

        A point nearest on a smooth wall lies along the wall's normal, and the walls nearby have nearly the same one: so
        a ray each along the normals of the nearest known points finds it where the points alone are too far apart. A
        ray back from each feels the other side of a plate, all of whose nearest points may lie on one side.
        """
        distance, nearest = self._tree.query(centres, k=FELT_WALLS)
        normals = self._normals[nearest]
        directions = np.concatenate([normals, -normals], axis=1).reshape(-1, 3)
        faces = np.full(len(directions), -1, dtype=np.int64)
        along = self._caster.exit_distances(np.repeat(centres, 2 * FELT_WALLS, axis=0), directions, faces, 0.0)
        return np.asarray(np.fmin(distance.min(axis=1), np.fmin.reduce(along.reshape(-1, 2 * FELT_WALLS), axis=1)))


def _apart(centres: Floats, clear: Floats) -> list[int]:
    """Indices of the first *MOVED_BALLS* of *centres*, largest first, whose centres lie in none of those before."""
    chosen: list[int] = []
    for index, centre in enumerate(centres):
        if len(chosen) == MOVED_BALLS:
            break
        away = np.linalg.norm(centres[chosen] - centre, axis=1)
        if np.all(away > 0.5 * clear[chosen]):
            chosen.append(index)
    return chosen


def _moved_about(room: _Room, centres: Floats, clear: Floats) -> tuple[Floats, Floats]:
    """*centres* moved to where there is most room nearby, and the room there; no ball passes through a wall."""
    random = np.random.default_rng(SEED)
    step = np.full(len(centres), FIRST_STEP)
    for _ in range(MOVING_ROUNDS):
        ways = _directions(random)
        # A step stays within the empty ball, so that it cannot end behind a wall.
        tried = centres[:, None] + (step * clear)[:, None, None] * ways
        found = room.clearance(tried.reshape(-1, 3)).reshape(len(centres), -1)
        best = np.argmax(found, axis=1)
        row = np.arange(len(centres))
        better = found[row, best] > clear * (1 + 1e-9)
        centres = np.where(better[:, None], tried[row, best], centres)
        clear = np.where(better, found[row, best], clear)
        step = np.where(better, step, step / 2)
        # Balls that have come together are one.
        order = np.argsort(-clear, kind="stable")
        kept = order[_apart(centres[order], clear[order])]
        centres, clear, step = centres[kept], clear[kept], step[kept]
        if (step < LAST_STEP).all():
            break
    return centres, clear


def _directions(random: np.random.Generator) -> Floats:
    """(14, 3) unit vectors to the faces and corners of a cube that is turned anew each time: ridges run any way."""
    axes = np.linalg.qr(random.normal(size=(3, 3)))[0]
    corners = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) / np.sqrt(3)
    return np.concatenate([axes, -axes, corners @ axes])

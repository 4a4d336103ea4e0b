"""Signed depths of bodies with a formula, as a distance field would give them: positive inside, in mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial.transform import Rotation

from moldvol.casting.heat.depth import PartDepth

Depth = Callable[[np.ndarray], np.ndarray]


def ball_depth(radius_mm: float, points: int = 60_000) -> PartDepth:
    """A ball about the origin."""
    return _sampled(lambda at: radius_mm - np.linalg.norm(at, axis=-1), radius_mm, 4.19 * radius_mm**3 / points)


def waisted_depth(radius_mm: float, apart_mm: float, points: int = 60_000) -> PartDepth:
    """Two balls along z, their centres *apart_mm*: round their waist the mould is a wedge with resin on both sides."""
    up = np.array([0.0, 0.0, apart_mm / 2])

    def depth(at: np.ndarray) -> np.ndarray:
        return radius_mm - np.minimum(np.linalg.norm(at - up, axis=-1), np.linalg.norm(at + up, axis=-1))

    return _sampled(depth, radius_mm + apart_mm / 2, 8.38 * radius_mm**3 / points)


def box_depth(
    size_mm: tuple[float, float, float], points: int = 60_000, turn: int | None = None, reach_mm: float = np.inf
) -> PartDepth:
    """A box about the origin, turned at random with the seed *turn*; beyond *reach_mm* outside nothing is known."""
    half = np.asarray(size_mm) / 2
    rotation = np.eye(3) if turn is None else Rotation.random(random_state=turn).as_matrix()

    def depth(at: np.ndarray) -> np.ndarray:
        beyond = np.abs(at @ rotation) - half
        inside = np.minimum(beyond.max(axis=-1), 0.0)
        found = -(np.linalg.norm(np.maximum(beyond, 0.0), axis=-1) + inside)
        return np.where(found < -reach_mm, -np.inf, found)

    corner = np.linalg.norm(half) if turn is not None else half.max()
    return _sampled(depth, float(corner), float(np.prod(size_mm)) / points)


def _sampled(depth: Depth, half_mm: float, cell_mm3: float) -> PartDepth:
    spacing = cell_mm3 ** (1 / 3)
    count = int(half_mm / spacing) + 2
    axis = np.arange(-count, count + 1) * spacing
    at = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1)
    return PartDepth((axis[0], axis[0], axis[0]), spacing, depth(at))

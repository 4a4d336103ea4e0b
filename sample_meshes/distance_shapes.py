"""Shapes as signed distance functions: how far each point lies outside (+) or inside (−) a shape, in mm.

Every function takes points (n, 3) and returns (n,) distances, exact or a close bound near the surface, which is all
that meshing needs. Shapes are put together with `blend`, `join`, `carve` and `keep`; a soft edge is *soft* mm wide.
Formulas are the common ones for rounded primitives; letters follow them: p points, a and b ends, t place along.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

TINY = 1e-9  # keeps divisions finite at a centre, where no surface is


def mirrored(p: Floats) -> Floats:
    """The points folded onto the half x ≥ 0: what is modelled on the right also appears on the left."""
    folded = p.copy()
    folded[:, 0] = np.abs(folded[:, 0])
    return folded


def turned(p: Floats, axis: str, degrees: float, about: ArrayLike = (0, 0, 0)) -> Floats:
    """The points seen from a frame turned by *degrees* about *axis* through *about*, with the origin moved there."""
    first, second = {"x": (1, 2), "y": (2, 0), "z": (0, 1)}[axis]
    local = p - np.asarray(about, dtype=float)
    cosine, sine = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    turned_points = local.copy()
    turned_points[:, first] = cosine * local[:, first] + sine * local[:, second]
    turned_points[:, second] = cosine * local[:, second] - sine * local[:, first]
    return turned_points


# ---- primitives ---------------------------------------------------------------------------------------------------


def ball(p: Floats, centre: ArrayLike, radius: float) -> Floats:
    return np.linalg.norm(p - np.asarray(centre, dtype=float), axis=1) - radius


def ellipsoid(p: Floats, centre: ArrayLike, radii: ArrayLike) -> Floats:
    """Right to first order at the surface; elsewhere a bound."""
    local, r = p - np.asarray(centre, dtype=float), np.asarray(radii, dtype=float)
    near = np.linalg.norm(local / r, axis=1)
    return near * (near - 1) / np.maximum(np.linalg.norm(local / r**2, axis=1), TINY)


def limb(p: Floats, a: ArrayLike, b: ArrayLike, radius_a: float, radius_b: float) -> Floats:
    """A round stick from a to b whose radius runs from one value to the other."""
    start, along = np.asarray(a, dtype=float), np.asarray(b, dtype=float) - np.asarray(a, dtype=float)
    local, length2 = p - start, max(along @ along, TINY)
    reach = local @ along
    t = np.clip(reach / length2, 0, 1)
    away2 = np.einsum("ij,ij->i", local, local) + t * (t * length2 - 2 * reach)  # |local − t along|², the costly step
    return np.sqrt(np.maximum(away2, 0)) - (radius_a + t * (radius_b - radius_a))


def strand(p: Floats, points: Sequence[ArrayLike], radii: Sequence[float], soft: float = 0.0) -> Floats:
    """A chain of limbs through *points*: fingers, claws, scrolls."""
    parts = [limb(p, a, b, ra, rb) for a, b, ra, rb in zip(points[:-1], points[1:], radii[:-1], radii[1:], strict=True)]
    return blend(*parts, soft=soft)


def block(p: Floats, centre: ArrayLike, half_sizes: ArrayLike, rounding: float = 0.0) -> Floats:
    """A box with rounded edges; *half_sizes* include the rounding."""
    q = np.abs(p - np.asarray(centre, dtype=float)) - (np.asarray(half_sizes, dtype=float) - rounding)
    return np.linalg.norm(np.maximum(q, 0), axis=1) + np.minimum(q.max(axis=1), 0) - rounding


def extruded(outline: Floats, height: Floats, rounding: float = 0.0) -> Floats:
    """Where a flat shape (its *outline* distance) meets a slab (its *height* distance), edges rounded."""
    q = np.stack([outline, height], axis=1) + rounding
    return np.linalg.norm(np.maximum(q, 0), axis=1) + np.minimum(q.max(axis=1), 0) - rounding


def slab(z: Floats, low: float, high: float) -> Floats:
    return np.abs(z - (low + high) / 2) - (high - low) / 2


def disc(p: Floats, radius: float, low: float, high: float, rounding: float = 0.0) -> Floats:
    """A rounded cylinder about the z axis between two heights."""
    return extruded(np.hypot(p[:, 0], p[:, 1]) - radius, slab(p[:, 2], low, high), rounding)


def ring(p: Floats, radius: float, thickness: float, height: float = 0.0) -> Floats:
    """A torus about the z axis; *thickness* is the radius of its wire."""
    return np.hypot(np.hypot(p[:, 0], p[:, 1]) - radius, p[:, 2] - height) - thickness


def star(x: Floats, y: Floats, radius: float, inner: float, points: int = 5) -> Floats:
    """A flat star with a tip along +y, by the distance to its slanted sides."""
    step = np.pi / points
    angle = np.abs((np.arctan2(x, y) + step) % (2 * step) - step)
    r = np.hypot(x, y)
    tip, notch = np.array([0.0, radius]), inner * np.array([np.sin(step), np.cos(step)])
    side = (notch - tip) / np.linalg.norm(notch - tip)
    return (r * np.sin(angle) - tip[0]) * -side[1] + (r * np.cos(angle) - tip[1]) * side[0]


# ---- putting together ---------------------------------------------------------------------------------------------


def join(*parts: Floats) -> Floats:
    return np.minimum.reduce(parts)


def blend(*parts: Floats, soft: float) -> Floats:
    """The union with a fillet of width *soft*."""
    whole = parts[0]
    for part in parts[1:]:
        whole = _soft_minimum(whole, part, soft)
    return whole


def carve(whole: Floats, tool: Floats, soft: float = 0.0) -> Floats:
    """*whole* without *tool*."""
    return -_soft_minimum(-whole, tool, soft)


def keep(whole: Floats, within: Floats, soft: float = 0.0) -> Floats:
    """What both have in common."""
    return -_soft_minimum(-whole, -within, soft)


def _soft_minimum(a: Floats, b: Floats, soft: float) -> Floats:
    if soft <= 0:
        return np.minimum(a, b)
    overlap = np.maximum(soft - np.abs(a - b), 0) / soft
    return np.minimum(a, b) - overlap**2 * soft / 4


# ---- relief -------------------------------------------------------------------------------------------------------


def fade(value: Floats, start: float, end: float) -> Floats:
    """0 before *start*, 1 after *end*, smooth between; *end* may lie below *start*."""
    t = np.clip((value - start) / (end - start), 0, 1)
    return t * t * (3 - 2 * t)


def feathers(across: Floats, down: Floats, width: float, length: float) -> Floats:
    """Height 0 to 1 of rows of overlapping feathers, tips along *down*, each row staggered by half a feather."""
    row = np.floor(down / length)
    return np.maximum(
        _feather_row(across, down, row, width, length), _feather_row(across, down, row - 1, width, length)
    )


def _feather_row(across: Floats, down: Floats, row: Floats, width: float, length: float) -> Floats:
    stagger = 0.5 * (row % 2)
    side = across - width * (np.round(across / width - stagger) + stagger)
    half, reach = 0.56 * width, 1.55 * length
    along = down - row * length
    round_tip = half - np.hypot(side, np.maximum(along - (reach - half), 0))  # distance to the feather's edge
    slope = 0.25 + 0.75 * np.clip(along / reach, 0, 1)
    quill = 0.22 * np.exp(-((side / (0.11 * width)) ** 2)) * (along < reach - 0.4 * half)
    return fade(round_tip, 0, 0.2 * width) * (slope - quill)

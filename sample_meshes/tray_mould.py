"""An open tray mould for a round plaque: the moon in profile among stars, in a corded rim.

mm; the block's top is z = 0 and the cavity opens upward: what stands out of the plaque lies deep in the tray.
"""

from __future__ import annotations

import numpy as np

from sample_meshes.distance_shapes import Floats, blend, block, carve, fade, join, slab, star, strand

LOW, HIGH = (-50.13, -50.13, -24.13), (50.0, 50.0, 4.0)  # beside the round numbers where faces lie
PLAQUE_RADIUS, GROUND_DEPTH = 39.0, 5.0  # mm; the plaque is 5 mm thick where nothing stands out
STEEPEST = 0.55  # heights are turned into distances as if no slope were steeper than about 60 degrees


def tray_mould(p: Floats) -> Floats:
    outside = block(p, (0, 0, -10), (46, 46, 10), rounding=2.5)
    skirt = block(p, (0, 0, -17.5), (48, 48, 2.5), rounding=1.0)
    return carve(blend(outside, skirt, soft=2), _cavity(p), soft=0.6)


def _cavity(p: Floats) -> Floats:
    """The plaque lying on its face, its side drawn in by 6 degrees so that it comes out."""
    x, y, z = p.T
    r = np.hypot(x, y)
    floor = -(GROUND_DEPTH + _relief(x, y, r))
    side = r - (PLAQUE_RADIUS + 0.1 * z)
    return np.maximum(np.maximum(STEEPEST * (floor - z), side), slab(z, -20, 6))


def _relief(x: Floats, y: Floats, r: Floats) -> Floats:
    """Height above the plaque's ground, mm."""
    angle = np.arctan2(y, x)
    cord = 3.0 * np.cos(np.pi / 2 * np.clip((r - 34.6) / 3.4, -1, 1)) * (1 + 0.13 * np.cos(44 * angle + 1.3 * r))
    rays = 0.5 * np.cos(28 * angle + 1.2 * np.sin(0.35 * r)) * fade(r, 9, 16) * fade(r, 32, 29)
    stars = [
        np.clip(-0.75 * star(x - cx, y - cy, size, 0.42 * size), 0, 3.2)
        for cx, cy, size in (
            (16.5, 13.5, 9.0),
            (21.5, -6.5, 6.0),
            (12.0, -19.5, 6.5),
            (4.5, 22.0, 5.2),
            (9.0, 2.0, 4.2),
        )
    ]
    return np.maximum.reduce([cord, rays, _moon(x, y), *stars])


def _moon(x: Floats, y: Floats) -> Floats:
    outline = _moon_outline(x, y)
    height = 5.6 * (1 - (1 - np.clip(-outline / 8.5, 0, 1)) ** 2)
    lid = 1.5 * np.sqrt(np.clip(1 - ((x + 12.2) / 3.6) ** 2 - ((y - 5.6) / 2.3) ** 2, 0, 1))
    lashes = -1.1 * np.exp(-(((y - 4.2 + 0.07 * (x + 12.2) ** 2) / 0.7) ** 2)) * fade(np.abs(x + 12), 4.6, 3.6)
    brow = 1.0 * _stroke(x, y, [(-17.5, 8.5), (-13, 11), (-8.6, 10.2)], 1.3)
    mouth = -1.5 * _stroke(x, y, [(-5.2, -8.6), (-8.5, -9.2), (-11.0, -7.4)], 0.8)
    nostril = -0.9 * _stroke(x, y, [(-6.6, -2.2), (-7.8, -1.0), (-7.4, 0.6)], 0.7)
    cheek = 1.2 * np.exp(-(((x + 14.5) / 4.2) ** 2 + ((y + 5) / 4.2) ** 2))
    features = lid + lashes + brow + mouth + nostril + cheek
    return height + features * fade(outline, -0.6, -2.0)


def _moon_outline(x: Floats, y: Floats) -> Floats:
    """A crescent open to +x whose inner edge is a face in profile."""
    p = np.stack([x, y, np.zeros_like(x)], axis=1)
    crescent = np.maximum(np.hypot(x + 1, y) - 28.0, 24.5 - np.hypot(x - 14.5, y - 1.0))
    forehead = strand(p, [(-12, 13, 0), (-9.5, 9, 0)], [4.6, 3.0])
    nose = strand(p, [(-11, 6, 0), (-5.6, 2.2, 0), (-2.6, -1.4, 0)], [3.0, 2.2, 1.5], soft=1)
    lips = join(*(np.hypot(x - cx, y - cy) - radius for cx, cy, radius in ((-7.0, -6.6, 2.2), (-7.0, -10.4, 2.2))))
    chin = strand(p, [(-10, -13, 0), (-4.6, -15.4, 0)], [4.5, 2.8])
    return blend(crescent, forehead, nose, lips, chin, soft=2.0)


def _stroke(x: Floats, y: Floats, points: list[tuple[float, float]], width: float) -> Floats:
    flat = np.stack([x, y, np.zeros_like(x)], axis=1)
    near = strand(flat, [(*point, 0.0) for point in points], [0.0] * len(points))
    return np.exp(-((near / width) ** 2))

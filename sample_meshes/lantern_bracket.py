"""A wall bracket for the stage lantern: back plate with two screw holes, scrolled arm, stay and ring.

Modelled in mm and written in inches; the wall is y = 0, the arm reaches along −y, z is up.
"""

from __future__ import annotations

import numpy as np

from sample_meshes.distance_shapes import (
    Floats,
    ball,
    blend,
    carve,
    ellipsoid,
    extruded,
    join,
    keep,
    limb,
    slab,
    strand,
)

LOW, HIGH = (-26.0, -108.0, -68.0), (26.0, 6.0, 72.0)
PLATE_THICKNESS = 5.6
SCREWS = ((0.0, 50.8), (0.0, -50.8))  # 4 inches apart


def lantern_bracket(p: Floats) -> Floats:
    iron = blend(back_plate(p), arm(p), stay(p), soft=3.0)
    iron = keep(blend(iron, lantern_ring(p), soft=1.5), p[:, 1])  # the back is flat against the wall
    return carve(iron, _screw_holes(p), soft=0.5)


def back_plate(p: Floats) -> Floats:
    """A plate with round ends and a waist, a raised edge and a rosette where the arm leaves it."""
    x, z = np.abs(p[:, 0]), np.abs(p[:, 2])
    flat = np.stack([x, np.zeros_like(x), z], axis=1)
    ends = np.hypot(x, z - 50.8) - 12.4
    lobes = limb(flat, (0, 0, 0), (10.5, 0, 17), 13, 9.5)
    tongue = strand(flat, [(0, 0, 0), (0, 0, 40), (0, 0, 61)], [14, 9, 4])
    outline = blend(ends, lobes, tongue, soft=7)
    plate = extruded(outline, slab(p[:, 1], -PLATE_THICKNESS, 0), rounding=0.9)
    edge = np.hypot(outline + 2.6, p[:, 1] + PLATE_THICKNESS) - 1.7
    return join(plate, np.maximum(edge, outline))


def arm(p: Floats) -> Floats:
    """Leaves the plate's middle, swings out and ends in a volute that rolls up and back."""
    way = _curve((2, 14), (30, 4), (58, 6), (81, 28))
    curl = _spiral((81, 44.5), 16.5, 3.6, start=-90, end=440)
    rail = _bar(p, [*way, *curl], 4.6, 2.6)
    knob = ball(p, (0, -81, 44.5), 5.6)
    leaf = ellipsoid(p, (0, -58, 14.5), (6.2, 10.5, 6.0)) + 0.6 * np.cos(1.25 * p[:, 1] + 0.7 * np.abs(p[:, 0]))
    crown = _bar(p, [(3, 22), (7, 23.6), *_spiral((11.8, 31.2), 7.6, 1.0, start=-90, end=250)], 3.2, 2.1)
    return blend(rail, knob, leaf, crown, soft=1.6)


def stay(p: Floats) -> Floats:
    """An S below the arm, one volute at the plate and one at the arm."""
    lower = _spiral((15.5, -27.0), 9.5, 1.4, start=-90, end=-400)
    upper = _spiral((43.0, -8.5), 8.0, 1.2, start=20, end=350)
    foot = [(3, -40), (15.5, -36.5)]
    way = _curve((15.5, -36.5), (34, -37.5), (52, -26), (50.6, -5.7))
    scroll = join(_bar(p, [*foot, *way], 3.8, 3.4), _bar(p, lower, 3.4, 2.0), _bar(p, upper, 3.4, 2.0))
    tie = _bar(p, [(46, 0), (47, 11)], 3.2, 3.2)
    collar = ball(p, (0, -40.0, -30.0), 5.0)
    return blend(scroll, tie, collar, soft=1.6)


def lantern_ring(p: Floats) -> Floats:
    """A ring in a small eye under the arm's end."""
    eye = np.hypot(np.hypot(p[:, 0], p[:, 2] - 20.5) - 4.2, p[:, 1] + 81) - 2.0
    ring = np.hypot(np.hypot(p[:, 1] + 81, p[:, 2] - 6.5) - 14.0, p[:, 0]) - 2.3
    return blend(eye, ring, soft=1.0)


def _screw_holes(p: Floats) -> Floats:
    """4.8 mm holes, countersunk to 10 mm at the face."""
    holes = []
    for x, z in SCREWS:
        r = np.hypot(p[:, 0] - x, p[:, 2] - z)
        sink = (r - 5.0 - (p[:, 1] + PLATE_THICKNESS)) * np.sqrt(0.5)
        holes.append(np.minimum(r - 2.4, np.maximum(sink + 2 * (p[:, 1] + PLATE_THICKNESS), r - 5.0)))
    return np.maximum(join(*holes), slab(p[:, 1], -12, 4))


def _bar(p: Floats, way: list[tuple[float, float]], start: float, end: float) -> Floats:
    """A round bar in the plane x = 0 through (reach, height) points, tapering evenly."""
    radii = np.linspace(start, end, len(way))
    return strand(p, [(0, -reach, height) for reach, height in way], list(radii))


def _curve(*controls: tuple[float, float]) -> list[tuple[float, float]]:
    """Fourteen points on a cubic Bézier curve."""
    a, b, c, d = (np.array(control, dtype=float) for control in controls)
    t = np.linspace(0, 1, 14)[:, None]
    points = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
    return [tuple(point) for point in points]


def _spiral(
    centre: tuple[float, float], size: float, eye: float, start: float, end: float
) -> list[tuple[float, float]]:
    """Points from the outside in; angles in degrees from the outward direction."""
    angle = np.radians(np.linspace(start, end, 40))
    reach = np.linspace(size, eye, 40)
    return [(centre[0] + r * np.cos(a), centre[1] + r * np.sin(a)) for r, a in zip(reach, angle, strict=True)]

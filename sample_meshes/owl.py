"""A horned owl on a fairground ball: the finial on the pole of the puppet stage.

mm; z is up, the owl looks along −y, the plinth stands on z = 0. Left and right are mirror images.
"""

from __future__ import annotations

import numpy as np

from sample_meshes.distance_shapes import (
    Floats,
    ball,
    blend,
    carve,
    disc,
    ellipsoid,
    fade,
    feathers,
    join,
    keep,
    limb,
    mirrored,
    ring,
    strand,
    turned,
)

LOW, HIGH = (-30.0, -30.0, -9.0), (30.0, 32.0, 114.0)
BALL_CENTRE, BALL_RADIUS = np.array([0.0, 0.0, 22.0]), 15.0
EYE = np.array([8.6, -14.0, 84.0])


def owl(p: Floats) -> Floats:
    """The whole finial; it reaches below z = 0 and is cut flat there."""
    half = mirrored(p)
    bird = blend(_body(p, half), _head(half), soft=7)
    bird = blend(bird, _wing(half), soft=1.2)
    bird = blend(bird, _tail(p), soft=1.5)
    bird = join(bird, _beak(half), _eyes(half))
    bird = blend(blend(bird, _ear(half), soft=3), _brow(half), soft=1.6)
    stand = blend(_ball(p), _plinth(p), soft=1.5)
    return join(blend(bird, stand, soft=1.0), blend(_claws(half), stand, soft=0.6))


def _body(p: Floats, half: Floats) -> Floats:
    trunk = ellipsoid(turned(p, "x", -6, (0, 1, 55)), (0, 0, 0), (21.5, 18.5, 27))
    thighs = strand(half, [(9.5, -6, 45), (8.5, -8, 36.5)], [9, 6])
    shape = blend(trunk, thighs, soft=6)
    across = np.arctan2(p[:, 0], -p[:, 1]) * 20
    rows = feathers(across, 96 - p[:, 2], width=6.9, length=6.2)
    return shape - 1.0 * rows


def _head(half: Floats) -> Floats:
    skull = ellipsoid(half, (0, -1.5, 82), (20.5, 17, 15.5))
    across = np.arctan2(half[:, 0], -half[:, 1]) * 18
    nape = fade(half[:, 1], -9, -4)
    skull = skull - 0.65 * nape * feathers(across, 110 - half[:, 2], width=4.7, length=4.4)
    return skull - (1 - nape) * _facial_disc(half)


def _facial_disc(half: Floats) -> Floats:
    """Relief of the two feather wheels round the eyes: a dish, a raised rim and radiating barbs."""
    x, z = half[:, 0] - EYE[0], half[:, 2] - EYE[2]
    r, angle = np.hypot(x, 1.04 * z), np.arctan2(z, x)
    rim = 1.7 * np.exp(-(((r - 11) / 1.3) ** 2))
    dish = -1.6 * fade(r, 10.5, 6)
    barbs = 0.34 * np.cos(26 * angle) * fade(r, 4.5, 6) * fade(r, 10.6, 9.2)
    return rim + dish + barbs


def _eyes(half: Floats) -> Floats:
    eyeball = ball(half, EYE, 6.2)
    r = np.hypot(half[:, 0] - EYE[0] + 0.3, half[:, 2] - EYE[2])
    groove = 0.7 * np.exp(-(((r - 4.5) / 0.6) ** 2))
    pupil = 1.0 * fade(r, 2.6, 2.0)
    lid_slope = turned(half, "y", 24, EYE)
    lid = keep(ball(half, EYE, 6.9), 3.6 - lid_slope[:, 2], soft=0.3)
    return join(eyeball + groove + pupil, lid)


def _beak(half: Floats) -> Floats:
    points = [(0, -15, 86), (0, -20.0, 82.0), (0, -22.4, 77.5), (0, -21.4, 73.0), (0, -20.3, 70.6)]
    bill = strand(half, points, [2.2, 3.4, 2.9, 1.3, 0.4], soft=1.5)
    nostril = ball(half, (1.9, -23.4, 80.6), 0.8)
    return carve(bill, nostril, soft=0.3)


def _brow(half: Floats) -> Floats:
    """From the root of the beak up over the eye and along the edge of the face."""
    points = [(1.2, -18.6, 85.5), (6.5, -17.0, 91.8), (13.0, -10.5, 95.5)]
    return strand(half, points, [1.3, 2.1, 2.6], soft=1)


def _ear(half: Floats) -> Floats:
    """A tuft of three locks, broad where it leaves the head."""
    root = (12.0, -6.0, 91.0)
    front = strand(half, [root, (15.8, -7.5, 101), (18.6, -6.5, 108), (19.6, -5.6, 112)], [5.6, 3.4, 1.5, 0.4], soft=1)
    back = strand(half, [root, (14.6, -4.0, 100), (16.6, -2.6, 107.5)], [5.6, 3.0, 0.4], soft=1)
    side = strand(half, [root, (17.6, -4.5, 98), (21.0, -3.2, 104.5)], [5.6, 2.8, 0.4], soft=1)
    return blend(front, back, side, soft=0.5)


def _wing(half: Floats) -> Floats:
    q = turned(turned(turned(half, "z", -7, (18.6, 4.5, 55)), "y", 10), "x", 19)
    leaf = ellipsoid(q, (0, 0, -2), (5.0, 14.5, 29))
    down, across = 27 - q[:, 2], q[:, 1] + 0.004 * (q[:, 2] - 20) ** 2
    coverts = feathers(across, down, width=5.0, length=5.2)
    flights = feathers(across, down - 5.2 * 4 + 19 * 4, width=4.4, length=19.0)
    lower = fade(down, 23, 24.5)
    return leaf - (0.85 * coverts * (1 - lower) + 1.25 * flights * lower)


def _tail(p: Floats) -> Floats:
    q = turned(p, "x", 14, (0, 19.5, 31))
    fan = ellipsoid(q, (0, 0, 0), (10.5, 3.4, 18))
    spread = q[:, 0] / (1 - 0.012 * q[:, 2])
    return fan - 0.9 * feathers(spread, 40 - q[:, 2], width=4.2, length=21)


def _ball(p: Floats) -> Floats:
    """A painted fairground ball: eight gores, a belt and studs."""
    local = p - BALL_CENTRE
    angle = np.arctan2(local[:, 1], local[:, 0]) + np.pi / 8
    around = np.hypot(local[:, 0], local[:, 1])
    seam = np.abs((angle % (np.pi / 4)) - np.pi / 8) * around
    sphere = ball(p, BALL_CENTRE, BALL_RADIUS) + 0.55 * np.exp(-((seam / 0.6) ** 2))
    belt = ring(local, BALL_RADIUS - 0.3, 1.3, height=-4.2)
    return join(sphere, belt)


def _plinth(p: Floats) -> Floats:
    steps = [
        disc(p, 25, -6, 4.0, rounding=1.2),
        ring(p, 22.0, 1.9, height=5.2),
        disc(p, 21, 0, 7.2, rounding=0.6),
        disc(p, 17.5, 3, 9.5, rounding=1.0),
    ]
    angle = np.arctan2(p[:, 1], p[:, 0])
    step = 2 * np.pi / 30
    beads = np.stack([25 * ((angle + step / 2) % step - step / 2), np.hypot(p[:, 0], p[:, 1]) - 24.7, p[:, 2] - 2.0], 1)
    return join(blend(*steps, soft=0.8), np.linalg.norm(beads, axis=1) - 1.45)


def _claws(half: Floats) -> Floats:
    """Three toes a foot, each hugging the ball and ending in a talon."""
    toes = [_toe(half, heading) for heading in (20, 42, 66)]
    ankle = limb(half, (8.0, -7.8, 38), _on_ball(42, 38, 2.0), 4.6, 3.0)
    return blend(*toes, ankle, soft=1.4)


def _toe(half: Floats, heading: float) -> Floats:
    fan = [42 + (heading - 42) * share for share in (0.5, 1.0, 1.35, 1.5)]
    joints = [
        _on_ball(fan[0], 38, 1.6),
        _on_ball(fan[1], 56, 1.7),
        _on_ball(fan[2], 74, 1.5),
        _on_ball(fan[3], 84, 1.5),
    ]
    flesh = strand(half, joints, [2.6, 2.0, 2.2, 1.6], soft=1.0)
    talon = strand(
        half, [joints[-1], _on_ball(fan[3], 97, 1.6), _on_ball(fan[3], 110, 0.2)], [1.6, 1.15, 0.35], soft=0.6
    )
    return blend(flesh, talon, soft=0.3)


def _on_ball(heading: float, polar: float, above: float) -> Floats:
    """A point above the ball; *heading* 0 is straight ahead, 90 to the side; *polar* 0 is the top."""
    h, t = np.radians(heading), np.radians(polar)
    return BALL_CENTRE + (BALL_RADIUS + above) * np.array([np.sin(t) * np.sin(h), -np.sin(t) * np.cos(h), np.cos(t)])

"""A marionette's left hand: broad palm, thin lively fingers, wrist cut flat where the resin goes in.

mm; the wrist stands on z = 0, fingers up, the palm faces −y, the thumb points to −x.
"""

from __future__ import annotations

import numpy as np

from sample_meshes.distance_shapes import Floats, ball, blend, carve, ellipsoid, fade, join, limb, strand, turned

LOW, HIGH = (-28.0, -22.0, -6.0), (22.0, 14.0, 86.0)

# each finger: joints from knuckle to tip, and its radius at the knuckle
FINGERS = {
    "index": ([(-9.8, -0.4, 42.5), (-12.2, 1.0, 56.5), (-13.4, 0.0, 66.5), (-14.0, -2.8, 74.5)], 3.2),
    "middle": ([(-3.2, 0.5, 44.0), (-3.6, -0.6, 59.5), (-3.5, -5.2, 70.0), (-3.2, -10.8, 76.0)], 3.35),
    "ring": ([(3.4, 0.3, 42.5), (5.0, -1.8, 57.0), (5.8, -8.0, 65.6), (6.0, -14.4, 68.4)], 3.15),
    "little": ([(9.6, -0.6, 38.5), (13.4, -1.4, 49.0), (15.8, -4.0, 56.0), (17.4, -7.2, 61.2)], 2.75),
}
FLATTENED = 1.3  # a wrist is wider than deep
THUMB = [(-9.0, -2.5, 18.0), (-15.5, -5.4, 28.0), (-19.6, -7.6, 37.0), (-20.8, -9.4, 46.0)]


def puppet_hand(p: Floats) -> Floats:
    fingers = join(*(_finger(p, joints, radius) for joints, radius in FINGERS.values()))
    hand = blend(_palm(p), fingers, soft=2.6)
    hand = blend(hand, _thumb(p), soft=4)
    for joints, radius in FINGERS.values():
        hand = _with_nail(p, hand, joints, radius)
    return blend(_with_lines(p, hand), _tendons(p), soft=1.6)


def _palm(p: Floats) -> Floats:
    wrist = limb(p * np.array([1, FLATTENED, 1]), (0, 0, -20), (0, 0, 17), 10.4, 7.6) / FLATTENED
    rays = [
        limb(p, (0.45 * x, 0.2, 14), (x, y, z - 3), 5.6, radius + 1.5)
        for (x, y, z), radius in ((joints[0], radius) for joints, radius in FINGERS.values())
    ]
    heel = ellipsoid(turned(p, "y", 12, (6.5, -3.2, 21)), (0, 0, 0), (5.4, 4.2, 11))
    cushions = ellipsoid(p, (-1.0, -2.2, 37.5), (11.5, 4.4, 4.6))
    palm = blend(*rays, heel, cushions, soft=4.5)
    hollow = ellipsoid(p, (-1.0, -9.6, 28), (7.5, 4.8, 8.5))
    return blend(wrist, carve(palm, hollow, soft=3), soft=9)


def _finger(p: Floats, joints: list[tuple[float, float, float]], radius: float) -> Floats:
    """Three phalanges, a little thicker at the joints, ending in a rounded pad."""
    radii = [radius, 0.98 * radius, 0.9 * radius, 0.76 * radius]
    bones = strand(p, joints, radii, soft=0.8)
    points = np.array(joints)
    middles = (points[:-1] + points[1:]) / 2
    waists = [
        -0.13 * radius * np.exp(-((np.linalg.norm(p - middle, axis=1) / (1.75 * radius)) ** 2))
        for middle in middles[:2]
    ]
    pad = ball(p, points[-1] * 0.8 + points[-2] * 0.2 + np.array([0, -0.35, 0]), 0.86 * radius)
    return blend(bones - sum(waists), pad, soft=1.5)


def _thumb(p: Floats) -> Floats:
    bones = strand(p, THUMB, [5.4, 4.0, 3.5, 2.9], soft=4)
    pad = ball(p, (-20.2, -9.8, 44.0), 3.2)
    ball_of_thumb = ellipsoid(turned(p, "y", -28, (-9.5, -4.6, 21)), (0, 0, 0), (5.2, 4.8, 10.5))
    thumb = blend(bones, pad, ball_of_thumb, soft=3)
    return _with_nail(p, thumb, THUMB, 3.3)


def _with_nail(p: Floats, hand: Floats, joints: list[tuple[float, float, float]], radius: float) -> Floats:
    """A shallow groove round the nail on the back of the last phalanx."""
    tip, before = np.array(joints[-1]), np.array(joints[-2])
    along = (tip - before) / np.linalg.norm(tip - before)
    back = np.array([0.0, 1.0, 0.0]) - along[1] * along
    back /= np.linalg.norm(back)
    local = p - (tip - 0.1 * radius * along)
    length, height = local @ along, local @ back
    side = np.sqrt(np.maximum(np.sum(local**2, axis=1) - length**2 - height**2, 0))
    edge = np.hypot(side / 0.52, length / 0.85) / radius
    groove = 0.34 * np.exp(-(((edge - 1) / 0.2) ** 2))
    return hand + groove * fade(height, 0, 0.35 * radius) * (np.abs(length) < 2 * radius)


def _with_lines(p: Floats, hand: Floats) -> Floats:
    """Creases at the finger joints on the palm side and the two long lines of the palm."""
    creases = np.zeros(len(p))
    for joints, radius in FINGERS.values():
        points = np.array(joints)
        for i in (1, 2):
            along = points[i + 1] - points[i - 1]
            local = p - points[i]
            place = local @ (along / np.linalg.norm(along))
            near = np.linalg.norm(local, axis=1) < 2 * radius
            creases += near * 0.3 * np.exp(-((place / 0.4) ** 2)) * fade(local[:, 1], 0, -0.6 * radius)
    flat = p * np.array([1, 0, 1])
    heart = strand(flat, [(10, 0, 33.5), (3, 0, 33), (-4.5, 0, 37)], [0, 0, 0])
    life = strand(flat, [(-9, 0, 33.5), (-4, 0, 30), (-1.8, 0, 23), (-3, 0, 15)], [0, 0, 0, 0])
    lines = 0.55 * np.exp(-((join(heart, life) / 0.75) ** 2)) * fade(p[:, 1], -1, -3)
    return hand + creases + lines


def _tendons(p: Floats) -> Floats:
    """Fans of the back of the hand and the knuckles' knobs."""
    cords = [limb(p, (0.35 * x, 5.2, 17), (x, y + 3.5, z - 1.0), 0.5, 1.7) for ((x, y, z), *_), _ in FINGERS.values()]
    knobs = [ball(p, (x, y + 2.2, z - 1.5), 1.02 * radius) for ((x, y, z), *_), radius in FINGERS.values()]
    return join(*cords, *knobs)

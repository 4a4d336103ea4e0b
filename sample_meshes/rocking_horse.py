"""A jester on a rocking horse: two bodies modelled apart and pushed into each other, as print files often are.

mm; z is up, the horse trots along −y, its rockers touch z = 0. The rider is modelled about `SEAT`.
"""

from __future__ import annotations

import numpy as np

from sample_meshes.distance_shapes import (
    Floats,
    ball,
    blend,
    block,
    carve,
    ellipsoid,
    fade,
    join,
    keep,
    limb,
    mirrored,
    slab,
    strand,
)

HORSE_LOW, HORSE_HIGH = (-22.0, -68.0, -3.0), (22.0, 66.0, 100.0)
RIDER_LOW, RIDER_HIGH = (-28.0, -34.0, -32.0), (28.0, 26.0, 60.0)
SEAT = (0.0, 4.0, 64.0)
ROCKER_RADIUS = 120.0


def horse(p: Floats) -> Floats:
    half = mirrored(p)
    coat = blend(_trunk(half), _horse_head(half), soft=6)
    coat = blend(coat, _legs(half), soft=5)
    coat = blend(coat, _mane(p, half), _horse_tail(p, half), soft=1.5)
    return join(blend(coat, _rockers(half), soft=1.2), _harness(half))


def _trunk(half: Floats) -> Floats:
    barrel = limb(half, (0, 20, 49), (0, -18, 49.5), 13.2, 13.6)
    rump = ellipsoid(half, (4, 25, 51), (11, 13.5, 13.5))
    chest = ellipsoid(half, (3.5, -25, 50), (9.5, 11.5, 13.5))
    return blend(barrel, rump, chest, soft=7)


def _horse_head(half: Floats) -> Floats:
    neck = strand(half, [(0, -24, 55), (0, -33, 69), (0, -40, 80)], [12.0, 8.6, 6.8], soft=6)
    skull = strand(half, [(0, -41, 81), (0, -50, 76), (0, -58.5, 68.5)], [7.2, 5.6, 4.8], soft=4)
    cheek = ellipsoid(half, (3.0, -43.5, 76.5), (4.6, 6.2, 6.6))
    ear = carve(
        limb(half, (3.6, -38.5, 86), (4.8, -38.0, 95), 2.9, 0.8), limb(half, (4.6, -41.2, 88), (5, -39.6, 93), 1.3, 0.5)
    )
    eye = join(
        ball(half, (5.7, -48.5, 78.6), 1.7),
        strand(half, [(4.9, -51.2, 79.2), (6.3, -49, 81.2), (6.2, -46, 80.2)], [0.7, 1.1, 0.7]),
    )
    nostril = ball(half, (4.3, -61.5, 69.2), 1.25)
    mouth = keep(np.abs((half[:, 2] - 66.2) + 0.35 * (half[:, 1] + 60)) - 0.5, half[:, 1] + 55.5)
    face = carve(blend(skull, cheek, soft=4), join(nostril, mouth), soft=0.8)
    return join(blend(neck, face, soft=5), blend(ear, eye, soft=0.5))


def _legs(half: Floats) -> Floats:
    front = strand(half, [(7, -27, 46), (9, -39, 32), (11, -36.8, 19), (11, -38.0, 15)], [8.4, 4.7, 3.3, 3.4], soft=4)
    hind = strand(half, [(7, 27, 47), (9.5, 33, 32), (11, 41, 22), (11, 39, 16)], [10.5, 5.4, 3.7, 3.4], soft=4)
    hooves = join(
        limb(half, (11, -38.3, 16.5), (11, -39.2, 12.8), 3.6, 4.9),
        limb(half, (11, 38.8, 17), (11, 38.0, 12.8), 3.6, 4.9),
    )
    return blend(front, hind, hooves, soft=1.0)


def _mane(p: Floats, half: Floats) -> Floats:
    crest = strand(half, [(0, -45, 87.5), (0, -35, 87), (0, -26, 77), (0, -17.5, 65)], [2.6, 4.2, 4.6, 3.4], soft=3)
    locks = 0.75 * np.sin(1.15 * p[:, 2] + 0.55 * p[:, 1] + 0.5 * np.abs(p[:, 0]))
    return crest + locks


def _horse_tail(p: Floats, half: Floats) -> Floats:
    flow = [(0, 36, 57), (0, 46, 57), (0, 53, 48), (0, 55, 34), (0, 60, 25)]
    tail = strand(half, flow, [3.2, 4.4, 5.4, 4.6, 1.2], soft=4)
    return tail + 0.55 * np.cos(3.1 * np.abs(p[:, 0]) + 0.25 * p[:, 2])


def _rockers(half: Floats) -> Floats:
    """Two curved runners and three slats."""
    bow = np.abs(np.hypot(half[:, 1], half[:, 2] - ROCKER_RADIUS) - (ROCKER_RADIUS - 2.6)) - 2.6
    runner = np.maximum(np.maximum(bow, np.abs(half[:, 0] - 12) - 2.6), half[:, 2] - 40)
    runner = np.maximum(runner, np.abs(half[:, 1]) - 60)
    height = ROCKER_RADIUS - np.sqrt(ROCKER_RADIUS**2 - np.array([39.0, 0.0]) ** 2) + 3.6
    slats = [block(half, (0, y, z), (16, 4, 1.6), 0.8) for y, z in ((-39, height[0]), (39, height[0]), (0, height[1]))]
    knob = join(*(ball(half, (12, y, 18.4), 4.0) for y in (-60, 60)))
    return blend(runner, *slats, knob, soft=0.8)


def _harness(half: Floats) -> Floats:
    """Saddle cloth with a fringe, girth, breast strap with bosses, bridle."""
    trunk, head = _trunk(half), _horse_head(half)
    fringe = 0.35 * np.cos(2.1 * half[:, 1]) * fade(half[:, 2], 45, 44)
    cloth = keep(np.abs(trunk) - 1.3 - fringe, np.maximum(slab(half[:, 1], -11, 17), 41.5 - half[:, 2]), soft=0.8)
    girth = keep(np.abs(trunk) - 0.9, slab(half[:, 1], 0, 5), soft=0.5)
    strap = keep(
        np.abs(blend(trunk, head, soft=6)) - 1.0, np.abs(half[:, 2] - 51 + 0.25 * (half[:, 1] + 10)) - 2.2, soft=0.5
    )
    strap = keep(strap, half[:, 1] + 10)
    bosses = join(*(ball(half, place, 1.9) for place in ((0, -37.4, 56.8), (7.4, -34.6, 56.4), (12.0, -27, 54.6))))
    noseband = keep(
        np.abs(head) - 0.8, np.abs((half[:, 1] + 54.5) * 0.75 - (half[:, 2] - 72.5) * -0.66) - 1.2, soft=0.4
    )
    return join(cloth, girth, strap, bosses, noseband)


# ---- the rider, modelled about his seat ----------------------------------------------------------------------------


def rider(p: Floats) -> Floats:
    half = mirrored(p)
    suit = blend(_rider_body(half), _rider_limbs(half), soft=2.5)
    return join(blend(suit, _ruff(p), soft=0.6), blend(_rider_head(half), _cap(p, half), soft=0.8))


def _rider_body(half: Floats) -> Floats:
    trunk = strand(half, [(0, 2, 1), (0, 3, 11), (0, 0, 22)], [9.5, 8.2, 8.6], soft=5)
    belly = ellipsoid(half, (0, -3.5, 8), (7.6, 7, 7))
    belt = keep(np.abs(blend(trunk, belly, soft=4)) - 1.1, slab(half[:, 2], 3.2, 6.6), soft=0.5)
    buttons = join(*(ball(half, (0, y, z), 1.3) for y, z in ((-10.7, 9.5), (-10.0, 14.0), (-8.9, 18.5))))
    skirt = strand(half, [(0, 2, 2), (10, 1, -4)], [9, 5.5])
    points = 0.9 * np.cos(6 * np.arctan2(half[:, 0], -half[:, 1]))
    return join(blend(trunk, belly, skirt - points * fade(half[:, 2], 2, -4), soft=4), belt, buttons)


def _rider_limbs(half: Floats) -> Floats:
    leg = strand(half, [(8, 0, 0), (17.5, -11, -7), (17.5, -7.5, -22)], [6.4, 5.4, 3.8], soft=3)
    cuff = ellipsoid(half, (17.5, -7.5, -20), (4.8, 4.8, 1.6))
    shoe = strand(
        half,
        [(17.5, -7.5, -24), (18, -15, -26), (18.5, -21.5, -24), (18.5, -23.0, -20.5)],
        [3.8, 3.3, 1.8, 0.9],
        soft=2,
    )
    shoe = join(shoe, ball(half, (18.5, -22.4, -18.8), 1.7))
    arm = strand(half, [(8, 1, 23), (14.5, -4, 13), (7.0, -17, 11.5)], [4.6, 4.3, 3.2], soft=3)
    hand = blend(
        ball(half, (4.6, -19.8, 11.6), 3.2), limb(half, (4.6, -19.8, 12), (2.2, -20.6, 13.8), 1.7, 1.3), soft=1
    )
    sleeve = ellipsoid(half, (7.6, -16, 11.7), (4.7, 3.0, 4.7))
    return blend(leg, cuff, shoe, arm, sleeve, hand, soft=1.2)


def _ruff(p: Floats) -> Floats:
    """A pleated collar."""
    angle = np.arctan2(p[:, 1], p[:, 0])
    wave = 1.5 * np.cos(16 * angle) * fade(np.hypot(p[:, 0], p[:, 1]), 4, 11)
    sheet = np.abs(p[:, 2] - 29.2 - wave + 0.1 * (np.hypot(p[:, 0], p[:, 1]) - 6)) - 1.25
    return 0.75 * np.maximum(sheet, np.hypot(p[:, 0], p[:, 1]) - 12.2)


def _rider_head(half: Floats) -> Floats:
    skull = blend(ellipsoid(half, (0, 0, 39.5), (8.8, 9, 10)), ellipsoid(half, (0, -4, 33.5), (5, 4.6, 3.6)), soft=4)
    cheek = ball(half, (4.2, -6.2, 37.4), 2.7)
    nose = strand(half, [(0, -8, 41), (0, -12.6, 37.8)], [1.4, 2.1], soft=1)
    socket = ball(half, (3.5, -9.4, 41.2), 2.1)
    eye = ball(half, (3.5, -7.3, 41.1), 1.9)
    brow = strand(half, [(1.5, -9.0, 43.6), (3.8, -9.0, 45.0), (6.4, -7.0, 43.8)], [0.6, 0.9, 0.5])
    smile = strand(half, [(0, -9.6, 33.8), (2.6, -9.2, 34.3), (4.9, -7.6, 36.0)], [0.9, 0.8, 0.5])
    face = carve(blend(skull, cheek, nose, soft=1.6), join(socket, smile), soft=0.7)
    return join(face, eye, brow)


def _cap(p: Floats, half: Floats) -> Floats:
    """A cap of three horns, each with a bell."""
    shell = keep(
        np.abs(ellipsoid(half, (0, 0.5, 40), (9.6, 9.8, 10.6))) - 1.1,
        45.2 - half[:, 2] - 0.55 * (half[:, 1] + 4),
        soft=0.6,
    )
    brim = keep(
        np.abs(ellipsoid(half, (0, 0.5, 40), (9.9, 10.1, 10.9))) - 1.5,
        np.abs(45.4 - half[:, 2] - 0.55 * (half[:, 1] + 4)) - 1.4,
        soft=0.6,
    )
    side = strand(half, [(3.5, 0, 46), (10, 0, 54), (17.5, 0, 53), (21.5, 0, 45.5)], [6.2, 4.8, 3.2, 1.3], soft=3)
    back = strand(half, [(0, 3, 47), (0, 9, 55), (0, 16.5, 53), (0, 19.5, 45.5)], [6.4, 4.8, 3.2, 1.3], soft=3)
    bells = join(*(_bell(q, place) for q, place in ((half, (22.0, 0, 43.2)), (p, (0, 20.0, 43.2)))))
    return join(blend(shell, side, back, soft=3), brim, bells)


def _bell(p: Floats, place: tuple[float, float, float]) -> Floats:
    return carve(
        ball(p, place, 2.7), np.maximum(np.abs(p[:, 2] - place[2] + 0.7) - 0.4, -ball(p, place, 1.9)), soft=0.3
    )

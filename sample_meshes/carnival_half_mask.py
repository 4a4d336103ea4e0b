"""A hook-nosed half-mask for the comedy's old miser: a thin shell over brow, nose and cheeks.

mm; z is up, the mask looks along −y and is open behind. Left and right are mirror images.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sample_meshes.distance_shapes import (
    Floats,
    ball,
    blend,
    carve,
    ellipsoid,
    fade,
    join,
    keep,
    mirrored,
    star,
    strand,
)

LOW, HIGH = (-96.0, -62.0, -62.0), (96.0, 40.0, 68.0)
WALL = 2.4
EYE, EYE_TILT = np.array([33.0, 0.0]), np.radians(10)


def carnival_half_mask(p: Floats) -> Floats:
    half = mirrored(p)
    x, z = half[:, 0], half[:, 2]
    form, outline, eye = _form(half), _outline(x, z), _eye(x, z)
    outside = form - _relief(x, z, outline, eye) * fade(half[:, 1], 30, 15)
    shell = keep(outside, -(form + WALL), soft=0.3)
    shell = keep(keep(shell, outline, soft=0.8), half[:, 1] - 33, soft=0.8)
    openings = join(eye, _flat_ball(x, z, (80.5, 24.0), 1.9), _nostril(half))
    return carve(shell, openings, soft=0.8)


def _form(half: Floats) -> Floats:
    """The filled face under the mask."""
    skull = ellipsoid(half, (0, 62, 0), (98, 74, 125))
    brow = strand(half, [(5, -13, 13), (24, -14, 19), (46, -5, 24), (66, 9, 24)], [5, 7.5, 7, 4], soft=5)
    ridge = [(0, -10, 22), (0, -20, 6), (0, -34, -8), (0, -41, -22), (0, -40, -30)]
    nose = strand(half, ridge, [8, 8, 9, 9.5, 7.5], soft=8)
    root = strand(half, [(0, -4, 8), (0, -16, -14), (0, -22, -29)], [9, 11, 9.5], soft=6)
    wing = blend(ball(half, (10, -25, -29.5), 7.5), root, soft=5)
    cheek = ellipsoid(half, (43, 2, -27), (22, 17, 16))
    socket = ellipsoid(half, (EYE[0], -19, EYE[1]), (19, 11, 11))
    face = carve(blend(skull, brow, soft=12), socket, soft=9)
    return blend(face, blend(nose, wing, soft=6), cheek, soft=13)


def _outline(x: Floats, z: Floats) -> Floats:
    """The mask's edge seen from the front: two lobes swept up at the temples, a tongue over the nose."""
    p = np.stack([x, np.zeros_like(x), z], axis=1)
    lobe = _flat_ellipse(x, z, (36, 2), (46, 39), tilt=14)
    temple = strand(p, [(55, 0, 12), (74, 0, 30), (86, 0, 52)], [27, 16, 3.0], soft=10)
    nose = _flat_ellipse(x, z, (0, -14), (23, 31.5), tilt=0)
    peak = strand(p, [(0, 0, 25), (0, 0, 47), (0, 0, 58)], [22, 13, 4], soft=10)
    return blend(lobe, temple, nose, peak, soft=9)


def _eye(x: Floats, z: Floats) -> Floats:
    """An almond between two arcs, 36 mm long and 17 mm high."""
    along, across = _tilted(x, z, EYE, EYE_TILT)
    half_length, half_height = 18.0, 8.5
    shift = (half_length**2 - half_height**2) / (2 * half_height)
    return np.hypot(along, np.abs(across) + shift) - (shift + half_height)


def _relief(x: Floats, z: Floats, outline: Floats, eye: Floats) -> Floats:
    """Height of the ornament above the face, mm."""
    edge = 1.5 * np.exp(-(((outline + 2.4) / 1.3) ** 2))
    lids = 1.7 * np.exp(-(((eye - 2.6) / 1.5) ** 2)) + 0.8 * np.exp(-(((eye - 7.0) / 1.0) ** 2)) * fade(z, -16, -10)
    ornament = np.maximum.reduce([_sun(x, z), _scrolls(x, z), _wrinkles(x, z)])
    return np.maximum(np.maximum(edge, lids), ornament)


def _sun(x: Floats, z: Floats) -> Floats:
    """A faceted star on the forehead in a beaded ring."""
    up = z - 38
    rays = np.clip(-0.62 * star(x, up, 11.5, 5.2, points=8), 0, 2.6)
    angle = (np.arctan2(x, up) + np.pi / 20) % (np.pi / 10) - np.pi / 20
    beads = np.sqrt(np.maximum(1.5**2 - (13.8 * angle) ** 2 - (np.hypot(x, up) - 13.8) ** 2, 0))
    return np.maximum(rays, beads)


def _scrolls(x: Floats, z: Floats) -> Floats:
    """A tendril from the star along the brow to the temple, with two volutes."""
    stem = _line(x, z, [(14, 30), (26, 29), (40, 33), (54, 35), (66, 35)], 1.5)
    first = _volute(x, z, (41, 40.0), 6.0, 1.45, turn=-1.6)
    last = _volute(x, z, (71.5, 39.5), 6.2, 1.45, turn=-2.4)
    leaves = [
        _flat_relief(_flat_ellipse(x, z, centre, (6.5, 2.6), tilt), 1.7)
        for centre, tilt in (((27, 34.5), 35.0), ((57, 41.0), 50.0), ((80, 49.0), 62.0))
    ]
    return np.maximum.reduce([stem, first, last, *leaves])


def _wrinkles(x: Floats, z: Floats) -> Floats:
    """Two laughter lines at the outer corner of the eye and one down the cheek, as soft rolls."""
    corner = [_line(x, z, [(56, 5 + d), (64, 7 + 2.2 * d), (70, 10 + 3 * d)], 1.1) for d in (-3.0, 0.6)]
    return np.maximum.reduce([*corner, _line(x, z, [(19, -16), (25, -25), (28, -36)], 1.3)])


def _nostril(half: Floats) -> Floats:
    return ellipsoid(half, (6.0, -33, -38), (2.8, 5.0, 6.0))


# ---- flat shapes on the mask's front view --------------------------------------------------------------------------


def _tilted(x: Floats, z: Floats, centre: ArrayLike, angle: float) -> tuple[Floats, Floats]:
    dx, dz = x - np.asarray(centre)[0], z - np.asarray(centre)[1]
    return np.cos(angle) * dx + np.sin(angle) * dz, np.cos(angle) * dz - np.sin(angle) * dx


def _flat_ball(x: Floats, z: Floats, centre: tuple[float, float], radius: float) -> Floats:
    return np.hypot(x - centre[0], z - centre[1]) - radius


def _flat_ellipse(x: Floats, z: Floats, centre: ArrayLike, radii: tuple[float, float], tilt: float) -> Floats:
    along, across = _tilted(x, z, centre, np.radians(tilt))
    flat = np.stack([along, across, np.zeros_like(along)], axis=1)
    return ellipsoid(flat, (0, 0, 0), (*radii, 1.0))


def _flat_relief(distance: Floats, height: float) -> Floats:
    return height * np.sqrt(np.clip(-distance / 1.6, 0, 1))


def _line(x: Floats, z: Floats, points: list[tuple[float, float]], radius: float) -> Floats:
    """A half-round roll along a line."""
    flat = np.stack([x, z, np.zeros_like(x)], axis=1)
    near = strand(flat, [(*point, 0.0) for point in points], [0.0] * len(points))
    return np.sqrt(np.maximum(radius**2 - near**2, 0))


def _volute(x: Floats, z: Floats, centre: tuple[float, float], size: float, radius: float, turn: float) -> Floats:
    """A roll that winds one and a half times into an eye."""
    angle = turn + np.linspace(0, 3 * np.pi, 28)
    reach = size * np.linspace(1, 0.08, 28) ** 0.9
    points = [(centre[0] + r * np.cos(a), centre[1] + r * np.sin(a)) for r, a in zip(reach, angle, strict=True)]
    return _line(x, z, points, radius)

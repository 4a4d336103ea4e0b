"""Scans with holes whose true volume is known, because the holes were cut by us; and other wear of scanned meshes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from skimage import measure

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.welding import compacted, drop_repeated_corners, weld
from tests.shapes import ball, box, lathe, torus, turned

# A hole's radius against the longest side of the part: up to a quarter of the part across.
LEAST_RADIUS, MOST_RADIUS = 0.02, 0.125


def vase() -> Mesh:
    """A turned vase, 60 mm high, round as scans are: no face is wider than 2 mm."""
    z = np.linspace(0, 60, 61)
    radius = 12 + 5 * np.sin(z / 9) - 0.05 * z
    profile = [(0.0, 0.0), *((r, 0.0) for r in np.linspace(2, radius[0], 6)), *zip(radius[1:], z[1:], strict=True)]
    profile += [(r, 60.0) for r in np.linspace(radius[-1], 2, 5)[1:]] + [(0.0, 60.0)]
    return weld(lathe(profile, sections=72))


def blob() -> Mesh:
    """A lump of five balls melted into each other, with a thin limb: a body with hollows and saddles."""
    centres = np.array([(0, 0, 0), (9, 2, 1), (-3, 8, 2), (1, -4, 9), (3, 3, -10), (14, 6, 2), (18, 9, 3)], dtype=float)
    radii = np.array([9, 6, 6, 5, 5, 3.5, 3.0])
    axis = np.arange(-20, 30, 0.8)
    space = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1)
    field = sum(np.exp(-2 * (((space - c) ** 2).sum(axis=-1) / r**2 - 1)) for c, r in zip(centres, radii, strict=True))
    vertices, faces, _, _ = measure.marching_cubes(np.asarray(field), 1.0, spacing=(0.8, 0.8, 0.8))
    mesh, _ = drop_repeated_corners(weld(Mesh.of(vertices, faces[:, ::-1])))
    return compacted(mesh)


def bent_box() -> Mesh:
    """A box of 60 × 20 × 12 mm bent along its length: flat and curved faces that meet at sharp edges."""
    straight = weld(box(60, 20, 12, 5).mesh)
    x, y, z = straight.vertices.T
    angle = x / 40
    return Mesh.of(np.column_stack([(40 + z) * np.sin(angle), y, (40 + z) * np.cos(angle)]), straight.faces)


BODIES: dict[str, Callable[[], Mesh]] = {
    "ball": lambda: ball(20, 5).mesh,
    "torus": lambda: torus(20, 8, 128).mesh,
    "vase": vase,
    "blob": blob,
    "bent box": bent_box,
}


def cut(mesh: Mesh, seed: int, least: float = LEAST_RADIUS, most: float = MOST_RADIUS) -> Mesh:
    """*mesh*, turned, without a patch of ragged edge around a random point of its surface."""
    random = np.random.default_rng(seed)
    mesh = turned(mesh, seed)
    centres = mesh.corners().mean(axis=1)
    a, b, c = np.moveaxis(mesh.corners(), 1, 0)
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    away = centres - centres[random.choice(len(centres), p=areas / areas.sum())]
    radius = mesh.size_mm.max() * np.exp(random.uniform(np.log(least), np.log(most)))
    waves = sum(random.uniform(0, 0.25 / k) * np.sin(k * _turn(away, random) + random.uniform(0, 6)) for k in (2, 3, 5))
    edge = radius * (1 + waves) * random.uniform(0.85, 1.15, len(centres))
    return compacted(Mesh(mesh.vertices, mesh.faces[np.linalg.norm(away, axis=1) >= edge]))


def _turn(away: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """The angle about some axis at which each of *away* lies."""
    one, other, _ = np.linalg.qr(random.normal(size=(3, 3)))[0]
    return np.arctan2(away @ one, away @ other)

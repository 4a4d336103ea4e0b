"""A clean mesh made to look like a hand-held scan: noise, gaps, no base, in metres, somewhere in the room."""

from __future__ import annotations

import numpy as np
import trimesh
from numpy.typing import NDArray

from sample_meshes.surfaces import cut_flat, largest_body

BASE_CUT = 8.6  # mm; the turntable hid everything below
GAPS = (
    ((-18.5, 16.0, 34.0), 4.6),
    ((17.5, 17.0, 33.0), 3.6),
    ((0.5, -17.5, 69.5), 3.8),
)  # mm: under the wings and the chin
NOISE, RIPPLE = 0.09, 0.15  # mm: from point to point, and in waves across the surface
TURN_DEGREES, TILT_DEGREES, PLACE_M = 31.0, 4.0, (0.042, -0.118, 0.655)
MM_PER_M = 1000.0


def rough_scan(mesh: trimesh.Trimesh) -> trimesh.Trimesh:
    """The mesh in metres with an open rim below and three ragged gaps."""
    standing = cut_flat(mesh, (0, 0, 1), BASE_CUT)
    seen = ~(_cap_faces(standing) | _hidden_faces(standing))
    scan = trimesh.Trimesh(standing.vertices, standing.faces[seen], process=False)
    scan = largest_body(scan)
    scan.vertices = _shaken(np.asarray(scan.vertices))
    turn = trimesh.transformations.euler_matrix(np.radians(TILT_DEGREES), 0, np.radians(TURN_DEGREES))
    scan.apply_transform(turn)
    scan.apply_scale(1 / MM_PER_M)
    scan.apply_translation(PLACE_M)
    return scan


def _cap_faces(mesh: trimesh.Trimesh) -> NDArray[np.bool_]:
    return np.all(mesh.vertices[mesh.faces, 2] < BASE_CUT + 1e-6, axis=1)


def _hidden_faces(mesh: trimesh.Trimesh) -> NDArray[np.bool_]:
    """Faces near a gap's middle, with a ragged border."""
    hidden = np.zeros(len(mesh.faces), dtype=bool)
    for middle, radius in GAPS:
        away = mesh.triangles_center - mesh.vertices[np.argmin(np.linalg.norm(mesh.vertices - middle, axis=1))]
        ragged = 1 + 0.22 * np.cos(3 * np.arctan2(away[:, 2], away[:, 0]) + radius) + 0.12 * np.sin(2.3 * away[:, 1])
        hidden |= np.linalg.norm(away, axis=1) < radius * ragged
    return hidden


def _shaken(points: NDArray[np.float64]) -> NDArray[np.float64]:
    chance = np.random.default_rng(7)
    waves = sum(
        np.sin(points @ chance.normal(0, 0.25, 3) + chance.uniform(0, 2 * np.pi))[:, None] * chance.normal(0, 1, 3)
        for _ in range(6)
    )
    return points + RIPPLE / 6**0.5 * waves + chance.normal(0, NOISE, points.shape)

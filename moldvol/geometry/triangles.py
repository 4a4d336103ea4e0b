"""Area, signed volume and box of triangle meshes: the divergence theorem in chunks of constant memory.

Formula letters: a, b, c are the corners of a triangle, (n, 3) each.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from moldvol.geometry.mesh import Floats, Mesh


@dataclass(frozen=True, slots=True)
class Measures:
    """Sums over all triangles of a mesh."""

    signed_volume_mm3: float
    area_mm2: float


def measures(mesh: Mesh) -> Measures:
    """Signed volume and area of *mesh*.

    Method: divergence theorem, V = Σ a·(b × c) / 6, taken about the box centre: of a closed mesh the point does not
    matter, and near the middle the least digits are lost.
    """
    centre = mesh.bounds.mean(axis=0)
    volume = area = 0.0
    for corners in mesh.corner_chunks(about=centre):
        a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
        volume += float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6
        area += float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2
    return Measures(volume, area)


def signed_volumes(corners: Floats) -> Floats:
    """(n,) signed volume of the tetrahedron from the origin over each triangle of *corners* (n, 3, 3)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    return np.asarray(np.einsum("ij,ij->i", a, np.cross(b, c)) / 6)


def area_vectors(corners: Floats) -> Floats:
    """(n, 3) normal of each triangle with the triangle's area as its length."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    return np.asarray(np.cross(b - a, c - a) / 2)

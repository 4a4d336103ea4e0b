"""Meshes out of shared vertices: each part keeps only those its faces use."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Ints, Mesh


def compact(vertices: NDArray[np.floating], faces: Ints) -> Mesh:
    """The mesh of *faces* with the *vertices* that no face uses left out, so that they do not widen its box."""
    if len(faces) * 6 < len(vertices):  # a small part of a large pool: do not walk the whole pool
        used, inverse = np.unique(faces, return_inverse=True)
        return Mesh(vertices[used], inverse.reshape(-1, 3).astype(np.int32))
    is_used = np.zeros(len(vertices), dtype=bool)
    is_used[faces] = True
    if is_used.all():
        return Mesh(vertices, faces)
    new_number = np.cumsum(is_used, dtype=np.int32) - np.int32(1)
    return Mesh(vertices[is_used], new_number[faces])

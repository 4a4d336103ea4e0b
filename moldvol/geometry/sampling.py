"""Points spread over a surface by area, the same ones every time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.triangles import area_vectors

SEED = 20_261


def sample_surface(mesh: Mesh, count: int, seed: int = SEED) -> tuple[NDArray[np.int64], Floats, Floats]:
    """*count* points spread evenly by area: their faces (k,), places (k, 3) and outward unit normals (k, 3).

    >>> from moldvol.geometry.mesh import Mesh
    >>> faces, points, normals = sample_surface(Mesh.of([(0, 0, 0), (4, 0, 0), (0, 4, 0)], [(0, 1, 2)]), 5)
    >>> points.shape, normals[0].tolist()
    ((5, 3), [0.0, 0.0, 1.0])
    """
    corners = mesh.corners()
    vectors = area_vectors(corners)
    areas = np.linalg.norm(vectors, axis=1)
    upto = np.cumsum(areas)
    random = np.random.default_rng(seed)
    # One sample in each of *count* equal strips of area: evener than independent draws.
    at = (np.arange(count) + random.random(count)) / count * upto[-1]
    faces = np.minimum(np.searchsorted(upto, at), len(areas) - 1)
    u, v = random.random((2, count))
    root = np.sqrt(u)
    weights = np.column_stack([1 - root, root * (1 - v), root * v])
    points = np.einsum("ij,ijk->ik", weights, corners[faces])
    return faces, points, vectors[faces] / np.maximum(areas[faces], 1e-300)[:, None]

"""Points spread over a surface by area, the same ones every time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.triangles import area_vectors

SEED = 20_261


class Skin:
    """A surface prepared once for many samples: its corners (n, 3, 3), areas and outward unit normals (n, 3)."""

    def __init__(self, mesh: Mesh) -> None:
        self._corners = mesh.corners()
        vectors = area_vectors(self._corners)
        areas = np.linalg.norm(vectors, axis=1)
        self.normals: Floats = vectors / np.maximum(areas, 1e-300)[:, None]
        self._area_upto = np.cumsum(areas)

    def sample(self, count: int, seed: int = SEED) -> tuple[NDArray[np.int64], Floats, Floats]:
        """*count* points spread evenly by area: their faces (k,), places (k, 3) and outward unit normals (k, 3).

        >>> from moldvol.geometry.mesh import Mesh
        >>> skin = Skin(Mesh.of([(0, 0, 0), (4, 0, 0), (0, 4, 0)], [(0, 1, 2)]))
        >>> faces, points, normals = skin.sample(5)
        >>> points.shape, normals[0].tolist()
        ((5, 3), [0.0, 0.0, 1.0])
        """
        random = np.random.default_rng(seed)
        # One sample in each of *count* equal strips of area: evener than independent draws.
        at = (np.arange(count) + random.random(count)) / count * self._area_upto[-1]
        faces = np.minimum(np.searchsorted(self._area_upto, at), len(self._area_upto) - 1)
        u, v = random.random((2, count))
        root = np.sqrt(u)
        weights = np.column_stack([1 - root, root * (1 - v), root * v])
        points = np.einsum("ij,ijk->ik", weights, self._corners[faces])
        return faces, points, self.normals[faces]

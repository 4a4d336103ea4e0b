"""The exact distance from points to a triangle mesh, the nearest point and the way there.

Lengths in mm. Built once, asked many times: the tree over the triangles is the costly part.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.field.nearest_face import FaceFinder, closest_on_triangles, face_finder
from moldvol.geometry.linked import linked_blocks
from moldvol.geometry.mesh import Floats, Mesh

GOLDEN = 0.7548776662466927  # 1 / 1.3247…, the root of x³ = x + 1: its two first powers fill a square evenly


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """What is nearest to m points: ``distance_mm`` (m,) away, ``point_mm`` (m, 3), on triangle ``face`` (m,)."""

    distance_mm: Floats
    point_mm: Floats
    face: NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """The triangles of a mesh; ``nearest_face`` finds the one nearest to each of many points, by a tree of boxes."""

    vertices: Floats
    faces: NDArray[np.int64]
    nearest_face: FaceFinder

    @classmethod
    def of(cls, mesh: Mesh) -> Surface:
        """The tree over *mesh*."""
        vertices = np.ascontiguousarray(mesh.vertices, dtype=np.float64)
        faces = np.ascontiguousarray(mesh.faces, dtype=np.int64)
        return cls(vertices, faces, face_finder(vertices, faces))

    def nearest(self, points: Floats) -> Nearest:
        """The nearest surface point to each of *points* (m, 3), exact to a few ten-millionths of the part's size."""
        face = self.nearest_face(np.ascontiguousarray(points, dtype=np.float64))
        point = closest_on_triangles(points, self.vertices[self.faces[face]])
        return Nearest(np.linalg.norm(points - point, axis=1), point, face)

    def distance(self, points: Floats) -> Floats:
        """(m,) distance of *points* (m, 3) from the surface, mm, never negative."""
        return self.nearest(points).distance_mm

    def places(self, count: int, faces: NDArray[np.int64] | None = None) -> Floats:
        """(count, 3): places spread evenly by area over the surface, or over some *faces* of it, the same every time.

        Method: equal steps of running area, and within the triangles a sequence of low discrepancy in two dimensions
        (powers of the plastic number; from memory).
        """
        a, b, c = np.moveaxis(self.vertices[self.faces if faces is None else self.faces[faces]], 1, 0)
        running = np.cumsum(np.linalg.norm(np.cross(b - a, c - a), axis=1))
        steps = (np.arange(count) + 0.5) / count
        face = np.minimum(np.searchsorted(running, steps * running[-1]), len(running) - 1)
        along, across = np.arange(count) * GOLDEN % 1.0, np.arange(count) * GOLDEN**2 % 1.0
        folded = along + across > 1  # the other half of the parallelogram turned back onto the triangle
        along, across = np.where(folded, 1 - along, along), np.where(folded, 1 - across, across)
        a, b, c = a[face], b[face], c[face]
        return np.asarray(a + along[:, None] * (b - a) + across[:, None] * (c - a))

    def face_normals(self, faces: NDArray[np.int64]) -> Floats:
        """(m, 3) unit outward normals of *faces*; zero for one without area."""
        a, b, c = np.moveaxis(self.vertices[self.faces[faces]], 1, 0)
        normals = np.cross(b - a, c - a)
        lengths = np.linalg.norm(normals, axis=1, keepdims=True)
        return np.asarray(normals / np.where(lengths == 0, 1.0, lengths))


def pieces_of(faces: NDArray[np.int64], vertices: int) -> NDArray[np.int64]:
    """(v,) for each of *vertices* vertices the number of the connected piece that *faces* (n, 3) put it in."""
    return linked_blocks([faces[:, :2], faces[:, 1:]], vertices).astype(np.int64)

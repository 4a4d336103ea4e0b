"""Triangles as arrays: the one form in which surfaces travel through the rooms.

Lengths in mm. Faces turn counter-clockwise seen from outside, so signed volumes of closed meshes are positive.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

CHUNK_FACES = 1 << 16  # 65,536 triangles are 5 MB as float64 corners: blocks that stay in the cache


@dataclass(frozen=True, eq=False)
class Mesh:
    """An indexed triangle mesh.

    ``vertices`` is (v, 3), float64 or, straight from a large file, float32; ``faces`` is (n, 3) int32 into it.
    """

    vertices: NDArray[np.floating]
    faces: Ints

    @classmethod
    def of(cls, vertices: ArrayLike, faces: ArrayLike) -> Mesh:
        """A mesh from anything array-like, as float64 and int32."""
        return cls(
            np.ascontiguousarray(vertices, dtype=np.float64).reshape(-1, 3),
            np.ascontiguousarray(faces, dtype=np.int32).reshape(-1, 3),
        )

    @cached_property
    def bounds(self) -> Floats:
        """(2, 3): lower and upper corner of the box around the vertices that faces use, mm."""
        used = self.vertices if len(self.faces) > len(self.vertices) else self.vertices[self.faces.ravel()]
        # Column by column: reducing a long (v, 3) array along its first axis takes ten times as long.
        columns = [used[:, k] for k in range(3)]
        box = np.array([[c.min() for c in columns], [c.max() for c in columns]], dtype=np.float64)
        box.setflags(write=False)  # one array for all who ask
        return box

    @property
    def size_mm(self) -> Floats:
        """(3,): edge lengths of the bounding box."""
        low, high = self.bounds
        return np.asarray(high - low)

    @property
    def diagonal_mm(self) -> float:
        """Length of the bounding box's diagonal."""
        return float(np.linalg.norm(self.size_mm))

    def corners(self) -> Floats:
        """(n, 3, 3): the corner points of every triangle."""
        return self.vertices[self.faces].astype(np.float64, copy=False)

    def transformed(self, matrix: ArrayLike) -> Mesh:
        """The mesh under a 4 × 4 affine *matrix*; a mirroring matrix turns the faces, so outside stays outside."""
        m = np.asarray(matrix, dtype=np.float64)
        moved = self.vertices.astype(np.float64) @ m[:3, :3].T + m[:3, 3]
        faces = self.faces[:, ::-1] if np.linalg.det(m[:3, :3]) < 0 else self.faces
        return Mesh.of(moved, faces)

    def scaled(self, factor: float) -> Mesh:
        """The mesh enlarged by *factor* about the file's origin."""
        return self if factor == 1 else Mesh(self.vertices.astype(np.float64) * factor, self.faces)

    def flipped(self) -> Mesh:
        """The mesh turned inside out."""
        return Mesh(self.vertices, np.ascontiguousarray(self.faces[:, ::-1]))


def join(meshes: list[Mesh]) -> Mesh:
    """All *meshes* side by side in one, in their order."""
    if len(meshes) == 1:
        return meshes[0]
    starts = np.cumsum([0] + [len(mesh.vertices) for mesh in meshes])
    return Mesh(
        np.concatenate([mesh.vertices for mesh in meshes]) if meshes else np.zeros((0, 3)),
        np.concatenate([mesh.faces + np.int32(start) for mesh, start in zip(meshes, starts, strict=False)])
        if meshes
        else np.zeros((0, 3), dtype=np.int32),
    )


def blocks(faces: Ints) -> Iterator[Ints]:
    """*faces* a block at a time, so that what is worked out for each stays small."""
    for start in range(0, len(faces), CHUNK_FACES):
        yield faces[start : start + CHUNK_FACES]

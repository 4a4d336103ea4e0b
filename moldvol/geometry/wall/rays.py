"""Rays through a mesh, by the fastest engine at hand.

The mesh is moved and scaled into a unit box first, so that the engine's single precision and fixed epsilons mean the
same for a bead and for a boat.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.triangles import unit_normals

# Share of the box by which a ray starts off its own triangle: single precision resolves 6e-8 of it.
START_OFFSET = 1e-6
# A ray that keeps meeting walls facing its own way is given up after so many.
MOST_RETRIES = 8


class RayCaster:
    """A mesh prepared once for many rays."""

    def __init__(self, mesh: Mesh, normals: Floats | None = None) -> None:
        """*normals* (n, 3), the unit normals of the faces, need only be given where they are known already."""
        low, high = mesh.bounds
        self._middle = (low + high) / 2
        self._scale = 1 / (float((high - low).max()) or 1.0)
        vertices = (mesh.vertices - self._middle) * self._scale
        self._normals = unit_normals(mesh.corners()) if normals is None else normals
        self._engine = _engine(vertices, mesh.faces)

    def exit_distances(
        self, points: Floats, directions: Floats, faces: NDArray[np.int64], least_facing: float
    ) -> Floats:
        """(k,) mm along each ray to the first wall it leaves the body through; NaN where it finds none.

        ``points`` (k, 3) lie on the triangles ``faces`` (k,), ``directions`` (k, 3) are unit vectors. Walls met from
        outside, or at a flatter angle than *least_facing* (the cosine to the wall's normal), are passed through.
        """
        start = (points - self._middle) * self._scale
        travelled = np.full(len(start), START_OFFSET)
        found = np.full(len(start), np.nan)
        alive = np.arange(len(start))
        for _ in range(MOST_RETRIES):
            if len(alive) == 0:
                break
            origin = start[alive] + travelled[alive, None] * directions[alive]
            face, step = self._engine(origin, directions[alive])
            hit = face >= 0
            leaving = np.zeros(len(alive), dtype=bool)
            facing = np.einsum("ij,ij->i", self._normals[face[hit]], directions[alive[hit]])
            leaving[hit] = (facing > least_facing) & (face[hit] != faces[alive[hit]])
            found[alive[leaving]] = travelled[alive[leaving]] + step[leaving]
            travelled[alive] += step + START_OFFSET
            alive = alive[hit & ~leaving]
        return np.asarray(found / self._scale)


def _engine(vertices: Floats, faces: NDArray[np.int32]) -> Any:
    """A function from origins and directions to the first face hit (−1 for none) and the distance to it."""
    try:
        from embreex import rtcore_scene
        from embreex.mesh_construction import TriangleMesh
    except ImportError:  # no wheel for this machine: the R-tree does the same, a hundred times slower
        return _tree_engine(vertices, faces)
    scene = rtcore_scene.EmbreeScene()
    TriangleMesh(scene, np.ascontiguousarray(vertices, dtype=np.float32), np.ascontiguousarray(faces, dtype=np.int32))

    def first_hits(origins: Floats, directions: Floats) -> tuple[NDArray[np.int64], Floats]:
        hits = scene.run(
            np.ascontiguousarray(origins, dtype=np.float32),
            np.ascontiguousarray(directions, dtype=np.float32),
            query="INTERSECT",
            output=True,
        )
        face = np.asarray(hits["primID"]).astype(np.int64)
        return face, np.where(face >= 0, np.asarray(hits["tfar"], dtype=np.float64), 0.0)

    return first_hits


def _tree_engine(vertices: Floats, faces: NDArray[np.int32]) -> Any:
    import trimesh

    mesh = trimesh.Trimesh(vertices, faces, process=False)
    caster: Any = trimesh.ray.ray_triangle.RayMeshIntersector(mesh)  # type: ignore[no-untyped-call]

    def first_hits(origins: Floats, directions: Floats) -> tuple[NDArray[np.int64], Floats]:
        face = np.full(len(origins), -1, dtype=np.int64)
        distance = np.zeros(len(origins))
        hit, ray, place = caster.intersects_id(origins, directions, multiple_hits=False, return_locations=True)
        face[ray] = hit
        distance[ray] = np.linalg.norm(place - origins[ray], axis=1)
        return face, distance

    return first_hits

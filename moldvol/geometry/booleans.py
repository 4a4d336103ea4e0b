"""The one door to the solid modelling kernel: a status other than "no error" becomes None here, never a volume of 0.0."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np

from moldvol.geometry.mesh import Floats, Mesh


def to_kernel(mesh: Mesh, about: Floats) -> manifold3d.Manifold | None:
    """*mesh* as a solid of the kernel, moved so that the point *about* is its origin; None when the kernel refuses it."""
    if len(mesh.faces) == 0:
        return None
    points = np.ascontiguousarray(mesh.vertices - about, dtype=np.float64)
    made = manifold3d.Manifold(manifold3d.Mesh64(points, np.ascontiguousarray(mesh.faces, dtype=np.uint64)))
    return sound_or_none(made)


def sound_or_none(made: manifold3d.Manifold) -> manifold3d.Manifold | None:
    """*made*, or None where the kernel reports that it is not a valid solid."""
    return made if made.status() == manifold3d.Error.NoError else None


def from_kernel(solid: manifold3d.Manifold, about: Floats) -> Mesh:
    """The kernel's *solid* as a mesh, moved back by *about*."""
    made = solid.to_mesh64()
    return Mesh.of(np.asarray(made.vert_properties)[:, :3] + about, np.asarray(made.tri_verts))


def united(solids: Sequence[manifold3d.Manifold]) -> manifold3d.Manifold | None:
    """The union of *solids*, or None where the kernel fails."""
    return sound_or_none(manifold3d.Manifold.batch_boolean(list(solids), manifold3d.OpType.Add))

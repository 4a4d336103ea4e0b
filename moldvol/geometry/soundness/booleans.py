"""The one door to the solid modelling kernel: a status other than "no error" becomes None here, never a volume of 0.0.

None in gives None out, so that a chain of operations is asked once at its end.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from moldvol.geometry.mesh import Floats, Mesh

if TYPE_CHECKING:
    import manifold3d

    KernelSolid: TypeAlias = manifold3d.Manifold


def to_kernel(mesh: Mesh, about: Floats) -> KernelSolid | None:
    """*mesh* as a solid of the kernel, with the point *about* as its origin; None when the kernel refuses it."""
    import manifold3d  # most files hold one body and never need it

    if len(mesh.faces) == 0:
        return None
    points = np.ascontiguousarray(mesh.vertices - about, dtype=np.float64)
    return _sound(manifold3d.Manifold(manifold3d.Mesh64(points, np.ascontiguousarray(mesh.faces, dtype=np.uint64))))


def from_kernel(solid: KernelSolid, about: Floats) -> Mesh:
    """The kernel's *solid* as a mesh, moved back by *about*."""
    made = solid.to_mesh64()
    return Mesh.of(np.asarray(made.vert_properties)[:, :3] + about, np.asarray(made.tri_verts))


def common(one: KernelSolid | None, other: KernelSolid | None) -> KernelSolid | None:
    """What two solids share."""
    return None if one is None or other is None else _sound(one ^ other)


def united(solids: Sequence[KernelSolid | None]) -> KernelSolid | None:
    """The union of *solids*, at least one."""
    known = [solid for solid in solids if solid is not None]
    if not known or len(known) < len(solids):
        return None
    whole = known[0]
    return _sound(type(whole).batch_boolean(known, _operations().Add))


def less(solid: KernelSolid | None, taken: Sequence[KernelSolid | None]) -> KernelSolid | None:
    """*solid* without all of *taken*."""
    known = [other for other in taken if other is not None]
    if solid is None or len(known) < len(taken):
        return None
    return _sound(type(solid).batch_boolean([solid, *known], _operations().Subtract)) if known else solid


def _operations() -> Any:
    import manifold3d

    return manifold3d.OpType


def _sound(made: KernelSolid) -> KernelSolid | None:
    import manifold3d

    return made if made.status() == manifold3d.Error.NoError else None

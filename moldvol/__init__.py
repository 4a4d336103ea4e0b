"""From the mesh of a master or a mould to the grams on the scale.

The public names are resolved on demand, so importing the package costs nothing. See docs/library.md.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from moldvol.casting.cast import CastPlan, plan_cast
    from moldvol.casting.measure import MeasurePlan, plan_measure
    from moldvol.errors import MeshError, MoldvolError, RequestError, ShelfError, UnreadableMesh, UnsoundMesh
    from moldvol.geometry.caliper import Wall, feel_wall
    from moldvol.geometry.mesh import Mesh
    from moldvol.geometry.reading import read_mesh
    from moldvol.geometry.solid import Solid, SolidRequest, read_solid
    from moldvol.materials.shelf import Shelf, load_shelf
    from moldvol.notices import Notice

__version__ = "0.1.0"

_HOME = {
    "CastPlan": "moldvol.casting.cast",
    "feel_wall": "moldvol.geometry.caliper",
    "load_shelf": "moldvol.materials.shelf",
    "MeasurePlan": "moldvol.casting.measure",
    "Mesh": "moldvol.geometry.mesh",
    "MeshError": "moldvol.errors",
    "MoldvolError": "moldvol.errors",
    "Notice": "moldvol.notices",
    "plan_cast": "moldvol.casting.cast",
    "plan_measure": "moldvol.casting.measure",
    "read_mesh": "moldvol.geometry.reading",
    "read_solid": "moldvol.geometry.solid",
    "RequestError": "moldvol.errors",
    "Shelf": "moldvol.materials.shelf",
    "ShelfError": "moldvol.errors",
    "Solid": "moldvol.geometry.solid",
    "SolidRequest": "moldvol.geometry.solid",
    "UnreadableMesh": "moldvol.errors",
    "UnsoundMesh": "moldvol.errors",
    "Wall": "moldvol.geometry.caliper",
}

__all__ = [
    "CastPlan",
    "feel_wall",
    "load_shelf",
    "MeasurePlan",
    "Mesh",
    "MeshError",
    "MoldvolError",
    "Notice",
    "plan_cast",
    "plan_measure",
    "read_mesh",
    "read_solid",
    "RequestError",
    "Shelf",
    "ShelfError",
    "Solid",
    "SolidRequest",
    "UnreadableMesh",
    "UnsoundMesh",
    "Wall",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'moldvol' has no attribute '{name}'")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])

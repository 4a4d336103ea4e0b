"""From the mesh of a master or a mould to the grams on the scale.

The public names are resolved on demand, so importing the package costs nothing. See docs/library.md.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from moldvol.casting.cast import CastPlan, CastRequest, plan_cast
    from moldvol.casting.compare import ComparePlan, plan_compare
    from moldvol.casting.fill import FillPlan, plan_fill
    from moldvol.casting.fill_request import FillRequest
    from moldvol.casting.heat_of_cast import CastHeat, HeatRequest, plan_cast_heat
    from moldvol.casting.hollow import HollowPlan, HollowRequest, plan_hollow
    from moldvol.casting.hollow_part import HollowPart, field_of
    from moldvol.casting.measure import MeasurePlan, plan_measure
    from moldvol.casting.mixing.mix import plan_mix
    from moldvol.casting.mixing.recipe import MixPlan, MixRequest
    from moldvol.casting.mould.jacket import JacketRequest
    from moldvol.casting.mould.plan import MouldPlan, plan_mould
    from moldvol.casting.mould.request import MouldRequest
    from moldvol.errors import MeshError, MoldvolError, RequestError, ShelfError, UnreadableMesh, UnsoundMesh
    from moldvol.geometry.field.distance import DistanceField
    from moldvol.geometry.judging import read_solid
    from moldvol.geometry.mesh import Mesh
    from moldvol.geometry.plugging import plug_holes
    from moldvol.geometry.reading import read_mesh
    from moldvol.geometry.solid import Reading, Solid, SolidRequest
    from moldvol.geometry.wall.caliper import Wall, feel_wall
    from moldvol.materials.mixtures.additions import Addition
    from moldvol.materials.mixtures.laminate import LayUp
    from moldvol.materials.shelf import Shelf, load_shelf
    from moldvol.materials.weighing.scales import Scale
    from moldvol.notices import Notice

__version__ = "0.1.0"

_HOME = {
    "Addition": "moldvol.materials.mixtures.additions",
    "CastHeat": "moldvol.casting.heat_of_cast",
    "CastPlan": "moldvol.casting.cast",
    "CastRequest": "moldvol.casting.cast",
    "ComparePlan": "moldvol.casting.compare",
    "DistanceField": "moldvol.geometry.field.distance",
    "feel_wall": "moldvol.geometry.wall.caliper",
    "field_of": "moldvol.casting.hollow_part",
    "FillPlan": "moldvol.casting.fill",
    "FillRequest": "moldvol.casting.fill_request",
    "HeatRequest": "moldvol.casting.heat_of_cast",
    "HollowPart": "moldvol.casting.hollow_part",
    "HollowPlan": "moldvol.casting.hollow",
    "HollowRequest": "moldvol.casting.hollow",
    "JacketRequest": "moldvol.casting.mould.jacket",
    "LayUp": "moldvol.materials.mixtures.laminate",
    "load_shelf": "moldvol.materials.shelf",
    "MeasurePlan": "moldvol.casting.measure",
    "Mesh": "moldvol.geometry.mesh",
    "MeshError": "moldvol.errors",
    "MixPlan": "moldvol.casting.mixing.recipe",
    "MixRequest": "moldvol.casting.mixing.recipe",
    "MoldvolError": "moldvol.errors",
    "MouldPlan": "moldvol.casting.mould.plan",
    "MouldRequest": "moldvol.casting.mould.request",
    "Notice": "moldvol.notices",
    "plan_cast": "moldvol.casting.cast",
    "plan_cast_heat": "moldvol.casting.heat_of_cast",
    "plan_compare": "moldvol.casting.compare",
    "plan_fill": "moldvol.casting.fill",
    "plan_hollow": "moldvol.casting.hollow",
    "plan_measure": "moldvol.casting.measure",
    "plan_mix": "moldvol.casting.mixing.mix",
    "plan_mould": "moldvol.casting.mould.plan",
    "plug_holes": "moldvol.geometry.plugging",
    "read_mesh": "moldvol.geometry.reading",
    "read_solid": "moldvol.geometry.judging",
    "Reading": "moldvol.geometry.solid",
    "RequestError": "moldvol.errors",
    "Scale": "moldvol.materials.weighing.scales",
    "Shelf": "moldvol.materials.shelf",
    "ShelfError": "moldvol.errors",
    "Solid": "moldvol.geometry.solid",
    "SolidRequest": "moldvol.geometry.solid",
    "UnreadableMesh": "moldvol.errors",
    "UnsoundMesh": "moldvol.errors",
    "Wall": "moldvol.geometry.wall.caliper",
}

__all__ = [
    "Addition",
    "CastHeat",
    "CastPlan",
    "CastRequest",
    "ComparePlan",
    "DistanceField",
    "feel_wall",
    "field_of",
    "FillPlan",
    "FillRequest",
    "HeatRequest",
    "HollowPart",
    "HollowPlan",
    "HollowRequest",
    "JacketRequest",
    "LayUp",
    "load_shelf",
    "MeasurePlan",
    "Mesh",
    "MeshError",
    "MixPlan",
    "MixRequest",
    "MoldvolError",
    "MouldPlan",
    "MouldRequest",
    "Notice",
    "plan_cast",
    "plan_cast_heat",
    "plan_compare",
    "plan_fill",
    "plan_hollow",
    "plan_measure",
    "plan_mix",
    "plan_mould",
    "plug_holes",
    "read_mesh",
    "read_solid",
    "Reading",
    "RequestError",
    "Scale",
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

"""A mould as JSON: the contract's ``mould`` with all that a script may want beside it."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mould.plan import MouldPlan
from moldvol.casting.mould.pours import Pour
from moldvol.geometry.moulding.orientation import BoxedPose
from moldvol.present.as_json import warnings
from moldvol.present.measure import solid_json
from moldvol.present.mixing import pots, weigh_out
from moldvol.present.moulds import jacket, mould_box, vents
from moldvol.present.moulds.mould import Told


def document(told: Told) -> dict[str, Any]:
    """The plan as one JSON object."""
    plan, mesh = told.plan, solid_json(told.plan.solid)
    return {
        **mesh,
        "mould": _mould_json(told),
        "mix": weigh_out.document(plan.mix),
        "pots": [pots.document(split) for split in told.pots] or None,
        "warnings": [*mesh["warnings"], *warnings(told.notices)],
        "cautions": list(plan.cautions),
    }


def _mould_json(told: Told) -> dict[str, Any]:
    plan = told.plan
    return {
        "style": plan.style,
        "parts": plan.request.parts,
        "open_face": plan.request.on_board,
        "rubber": plan.mix.request.resin.key,
        "up": plan.rotation[2],
        "rotation": plan.rotation,
        "part_mm": plan.part_mm,
        "outside_mm": plan.outside_mm,
        "rubber_volume_mm3": plan.rubber_volume_mm3,
        "rubber_volume_error_mm3": plan.rubber_volume_error_mm3,
        "rubber_mass_g": plan.rubber_mass_g,
        "allowance_percent": 100 * plan.needed.allowed.share,
        "allowance_source": plan.needed.allowed.source,
        "allowance_g": plan.needed.allowance_g,
        "total_mass_g": plan.total_mass_g,
        "cost": plan.cost,
        "pours": [_pour_json(pour) for pour in plan.pours],
        "thickener_g": plan.thickener_g,
        "keys": None
        if plan.keys is None
        else {"count": plan.keys.count, "radius_mm": plan.keys.radius_mm, "volume_mm3": plan.keys.volume_mm3},
        "flange": None
        if plan.flange is None
        else {"width_mm": plan.flange.width_mm, "area_mm2": plan.flange.area_mm2, "volume_mm3": plan.flange.volume_mm3},
        "box": None if plan.box is None else mould_box.box_json(plan.box),
        "orientations": [_pose_json(plan, pose) for pose in plan.smallest] if plan.box else None,
        "jacket": None if plan.jacket is None else jacket.jacket_json(plan.jacket),
        "degassing": None if plan.degassing is None else mould_box.degassing_json(plan.degassing),
        "release": vents.release_json(plan.release),
        "best_release": vents.release_json(plan.best_release),
        "split": vents.split_json(plan.split),
        "best_split": vents.split_json(plan.best_split),
        "parting_above_foot_mm": plan.parting_above_foot_mm,
        "pour_up": told.air.up,
        "trapped_air_mm3": told.air.volume_mm3,
        "pockets": vents.air_json(told.air.pockets),
    }


def _pour_json(pour: Pour) -> dict[str, Any]:
    return {
        "name": pour.name,
        "volume_mm3": pour.volume_mm3,
        "skin_mm": pour.skin_mm,
        "mass_g": pour.mix.total_mass_g,
        "thickener_g": pour.thickener_g,
        "components": [weigh_out.component_json(component) for component in pour.mix.components],
    }


def _pose_json(plan: MouldPlan, pose: BoxedPose) -> dict[str, Any]:
    return {
        "up": pose.rotation[2],
        "outside_mm": pose.box_mm,
        "rubber_volume_mm3": pose.volume_mm3 - plan.solid.outer_volume_mm3,
        "taken": pose.rotation == plan.rotation,
    }

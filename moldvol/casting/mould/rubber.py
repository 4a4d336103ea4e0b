"""The rubber of each style of mould around a master that stands in its pose. Lengths in mm, volumes in mm³.

A block is its box less the master; a glove and a poured-over skin are the parallel body around the master, less it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from moldvol.casting.mould.box import MouldBox, box_with_inside
from moldvol.casting.mould.glove import Coat, Flange, coat_ends_mm, plan_coats, plan_flange, skin_volume
from moldvol.casting.mould.jacket import Jacket, plan_jacket
from moldvol.casting.mould.request import MouldRequest
from moldvol.errors import RequestError
from moldvol.geometry.field.parallel import ParallelBodies
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding.level_cuts import volume_above
from moldvol.geometry.moulding.orientation import BoxedPose, Vector
from moldvol.geometry.solid import Solid


@dataclass(frozen=True, slots=True)
class Keys:
    """Half-balls that make two halves, or rubber and jacket, find each other again; ``volume_mm3`` is all of them."""

    count: int
    radius_mm: float
    volume_mm3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rubber:
    """What one style makes of the master: ``pieces`` are names and volumes in the order of pouring."""

    outside_mm: Vector
    volume_mm3: float
    error_mm3: float
    pieces: tuple[tuple[str, float], ...]
    keys: Keys | None = None
    box: MouldBox | None = None
    coats: tuple[Coat, ...] = ()
    flange: Flange | None = None
    jacket: Jacket | None = None


def block_rubber(solid: Solid, request: MouldRequest, pose: BoxedPose, standing: Mesh, parting_mm: float) -> Rubber:
    """Rubber poured around the master *standing* in a box; two parts meet at the height *parting_mm*.

    Raises `RequestError` for keys that the first half has no room for.

    Error: the master's own; sealed rooms inside it hold no rubber.
    """
    volume = pose.volume_mm3 - solid.outer_volume_mm3
    keys = _keys(request) if request.parts == 2 else None
    pieces: tuple[tuple[str, float], ...] = (("block", volume),)
    if keys is not None:
        depth, below = _lower_half(solid, request, pose, standing, parting_mm)
        if keys.radius_mm >= depth or keys.volume_mm3 >= below:
            raise RequestError(
                f"{keys.count} keys of {keys.radius_mm:g} mm radius do not fit the block, whose first half is "
                f"{depth:.3g} mm deep; choose a smaller radius or fewer keys."
            )
        lower = below - keys.volume_mm3
        pieces = (("first half", lower), ("second half", volume - lower))
    return Rubber(
        outside_mm=pose.box_mm,
        volume_mm3=volume,
        error_mm3=solid.outer_volume_error_mm3,
        pieces=pieces,
        keys=keys,
        box=box_with_inside(pose.box_mm, request.board_mm),
    )


def skin_rubber(solid: Solid, request: MouldRequest, pose: BoxedPose, standing: Mesh) -> Rubber:
    """Rubber in a skin around the master *standing* on the board or free, with flange, keys and jacket."""
    skin = request.thickness_mm
    bodies = ParallelBodies.of(
        standing,
        skin + request.jacket.reach_mm,
        on_board=request.on_board,
        volume_mm3=solid.outer_volume_mm3,
    )
    flange = plan_flange(bodies, skin, request.flange_mm)
    volume = skin_volume(bodies, skin, flange)
    keys = _keys(request) if request.jacket.kind != "none" else None
    total = volume.volume_mm3 + (keys.volume_mm3 if keys else 0.0)
    brushed = request.style == "glove"
    ends = coat_ends_mm(skin, request.detail_mm, request.coats) if brushed else ()
    return Rubber(
        outside_mm=_skin_size(pose, flange),
        volume_mm3=total,
        error_mm3=volume.error_mm3 + solid.outer_volume_error_mm3,
        pieces=((request.style, total),),
        keys=keys,
        coats=plan_coats(bodies, ends, flange) if brushed else (),
        flange=flange,
        jacket=plan_jacket(request.jacket, bodies, skin, flange.area_mm2 if flange else 0.0),
    )


def _keys(request: MouldRequest) -> Keys | None:
    if request.keys == 0:
        return None
    radius = request.key_size_mm
    return Keys(request.keys, radius, request.keys * 2 / 3 * pi * radius**3)


def _lower_half(
    solid: Solid, request: MouldRequest, pose: BoxedPose, standing: Mesh, parting_mm: float
) -> tuple[float, float]:
    """Depth in mm and rubber in mm³ below the parting, which is kept between the box's floor and ceiling."""
    floor = float(standing.bounds[0, 2]) - request.clearance.below_mm
    level = min(max(parting_mm, floor), floor + pose.box_mm[2])
    master = solid.outer_volume_mm3 - volume_above(standing, level)
    return level - floor, pose.box_mm[0] * pose.box_mm[1] * (level - floor) - master


def _skin_size(pose: BoxedPose, flange: Flange | None) -> Vector:
    x, y, z = pose.box_mm
    rim = 2 * flange.width_mm if flange else 0.0
    return x + rim, y + rim, z

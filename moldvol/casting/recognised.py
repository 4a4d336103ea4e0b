"""What kind of mould a mesh is, and what it holds before anyone asks for grams. Lengths in mm, volumes in mm³."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from moldvol.casting.fill_request import FillRequest
from moldvol.errors import RequestError
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding.directions import Nets, held_roughly
from moldvol.geometry.moulding.levels import Basin, StandingMould, TrappedAir, trapped_air
from moldvol.geometry.moulding.mould_halves import bodies_of, matched_halves
from moldvol.geometry.moulding.orientation import Vector, pour_directions, vector
from moldvol.geometry.moulding.undercuts import Release, release, release_of_faces
from moldvol.geometry.solid import Reading, Solid
from moldvol.geometry.soundness.booleans import from_kernel, to_kernel, united
from moldvol.notices import Notice

MouldKind = Literal["open mould", "mould with a sprue", "two halves", "cavity"]

UP: Vector = (0.0, 0.0, 1.0)
LEAST_MOULD_SHARE = 0.01  # of its box: a mesh whose basins hold less is a part with dimples
SPRUE_SURFACE = 0.25  # of volume^(2/3): with a smaller surface the liquid stands in a neck
CLOSED_SHARE = 0.9  # of what the halves hold together: a file with them closed holds as much through the sprue
LOOK_CELLS = 100_000  # for a first look at which side is the mouth
MOST_JOINED = 8  # bodies
TURN_FACTOR = 1.5  # how much more another side must hold than +z


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """What one kind of mould holds when it stands with *up* to the ceiling.

    ``release`` says of an open mould how a cast comes straight up out of it, of a cavity how a rigid mould around it
    comes straight down off it.
    """

    kind: MouldKind
    up: Vector
    volume_mm3: float
    error_mm3: float
    basins: tuple[Basin, ...] = ()
    stood: StandingMould | None = None
    air: TrappedAir | None = None
    release: Release | None = None
    notices: tuple[Notice, ...] = ()


def recognise(solid: Solid, request: FillRequest) -> Hold:
    """What *solid* is taken for in *request*, and what it holds.

    A mesh with basins worth a hundredth of its box is a mould; two bodies that part at matching faces are its halves;
    anything else, and what had its drain holes plugged, is a master, whose inside is the cavity.

    Raises `RequestError` where a mesh taken as a mould holds nothing, or a drop empties it.
    """
    if request.taken_as == "cavity" or (request.taken_as == "auto" and _is_master(solid)):
        return _cavity(solid, request)
    stood = _stood(solid, request)
    halves = matched_halves(solid.mesh) if request.taken_as == "auto" and len(solid.bodies) == 2 else None
    # Closed on each other two halves hold all of it through their sprue; side by side each only what stays in a tray.
    if halves is not None and (stood is None or stood.volume_mm3 < CLOSED_SHARE * halves.volume_mm3):
        return _halves(request, halves)
    if stood is not None:
        return stood
    if request.taken_as == "mould":
        raise RequestError(
            f"{solid.name} holds nothing with this side up; turn its mouth up, or leave out that it is a mould.",
            file=solid.name,
        )
    return replace(_cavity(solid, request), notices=_holds_otherwise(solid, request))


def _holds_otherwise(solid: Solid, request: FillRequest) -> tuple[Notice, ...]:
    """That a mesh taken for a master is a mould with another side up than was asked for."""
    if request.up is None or request.taken_as != "auto":
        return ()
    mesh = _as_one(solid)
    nets = Nets.outside(mesh, LOOK_CELLS)
    held, side = max((held_roughly(nets, side), vector(side)) for side in pour_directions()[:6])
    x, y, z = solid.size_mm
    if held <= LEAST_MOULD_SHARE * x * y * z:
        return ()
    asked, better = (",".join(f"{number:g}" for number in way) for way in (request.up, side))
    told = (
        f"With {asked} up it holds nothing, so it is taken for a master; with {better} up it is a mould that holds "
        f"about {held / 1000:.3g} ml."
    )
    return (Notice("another-side-holds", told, grave=True),)


def _is_master(solid: Solid) -> bool:
    """Whether what was asked of the mesh says so: to take its room as the cast, or to plug its drain holes."""
    return solid.reading is Reading.CAVITY or any(mending.what == "holes_plugged" for mending in solid.mendings)


def _stood(solid: Solid, request: FillRequest) -> Hold | None:
    """The mesh as an open mould with its mouth up, None if it holds too little to be one."""
    mesh = _as_one(solid)
    up = request.up or _mouth_up(mesh)
    mould = StandingMould.of(mesh, up)
    x, y, z = solid.size_mm
    least = 0.0 if request.taken_as == "mould" else LEAST_MOULD_SHARE * x * y * z
    if sum(basin.volume_mm3 for basin in mould.basins) <= least:
        return None
    held, brim = mould.held(request.drop_mm), mould.held()
    necked = brim.basins[0].surface_mm2 < SPRUE_SURFACE * brim.basins[0].volume_mm3 ** (2 / 3)
    return Hold(
        kind="mould with a sprue" if necked else "open mould",
        up=held.up,
        volume_mm3=held.volume_mm3,
        error_mm3=held.volume_error_mm3,
        basins=held.basins,
        stood=mould,
        air=mould.air(request.smallest_pocket_mm3),
        release=None if necked else _comes_out(mould),
        notices=_turned(up, request),
    )


def _comes_out(mould: StandingMould) -> Release | None:
    """How a cast comes straight up out of the basins of *mould*."""
    mesh = mould.room.mesh
    wet = np.any([basin.skin for basin in mould.basins], axis=0)
    found = release_of_faces(mesh, UP, wet[mesh.faces].any(axis=1))
    if found is None:
        return None
    worst = None if found.worst_at_mm is None else vector(np.asarray(found.worst_at_mm) @ mould.frame)
    return replace(found, pull=mould.up, worst_at_mm=worst)


def _as_one(solid: Solid) -> Mesh:
    """The mesh with bodies that touch made one: liquid does not run between halves closed on each other."""
    if not 2 <= len(solid.bodies) <= MOST_JOINED:
        return solid.mesh
    about = solid.mesh.bounds.mean(axis=0)
    whole = united([to_kernel(body, about) for body in bodies_of(solid.mesh)])
    return solid.mesh if whole is None else from_kernel(whole, about)


def _mouth_up(mesh: Mesh) -> Vector:
    """+z, unless the mesh holds far more with another side up."""
    sides = pour_directions()[:6]
    nets = Nets.outside(mesh, LOOK_CELLS)
    held = [held_roughly(nets, side) for side in sides]
    best = max(range(6), key=lambda number: held[number])
    upright = next(number for number in range(6) if vector(sides[number]) == UP)
    return vector(sides[best]) if held[best] > TURN_FACTOR * held[upright] else UP


def _turned(up: Vector, request: FillRequest) -> tuple[Notice, ...]:
    if request.up is not None or up == UP:
        return ()
    shown = ",".join(f"{number:g}" for number in up)
    axis = next(f"{'+' if along > 0 else '-'}{name}" for name, along in zip("xyz", up, strict=True) if along)
    message = f"With +z up it holds little, so it was turned until {axis} looks up, as with --up {shown}; --up decides."
    return (Notice("stood-on-another-side", message),)


def _halves(request: FillRequest, held: Volume) -> Hold:
    if request.drop_mm:
        raise RequestError(
            "Two halves side by side have no rim to stay below; put them together, or leave the level out."
        )
    return Hold(
        kind="two halves",
        up=request.up or UP,
        volume_mm3=held.volume_mm3,
        error_mm3=held.error_mm3,
        notices=(
            Notice(
                "two-halves",
                "Taken for the two halves of a mould side by side: the volume is that of the cavity and its sprue when "
                "they are closed; trapped air cannot be told until they are put together in one file.",
            ),
        ),
    )


def _cavity(solid: Solid, request: FillRequest) -> Hold:
    """The inside of the mesh, as a mould taken from it would be."""
    if request.drop_mm:
        raise RequestError(
            "The cavity of a master is filled whole; a level below the rim goes with an open mould only."
        )
    up = request.up or UP
    air = trapped_air(solid.outer, up, openings_mm=request.openings_mm, smallest_mm3=request.smallest_pocket_mm3)
    return Hold(
        kind="cavity",
        up=air.up,
        volume_mm3=solid.outer_volume_mm3,
        error_mm3=solid.outer_volume_error_mm3,
        air=air,
        release=release(solid.outer, -np.asarray(air.up)),
    )

"""What a mould of a master takes: rubber, box boards or jacket, and which way up it takes least.

Lengths in mm, volumes in mm³, masses in g. Three styles: *block*, rubber poured around the master in a box; *glove*,
rubber brushed on in coats under a jacket; *poured-over*, the jacket first and the rubber poured into the gap under it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from moldvol.casting.mixing.recipe import MixPlan
from moldvol.casting.mould.box import MouldBox
from moldvol.casting.mould.glove import Coat, Flange
from moldvol.casting.mould.jacket import Jacket
from moldvol.casting.mould.notices import mould_notices, release_notices
from moldvol.casting.mould.pours import Pour, mix_notices_of, pours_of
from moldvol.casting.mould.request import MouldRequest, MouldStyle
from moldvol.casting.mould.rubber import Keys, Rubber, block_rubber, skin_rubber
from moldvol.casting.needed import Needed, needed_for
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.orientation import (
    BoxedPose,
    Rotation,
    Vector,
    filed_box,
    pour_directions,
    rotation_to_up,
    smallest_boxes,
    turned,
    vector,
)
from moldvol.geometry.moulding.undercuts import Release, Split, best_releases, best_split, release
from moldvol.geometry.solid import Solid
from moldvol.materials.cautions import caution
from moldvol.materials.vessels.vacuum import Degassing, degas
from moldvol.notices import Notice
from moldvol.quantities import MM3_PER_ML

UP = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of the rubber, in the order of pouring; a key counts with the piece it stands on."""

    name: str
    volume_mm3: float
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldPlan:
    """What a mould takes.

    ``rubber_volume_mm3`` ± ``rubber_volume_error_mm3`` is the rubber in the mould, ``needed`` what to mix for it;
    ``pours`` are what is mixed at a time, ``thickener_g`` goes into the later coats on top.
    ``outside_mm`` is the size of the rubber, ``rotation`` turns the mesh into the pose. ``smallest`` are the poses with
    the smallest boxes, taken or not. ``release`` and ``split`` say how rigid moulds in one and two parts would come off
    straight up in this pose, ``best_release`` and ``best_split`` along which direction of the mesh they come off best.
    """

    solid: Solid
    request: MouldRequest
    rotation: Rotation
    part_mm: Vector
    outside_mm: Vector
    rubber_volume_mm3: float
    rubber_volume_error_mm3: float
    needed: Needed
    pieces: tuple[Piece, ...]
    pours: tuple[Pour, ...]
    keys: Keys | None
    box: MouldBox | None
    smallest: tuple[BoxedPose, ...]
    coats: tuple[Coat, ...]
    thickener_g: float
    flange: Flange | None
    jacket: Jacket | None
    degassing: Degassing | None
    release: Release
    best_release: Release
    split: Split
    best_split: Split
    notices: tuple[Notice, ...]

    @property
    def style(self) -> MouldStyle:
        """Block, glove or poured-over."""
        return self.request.style

    @property
    def mix(self) -> MixPlan:
        """The recipe for the rubber, waste included."""
        return self.needed.mix

    @property
    def rubber_mass_g(self) -> float:
        """Mass of the rubber in the mould."""
        return self.needed.net_mass_g

    @property
    def total_mass_g(self) -> float:
        """Mass of rubber to mix, waste included."""
        return self.needed.total_mass_g

    @property
    def cost(self) -> float | None:
        """Rubber and jacket as far as the shelf has prices; None where the rubber has none."""
        if self.mix.cost is None:
            return None
        return self.mix.cost + ((self.jacket.cost or 0.0) if self.jacket else 0.0)

    @property
    def parting_above_foot_mm(self) -> float:
        """How high above the lowest place of the master, as it stands, two rigid halves part best."""
        foot = float((self.solid.outer.vertices.astype(np.float64) @ np.array(self.rotation[2])).min())
        return self.split.parting_mm - foot

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt in the rubber, the pump and the jacket; the data sheet's word is the last."""
        *rubber, last = self.mix.cautions
        pumped = (caution("vacuum"),) if self.degassing else ()
        thickened = (caution("fumed-silica"),) if self.thickener_g else ()
        jacket = self.jacket.cautions if self.jacket else ()
        every = dict.fromkeys((*rubber, *pumped, *thickened, *jacket))
        return (*(text for text in every if text != last), last)


def plan_mould(solid: Solid, request: MouldRequest) -> MouldPlan:
    """What the mould in *request* takes of the master *solid*."""
    smallest = smallest_boxes(solid.outer, request.clearance)
    pose = smallest[0] if request.stand == "smallest" else _stood(solid.outer, request)
    standing = turned(solid.outer, pose.rotation)
    split, freed = best_split(standing, [UP]), _of_mesh(release(standing, UP), pose.rotation)
    pulls = _pulls(smallest)
    apart = best_split(solid.outer, pulls)
    rubber = _rubber(solid, request, pose, standing, split.parting_mm)
    needed = needed_for(rubber.volume_mm3, request.mix, stated=request.allowance, learned=request.learned)
    pours = pours_of(rubber, needed, request)
    return MouldPlan(
        solid=solid,
        request=request,
        rotation=pose.rotation,
        part_mm=pose.part_mm,
        outside_mm=rubber.outside_mm,
        rubber_volume_mm3=rubber.volume_mm3,
        rubber_volume_error_mm3=rubber.error_mm3,
        needed=needed,
        pieces=tuple(Piece(name, volume, volume * needed.density_g_ml / MM3_PER_ML) for name, volume in rubber.pieces),
        pours=pours,
        keys=rubber.keys,
        box=rubber.box,
        smallest=smallest,
        coats=rubber.coats,
        thickener_g=sum(pour.thickener_g for pour in pours),
        flange=rubber.flange,
        jacket=rubber.jacket,
        degassing=_degassing(request, pours),
        release=freed,
        best_release=best_releases(solid.outer, pulls, count=1)[0],
        split=replace(split, pull=pose.rotation[2]),
        best_split=apart,
        notices=(
            *mould_notices(request, pose, smallest[0], rubber),
            *release_notices(request, freed, split, apart),
            *needed.allowed.notices,
            *mix_notices_of(pours),
        ),
    )


def _stood(mesh: Mesh, request: MouldRequest) -> BoxedPose:
    """The master as it is filed, or with the asked direction up."""
    if np.allclose(request.up, UP):
        return filed_box(mesh, request.clearance)
    rotation = rotation_to_up(request.up)
    rows = [vector(row) for row in rotation]
    pose = filed_box(turned(mesh, rotation), request.clearance)
    return replace(pose, rotation=(rows[0], rows[1], rows[2]), as_filed=False)


def _of_mesh(found: Release, rotation: Rotation) -> Release:
    """What was *found* on the master in its pose, with direction and place in the mesh's own frame."""
    turn = np.array(rotation)
    worst = None if found.worst_at_mm is None else vector(np.array(found.worst_at_mm) @ turn)
    return replace(found, pull=vector(np.array(found.pull) @ turn), worst_at_mm=worst)


def _rubber(solid: Solid, request: MouldRequest, pose: BoxedPose, standing: Mesh, parting_mm: float) -> Rubber:
    if request.style == "block":
        return block_rubber(solid, request, pose, standing, parting_mm)
    return skin_rubber(solid, request, pose, standing)


def _pulls(smallest: tuple[BoxedPose, ...]) -> Floats:
    """Directions worth pulling along: the 26, and both ways along the sides of the smallest boxes."""
    sides = np.array([pose.rotation for pose in smallest]).reshape(-1, 3)
    return np.concatenate([pour_directions(), sides, -sides])


def _degassing(request: MouldRequest, pours: tuple[Pour, ...]) -> Degassing | None:
    """The container for the largest mix; a brushed skin is not pumped, thickened rubber would only froth."""
    if request.vacuum_pa is None or request.style == "glove":
        return None
    return degas(max(pour.mix.total_volume_ml for pour in pours), absolute_pa=request.vacuum_pa)

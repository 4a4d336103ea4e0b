"""What a mould of a master takes: rubber, box boards or jacket, and which way up it takes least.

Lengths in mm, volumes in mm³, masses in g. Three styles: *block*, rubber poured around the master in a box; *glove*,
rubber brushed on in coats under a jacket; *poured-over*, the jacket first and the rubber poured into the gap under it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from moldvol.casting.glove import THICKEST_COAT_MM, Coat, Flange
from moldvol.casting.jacket import Jacket
from moldvol.casting.mould_box import MouldBox
from moldvol.casting.mould_request import MouldRequest, MouldStyle
from moldvol.casting.needed import MM3_PER_ML, Needed, needed_for
from moldvol.casting.recipe import MixPlan
from moldvol.casting.rubber import Keys, Rubber, block_rubber, skin_rubber
from moldvol.casting.rubber_pours import Pour, mix_notices_of, pours_of
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.orientation import (
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
from moldvol.geometry.solid import Solid
from moldvol.geometry.undercuts import Release, Split, best_releases, best_split, release
from moldvol.materials.cautions import caution
from moldvol.materials.vacuum import Degassing, degas
from moldvol.notices import Notice

WORTH_TURNING = 0.05  # share of rubber saved from which another pose is worth a word
WORTH_PARTING = 0.05  # share of the surface freed from which another parting is worth a word
LEAST_BASE_SHARE = 0.005  # of the surface: below this the master touches the board in points only
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
    in this pose, ``best_release`` and ``best_split`` along which direction of the mesh they come off best.
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
    split, freed = best_split(standing, [UP]), release(standing, UP)
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
        split=split,
        best_split=apart,
        notices=(
            *_notices(request, pose, smallest, rubber, freed),
            *_parting(request, split, apart),
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


def _notices(
    request: MouldRequest, pose: BoxedPose, smallest: tuple[BoxedPose, ...], rubber: Rubber, freed: Release
) -> Iterator[Notice]:
    rubber_named = request.mix.resin
    if rubber_named.kind != "silicone":
        yield Notice(
            "not-a-rubber",
            f"{rubber_named.name[:1].upper()}{rubber_named.name[1:]} is no silicone rubber; a mould of it comes off "
            "undercuts only if it stays soft.",
        )
    thickest = max((coat.thickness_mm for coat in rubber.coats), default=0.0)
    if thickest > THICKEST_COAT_MM * (1 + 1e-9):
        yield Notice(
            "coat-slides",
            f"A coat of {thickest:.3g} mm slides down a wall; {THICKEST_COAT_MM:g} mm at most stay up, so ask for more "
            "coats.",
        )
    saved = (pose.volume_mm3 - smallest[0].volume_mm3) / rubber.volume_mm3
    if request.style == "block" and saved > WORTH_TURNING:
        x, y, z = smallest[0].box_mm
        yield Notice(
            "smaller-box",
            f"Stood another way the box is {x:.0f} × {y:.0f} × {z:.0f} mm and takes {100 * saved:.0f} % less rubber.",
        )
    if request.on_board and freed.base_share < LEAST_BASE_SHARE:
        yield Notice(
            "no-flat-base",
            "The master touches the board in few points, so rubber will creep under it; bed it in clay or turn a flat "
            "face down.",
        )
    if request.style == "block" and request.parts == 1 and not request.on_board:
        yield Notice(
            "cut-open",
            "Rubber closes round the master on all sides: it has to be cut open, and needs a sprue; stand the master "
            "on the board for an open face, or plan two parts.",
        )


def _parting(request: MouldRequest, split: Split, best: Split) -> Iterator[Notice]:
    """A word where two halves would part better along another direction than straight up."""
    if request.parts == 2 and split.undercut_share - best.undercut_share > WORTH_PARTING:
        pull = ",".join(f"{round(number, 2) + 0.0:g}" for number in best.pull)
        yield Notice(
            "better-parting",
            f"Parted level, {100 * split.undercut_share:.0f} % of the surface holds two rigid halves back; stood with "
            f"{pull} up it would be {100 * best.undercut_share:.0f} %.",
        )

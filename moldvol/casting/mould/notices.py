"""What is to be said about a mould beside its amounts: its rubber, its coats, how it stands, how it comes off."""

from __future__ import annotations

from moldvol.casting.mould.glove import THICKEST_COAT_MM
from moldvol.casting.mould.request import MouldRequest
from moldvol.casting.mould.rubber import Rubber
from moldvol.geometry.moulding.orientation import BoxedPose
from moldvol.geometry.moulding.undercuts import Release, Split
from moldvol.notices import Notice

WORTH_TURNING = 0.05  # share of rubber saved from which another pose is worth a word
WORTH_PARTING = 0.05  # share of the surface freed from which another parting is worth a word
LEAST_BASE_SHARE = 0.005  # of the surface: below this the master touches the board in points only
ROUNDING = 1e-9


def mould_notices(request: MouldRequest, pose: BoxedPose, smallest: BoxedPose, rubber: Rubber) -> tuple[Notice, ...]:
    """What is to be said about the rubber and the box in *pose*; *smallest* is the pose that takes least."""
    said = (
        _no_rubber(request),
        _coat_slides(rubber),
        _much_rubber(request, pose),
        _smaller_box(request, pose, smallest, rubber),
    )
    return tuple(notice for notice in said if notice is not None)


def release_notices(request: MouldRequest, freed: Release, split: Split, best: Split) -> tuple[Notice, ...]:
    """What is to be said about how the mould stands on its board and comes off."""
    said = (_no_flat_base(request, freed), _cut_open(request), _better_parting(request, split, best))
    return tuple(notice for notice in said if notice is not None)


def _no_rubber(request: MouldRequest) -> Notice | None:
    resin = request.mix.resin
    if resin.kind == "silicone":
        return None
    name = resin.name[:1].upper() + resin.name[1:]
    return Notice(
        "not-a-rubber",
        f"{name} is no silicone rubber; a mould of it comes off undercuts only if it stays soft.",
        grave=True,
    )


def _coat_slides(rubber: Rubber) -> Notice | None:
    thickest = max((coat.thickness_mm for coat in rubber.coats), default=0.0)
    if thickest <= THICKEST_COAT_MM * (1 + ROUNDING):
        return None
    return Notice(
        "coat-slides",
        f"A coat of {thickest:.3g} mm slides down a wall; {THICKEST_COAT_MM:g} mm at most stay up, so ask for more "
        "coats.",
    )


def _much_rubber(request: MouldRequest, pose: BoxedPose) -> Notice | None:
    room, largest = request.clearance.sides_mm, max(pose.part_mm)
    if room <= largest:
        return None
    return Notice(
        "much-rubber",
        f"{room:g} mm of rubber on a master of {largest:.3g} mm is out of all proportion; check the unit of both.",
    )


def _smaller_box(request: MouldRequest, pose: BoxedPose, smallest: BoxedPose, rubber: Rubber) -> Notice | None:
    saved = (pose.volume_mm3 - smallest.volume_mm3) / rubber.volume_mm3
    if request.style != "block" or saved <= WORTH_TURNING:
        return None
    x, y, z = smallest.box_mm
    return Notice(
        "smaller-box",
        f"Stood another way the box is {x:.0f} × {y:.0f} × {z:.0f} mm and takes {100 * saved:.0f} % less rubber.",
    )


def _no_flat_base(request: MouldRequest, freed: Release) -> Notice | None:
    if not request.on_board or freed.base_share >= LEAST_BASE_SHARE:
        return None
    return Notice(
        "no-flat-base",
        "The master touches the board in few points, so rubber will creep under it; bed it in clay or turn a flat "
        "face down.",
    )


def _cut_open(request: MouldRequest) -> Notice | None:
    if request.style != "block" or request.parts == 2 or request.on_board:
        return None
    return Notice(
        "cut-open",
        "Rubber closes round the master on all sides: it has to be cut open, and needs a sprue; stand the master on "
        "the board for an open face, or plan two parts.",
    )


def _better_parting(request: MouldRequest, split: Split, best: Split) -> Notice | None:
    """A word where two halves would part better along another direction than straight up."""
    if request.parts == 1 or split.undercut_share - best.undercut_share <= WORTH_PARTING:
        return None
    pull = ",".join(f"{round(number, 2) + 0.0:g}" for number in best.pull)
    return Notice(
        "better-parting",
        f"Parted level, {100 * split.undercut_share:.0f} % of the surface holds two rigid halves back; turned with "
        f"--up {pull} it would be only {100 * best.undercut_share:.0f} %.",
    )

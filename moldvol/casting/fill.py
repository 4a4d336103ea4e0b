"""What a mould holds and what air it keeps, and the resin for it. Lengths in mm, volumes in mm³, masses in g.

A mesh may be an open mould, a closed one with a sprue, the two halves of one as they are printed, or the master itself,
whose surface is the cavity. Which of these was recognised is part of the answer.
"""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.casting.fill_request import FillRequest
from moldvol.casting.mixing.recipe import MixPlan
from moldvol.casting.mixing.rising import rises
from moldvol.casting.needed import Needed, needed_for
from moldvol.casting.recognised import Hold, MouldKind, recognise
from moldvol.geometry.moulding.directions import RankedDirection, rank_directions, rank_standings
from moldvol.geometry.moulding.levels import AirPocket, Basin, StandingMould
from moldvol.geometry.moulding.orientation import Vector
from moldvol.geometry.moulding.undercuts import Release, Split, best_releases, best_split
from moldvol.geometry.solid import Solid
from moldvol.notices import Notice
from moldvol.quantities import MM3_PER_ML

BEST_SHOWN = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class FillPlan:
    """What a mould holds.

    ``kind`` is what the mesh was taken for. ``held_volume_mm3`` ± ``held_volume_error_mm3`` is all it holds at its
    level, the air in ``pockets`` included; ``trapped_air_mm3`` is that air. ``basins`` are those of an open mould,
    which is ``stood`` up, ``directions`` the best ways to stand it, if they were looked for, ``needed`` the resin, if
    one was named.

    ``release`` says how a cast comes up out of a rigid open mould, or a rigid mould down off a master, ``best_release``
    and ``split`` how such moulds in one and two parts come off a master best.
    """

    solid: Solid
    request: FillRequest
    kind: MouldKind
    up: Vector
    held_volume_mm3: float
    held_volume_error_mm3: float
    basins: tuple[Basin, ...]
    stood: StandingMould | None
    trapped_air_mm3: float
    trapped_air_error_mm3: float
    pockets: tuple[AirPocket, ...]
    directions: tuple[RankedDirection, ...]
    release: Release | None
    best_release: Release | None
    split: Split | None
    needed: Needed | None
    notices: tuple[Notice, ...]

    @property
    def mix(self) -> MixPlan | None:
        """The recipe for the resin, if one was named."""
        return self.needed.mix if self.needed else None


def plan_fill(solid: Solid, request: FillRequest) -> FillPlan:
    """What the mould *solid* holds when it stands and is filled as in *request*.

    Raises `RequestError` where a mesh taken as a mould holds nothing, or a drop empties it.
    """
    hold = recognise(solid, request)
    needed = _needed(request, hold)
    air = hold.air
    master = solid.outer if hold.kind == "cavity" else None
    said = (*rises(needed.mix.request.resin), *needed.allowed.notices, *needed.mix.notices) if needed else ()
    return FillPlan(
        solid=solid,
        request=request,
        kind=hold.kind,
        up=hold.up,
        held_volume_mm3=hold.volume_mm3,
        held_volume_error_mm3=hold.error_mm3,
        basins=hold.basins,
        stood=hold.stood,
        trapped_air_mm3=air.volume_mm3 if air else 0.0,
        trapped_air_error_mm3=air.volume_error_mm3 if air else 0.0,
        pockets=air.pockets if air else (),
        directions=_ranked(solid, request, hold) if request.try_directions else (),
        release=hold.release,
        best_release=None if master is None else best_releases(master, count=1)[0],
        split=None if master is None else best_split(master),
        needed=needed,
        notices=(*hold.notices, *_air_notices(hold), *said),
    )


def _needed(request: FillRequest, hold: Hold) -> Needed | None:
    if request.mix is None:
        return None
    return needed_for(hold.volume_mm3, request.mix, stated=request.allowance, learned=request.learned)


def _ranked(solid: Solid, request: FillRequest, hold: Hold) -> tuple[RankedDirection, ...]:
    least = request.smallest_pocket_mm3
    match hold.kind:
        case "cavity":
            ranked = rank_directions(solid.outer, openings_mm=request.openings_mm, smallest_mm3=least)
        case "two halves":
            return ()
        case _:
            ranked = rank_standings(solid.mesh, smallest_mm3=least)
    return ranked[:BEST_SHOWN]


def _air_notices(hold: Hold) -> tuple[Notice, ...]:
    if hold.air is None or not hold.air.pockets:
        return ()
    count = len(hold.air.pockets)
    vents = "one vent" if count == 1 else f"{count} vents"
    return (
        Notice(
            "trapped-air",
            f"{hold.air.volume_mm3 / MM3_PER_ML:.3g} ml of air cannot leave this way up; drill {vents} at the tops "
            "given, or try other directions.",
        ),
    )

"""What is to be said of a part that is to be cast hollow: whether it suits, whether the resin and the wall do.

Lengths in mm, volumes in mm³, times in s.
"""

from __future__ import annotations

from moldvol.casting.hollow_part import HollowPart
from moldvol.materials.resin import Resin
from moldvol.notices import Notice

# What is turned must still flow while the mould goes round: common practice, no source.
LEAST_TURNING_S = 90.0
# Below this share of the surface that comes out solid the remark would only disturb.
NOTED_SOLID_SHARE = 0.01


def remarks_on(
    part: HollowPart, resin: Resin, wall_mm: float, *, core_mm3: float, turning_s: float
) -> tuple[Notice, ...]:
    """The remarks on *part* in a wall of *resin* that leaves *core_mm3* empty; *turning_s* is left to turn a coat."""
    found = (
        _nothing_or_partly_hollow(part, wall_mm, core_mm3),
        _snaps(resin),
        _no_time_to_turn(turning_s),
        _wall_too_thick(resin, wall_mm),
        _field_disagrees(part),
        _several_bodies(part),
    )
    return tuple(notice for notice in found if notice is not None)


def _nothing_or_partly_hollow(part: HollowPart, wall_mm: float, core_mm3: float) -> Notice | None:
    if core_mm3 <= 1e-6 * part.field.solid_mm3:
        return Notice(
            "nothing-hollow",
            f"The part is nowhere thicker than two walls of {wall_mm:g} mm: it comes out solid; choose a thinner wall.",
        )
    share = part.solid_share(wall_mm)
    if share <= NOTED_SOLID_SHARE:
        return None
    behind = "; where a neck closes first, the room behind it stays hollow" if part.reach.closed_off(wall_mm) else ""
    return Notice(
        "partly-solid",
        f"{100 * share:.0f} % of the surface is thinner than two walls and comes out solid there{behind}.",
    )


def _several_bodies(part: HollowPart) -> Notice | None:
    if part.reach.bodies < 2:
        return None
    return Notice(
        "several-bodies",
        f"The part is {part.reach.bodies} bodies that do not touch: each is counted as filled through an opening of "
        "its own, at its lowest place; pour into each, or take one alone with --part.",
    )


def _snaps(resin: Resin) -> Notice | None:
    if resin.sets != "snap":
        return None
    name = resin.name[:1].upper() + resin.name[1:]
    return Notice(
        "snaps",
        f"{name} snaps from thin to hard: it does not stay evenly on the wall while it is turned; choose one "
        "that thickens gradually.",
    )


def _no_time_to_turn(left_s: float) -> Notice | None:
    if left_s >= LEAST_TURNING_S:
        return None
    return Notice(
        "no-time-to-turn",
        f"After mixing and pouring {max(left_s, 0):.0f} s are left to turn the mould before a coat gels; take a slower "
        "resin or work colder.",
    )


def _wall_too_thick(resin: Resin, wall_mm: float) -> Notice | None:
    if resin.largest_section_mm is None or wall_mm <= resin.largest_section_mm:
        return None
    return Notice(
        "wall-too-thick",
        f"A wall of {wall_mm:g} mm is more than the {resin.largest_section_mm:g} mm that {resin.name} is meant for at "
        "once; cast it in more coats and let each cool.",
    )


def _field_disagrees(part: HollowPart) -> Notice | None:
    solid, field = part.solid, part.field
    if field.agrees_with(solid.outer_volume_mm3, solid.outer_volume_error_mm3):
        return None
    return Notice(
        "field-disagrees",
        f"Counting points finds {field.volume_mm3 / 1000:.4g} ml inside, the triangles enclose "
        f"{solid.outer_volume_mm3 / 1000:.4g} ml: the mesh crosses itself; trust neither to the gram.",
    )

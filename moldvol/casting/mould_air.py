"""What air a mould keeps when it is cast in: the mould as it was made, turned so that its opening is on top.

Lengths in mm, volumes in mm³. What stood on the board is the opening of a mould and comes up; a mould that closes round
the master stays as the master stood, with the sprue at its highest place.
"""

from __future__ import annotations

from moldvol.casting.mould import MouldPlan
from moldvol.geometry.levels import TrappedAir, trapped_air
from moldvol.geometry.orientation import Vector


def pour_direction(plan: MouldPlan) -> Vector:
    """The direction of the mesh that points to the ceiling when resin is poured into the mould of *plan*."""
    x, y, z = plan.rotation[2]
    return (0.0 - x, 0.0 - y, 0.0 - z) if plan.request.on_board else (x, y, z)


def air_when_cast(plan: MouldPlan) -> TrappedAir:
    """The air that stays when resin is poured into the mould of *plan*; see `trapped_air`."""
    return trapped_air(plan.solid.outer, pour_direction(plan))

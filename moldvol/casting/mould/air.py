"""What air a mould keeps when it is cast in, stood on the side on which it keeps least.

Lengths in mm, volumes in mm³. What stood on the board is the opening of a mould and comes up. A mould that closes round
the master can stand on any of its sides, one in two parts with its sprue in the parting.
"""

from __future__ import annotations

import numpy as np

from moldvol.casting.mould.plan import MouldPlan
from moldvol.geometry.mesh import Floats
from moldvol.geometry.moulding.directions import rank_directions
from moldvol.geometry.moulding.levels import TrappedAir, trapped_air
from moldvol.geometry.moulding.orientation import Vector, vector

NET_POINTS = 200_000  # enough to tell the sides of a block apart


def pour_directions_of(plan: MouldPlan) -> Floats:
    """(n, 3): directions of the mesh that may point to the ceiling when resin is poured into the mould of *plan*."""
    along, across, up = np.array(plan.rotation)
    if plan.request.on_board:
        return np.asarray(0.0 - up).reshape(1, 3)
    level = [along, -along, across, -across]
    return np.array(level if plan.request.parts == 2 else [up, *level, -up]) + 0.0


def pour_direction(plan: MouldPlan) -> Vector:
    """The one of them that traps least air; between equals the way the master stood."""
    directions = pour_directions_of(plan)
    if len(directions) == 1:
        return vector(directions[0])
    return rank_directions(plan.solid.outer, directions, interior_points=NET_POINTS)[0].up


def air_when_cast(plan: MouldPlan) -> TrappedAir:
    """The air that stays when resin is poured into the mould of *plan*; see `trapped_air`."""
    return trapped_air(plan.solid.outer, pour_direction(plan))

"""A hollow master as its mould sees it: drain holes plugged, the outside closed.

Lengths in mm, volumes in mm³.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np

from moldvol.errors import RequestError
from moldvol.geometry.field.core_surface import core_surface
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.plugs import plugged
from moldvol.geometry.solid import Solid
from moldvol.geometry.soundness.draft import Mending

# Cells across a plug: at four it is hardly told from a hole, beyond eight nothing changes but the time.
CELLS_ACROSS_PLUG = 7.0
MOST_CELLS = 6_000_000
# How far outside the field must look, in plugs: half of one, and a little for the grid.
LOOK_OUTSIDE = 0.7


def plug_holes(solid: Solid, plug_mm: float) -> Solid:
    """*solid* with the holes narrower than *plug_mm* that lead into a room closed: its outside and outer volume change.

    Raises `RequestError` for a plug that is no length above zero, or too narrow to be seen at any detail that this part
    allows.

    Error: of the volume, the field's own and that of the plugs' skin; the new outside is rounded by up to half a cell.
    """
    if not 0 < plug_mm < inf:
        raise RequestError(f"A plug of {plug_mm:g} mm closes nothing; give a width above 0 mm, such as 5mm.")
    box = float(np.prod(solid.outer.size_mm + 2 * plug_mm))
    spacing = max(plug_mm / CELLS_ACROSS_PLUG, (box / MOST_CELLS) ** (1 / 3))
    field = DistanceField.of(
        solid.outer,
        interior_points=max(1_000, int(solid.outer_volume_mm3 / spacing**3)),
        volume_mm3=solid.outer_volume_mm3,
        reach_outside_mm=LOOK_OUTSIDE * plug_mm,
    )
    closed = plugged(field, plug_mm)
    if not closed.plugs_at_mm:
        return solid
    added = closed.volume.volume_mm3 - solid.outer_volume_mm3
    mending = Mending(
        "holes_plugged",
        count=len(closed.plugs_at_mm),
        at_mm=closed.plugs_at_mm[0],
        volume_change_mm3=added,
        doubt_mm3=closed.volume.error_mm3,
    )
    return replace(
        solid,
        outer=core_surface(closed.field, 0.0),
        outer_volume_mm3=closed.volume.volume_mm3,
        void_volume_mm3=closed.volume.volume_mm3 - solid.volume_mm3,
        outer_volume_error_mm3=solid.outer_volume_error_mm3 + closed.volume.error_mm3,
        volume_error_mm3=solid.volume_error_mm3 + closed.volume.error_mm3,
        mendings=(*solid.mendings, mending),
        notices=tuple(notice for notice in solid.notices if notice.code != "drained-room"),
    )

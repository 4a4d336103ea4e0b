"""What a reader of a volume must know about the mesh it came from, beside the mendings."""

from __future__ import annotations

import numpy as np

from moldvol.geometry.solid import Solid
from moldvol.geometry.soundness.draft import Draft
from moldvol.geometry.soundness.nesting import SPECK_SHARE, Nest, Role
from moldvol.geometry.soundness.self_crossing import DoubledVolume
from moldvol.geometry.units import MM_PER_UNIT
from moldvol.notices import Notice

# A cast smaller than a bead or larger than a room was most likely drawn in another unit.
LEAST_LIKELY_MM = 3.0
MOST_LIKELY_MM = 3000.0
IN_WORDS = {"in": "inches", "m": "metres"}
# Where no unit is stated, so is one smaller than a button: a figure of a hand's length drawn in inches is 3 to 8 large.
LEAST_ASSUMED_MM = 10.0
# A void below this share is a bubble, not a hollow master.
HOLLOW_SHARE = 1e-3
# Coordinates stored in steps coarser than this share of the part have lost its shape.
# A part whose mean wall is this thin against its least side may be a hollow print; larger meshes are not looked into.
THIN_WALLED_SHARE = 0.12
MOST_LOOKED_INTO_FACES = 400_000
COARSE_STEP_SHARE = 1e-3
FLOAT32_RELATIVE_STEP = 6e-8
# The shortfall told is that of facets whose corners lie on the smooth shape. Thinned meshes straddle it and lack less:
# 0.09 % where 0.28 % is told, measured on a carved figure of 28,000 triangles against the 230,000 it came from.
FACETED_SHARE = 0.01


def remarks_on(
    solid: Solid, nested: Nest, draft: Draft, crossing: DoubledVolume | None, *, resized: bool
) -> tuple[Notice, ...]:
    """The remarks on *solid* in the order of how much they matter; a *resized* one is as large as was asked for."""
    found = [
        _improbable_size(solid, resized),
        _open_accepted(solid, draft),
        _overlap_unresolved(nested, crossing),
        _buried(nested),
        _hollow(solid),
        _drained(solid),
        _crowded(draft),
        _coarse(solid),
        _faceted(solid),
        _specks(solid, nested),
    ]
    return tuple(notice for notice in found if notice is not None)


def _improbable_size(solid: Solid, resized: bool) -> Notice | None:
    largest = max(solid.size_mm)
    assumed = solid.unit_source == "assumed" and not resized
    if (LEAST_ASSUMED_MM if assumed else LEAST_LIKELY_MM) <= largest <= MOST_LIKELY_MM:
        return None
    drawn = largest / MM_PER_UNIT[solid.unit]
    units = ("mm", "cm", "in", "m")
    likely = [unit for unit in units if 10 <= drawn * MM_PER_UNIT[unit] <= 1000] or [
        unit for unit in units if LEAST_LIKELY_MM <= drawn * MM_PER_UNIT[unit] <= MOST_LIKELY_MM
    ]
    others = [(drawn * MM_PER_UNIT[unit], IN_WORDS.get(unit, unit)) for unit in units if unit != solid.unit]
    sizes = ", ".join(f"{_plain(size)} mm if drawn in {unit}" for size, unit in others)
    hint = f"--unit {' or '.join(likely)} would make sense" if likely else "pass the right --unit or --scale"
    told = f"The largest side is {_plain(largest)} mm, an unlikely size ({sizes}); {hint}."
    return Notice("unit-improbable", told, grave=True)


def _plain(value: float) -> str:
    return f"{value:,.0f}" if value >= 1000 else f"{value:.3g}"


def _open_accepted(solid: Solid, draft: Draft) -> Notice | None:
    doubt = sum(rim.doubt_mm3 for rim in draft.rims)
    if doubt <= 0.01 * solid.volume_mm3:
        return None
    share = min(doubt / max(solid.volume_mm3, 1e-300), 9.99)
    return Notice(
        "open-rims", f"Open rims leave {_plain(100 * share)} % of the volume to guesswork; mix for the upper end.", True
    )


def _overlap_unresolved(nested: Nest, crossing: DoubledVolume | None) -> Notice | None:
    if crossing is None:
        return None
    what = "Bodies overlap and could not be united exactly" if nested.unresolved else "The surface runs through itself"
    return Notice(
        "self-crossing",
        f"{what}; {crossing.excess_mm3 / 1000:.3g} ± {crossing.error_mm3 / 1000:.2g} ml counted twice was taken off "
        "by sampling.",
    )


def _buried(nested: Nest) -> Notice | None:
    buried = [shell for shell in nested.shells if shell.role is Role.BURIED]
    if not buried:
        return None
    volume = sum(shell.volume_mm3 for shell in buried) / 1000
    return Notice(
        "solid-within-solid",
        f"A second solid of {volume:.3g} ml lies within the first and is not counted twice; if it is meant as a "
        "hollow, pass --inner-skins void.",
    )


def _hollow(solid: Solid) -> Notice | None:
    if solid.void_volume_mm3 <= HOLLOW_SHARE * max(solid.outer_volume_mm3, 1e-300):
        return None
    return Notice(
        "sealed-void",
        f"The model is hollow: sealed rooms of {solid.void_volume_mm3 / 1000:.4g} ml inside, which a mould never sees; "
        "a solid cast fills them too (--keep-voids leaves them out, --as cavity takes the room itself as the cast).",
    )


def _drained(solid: Solid) -> Notice | None:
    """A thin-walled part may be a master printed hollow with drain holes: only then is it worth looking."""
    wall = 2 * solid.outer_volume_mm3 / max(solid.area_mm2, 1e-300)
    if wall > THIN_WALLED_SHARE * min(solid.size_mm) or len(solid.outer.faces) > MOST_LOOKED_INTO_FACES:
        return None
    from moldvol.geometry.field.hidden_rooms import (
        drained_rooms,  # most parts are not thin-walled and never need the field
    )

    rooms = drained_rooms(solid.outer, solid.outer_volume_mm3)
    if not rooms:
        return None
    room = rooms[0]
    hole = f"about {room.hole_mm:.2g} mm" if room.hole_mm else "very little"
    plug = max(2.0, round(1.5 * room.hole_mm + 0.5))
    return Notice(
        "drained-room",
        f"A room of about {room.volume_mm3 / 1000:.2g} ml inside opens only through holes of {hole}: if this is a "
        f"hollow master whose drain holes you plug, pass --plug {plug:g}mm, or its room counts as outside.",
    )


def _crowded(draft: Draft) -> Notice | None:
    crowded = draft.census.crowded_edges if draft.census is not None else 0
    if not crowded:
        return None
    where = "one edge" if crowded == 1 else f"{crowded:,} edges"
    return Notice("crowded-edges", f"More than two triangles meet at {where}; the volume is well defined all the same.")


def _coarse(solid: Solid) -> Notice | None:
    step = float(np.abs(solid.outer.bounds).max()) * FLOAT32_RELATIVE_STEP
    if step <= COARSE_STEP_SHARE * max(solid.size_mm):
        return None
    return Notice(
        "coarse-coordinates",
        f"The part stands so far from the file's origin that single precision stores only {step:.2g} mm steps there; "
        "export it again near the origin.",
    )


def _faceted(solid: Solid) -> Notice | None:
    share = abs(solid.facet_shortfall_mm3) / max(solid.volume_mm3, 1e-300)
    if share <= FACETED_SHARE:
        return None
    return Notice(
        "coarse-facets",
        f"The facets are coarse: the smooth shape they stand for differs by up to {100 * share:.2g} % in volume; "
        "export finer.",
    )


def _specks(solid: Solid, nested: Nest) -> Notice | None:
    roots = [shell for shell in nested.shells if shell.parent is None]
    if len(roots) < 2:
        return None
    specks = [shell for shell in roots if shell.volume_mm3 < SPECK_SHARE * roots[0].volume_mm3]
    if not specks:
        return None
    rest = [shell.mesh.bounds for shell in roots if shell.volume_mm3 >= SPECK_SHARE * roots[0].volume_mm3]
    without = np.max([b[1] for b in rest], axis=0) - np.min([b[0] for b in rest], axis=0)
    return Notice(
        "specks",
        f"{len(specks)} speck(s) below a ten-thousandth of the part are counted in; without them the size is "
        f"{without[0]:.4g} × {without[1]:.4g} × {without[2]:.4g} mm.",
    )

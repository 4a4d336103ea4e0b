"""From triangles as they came to a closed chain, one small step at a time, each saying what it did and what it cost.

No step deletes material: what goes is only what encloses nothing (repeated triangles, loose scraps, points that are
not numbers). Lengths in mm, volumes in mm³.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from moldvol.errors import UnsoundMesh
from moldvol.geometry.soundness.capping import rims_closed
from moldvol.geometry.soundness.cleaning import (
    agreeing,
    cracks_welded,
    welded_by_place,
    without_broken_numbers,
    without_doubles,
)
from moldvol.geometry.soundness.draft import Draft, spot
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.loose import without_loose


def mend(draft: Draft, *, welded: bool, repair: bool = True) -> Draft:
    """*draft* as a closed chain of agreeing triangles.

    Raises `UnsoundMesh` where that cannot be had: nothing left, a sheet, a surface with one side, or open rims when
    *repair* is off.
    """
    draft = without_broken_numbers(draft)
    draft = welded_by_place(draft, already=welded)
    draft = replace(draft, census=EdgeCensus.of(draft.mesh))
    draft = replace(draft, closed_as_read=draft.edges.closed)
    steps: list[Callable[[Draft], Draft]] = [without_doubles, agreeing]
    if not repair and not draft.edges.closed:
        raise _open(draft)
    for step in [*steps, cracks_welded, agreeing, without_loose, rims_closed]:
        draft = step(draft)
    if len(draft.mesh.faces) == 0:
        raise UnsoundMesh(
            f"{draft.name} holds no triangle that bounds anything; export the model again as a closed solid.",
            file=draft.name,
        )
    return draft


def _open(draft: Draft) -> UnsoundMesh:
    unmatched = draft.edges.unmatched()
    where = draft.mesh.vertices[unmatched].mean(axis=(0, 1))
    return UnsoundMesh(
        f"{draft.name} is open along {len(unmatched)} edges near {spot(where)}, so it encloses no volume; "
        "close it in your modelling program, or leave mending on.",
        file=draft.name,
        at_mm=where.tolist(),
        edges=len(unmatched),
    )

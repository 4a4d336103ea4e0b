"""Open rims closed, and what each cap decides."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import UnsoundMesh
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.draft import Draft, Mending, signed_volume, spot
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.rims import Rim, close_rims, find_rims
from moldvol.geometry.triangles import measures, signed_volumes

# A surface with less than this many times the area of its own caps is a sheet, not a body with a hole.
SHEET_AREA_RATIO = 1.15
SHEET_FULLNESS = 0.01
# Holes told one by one; a scan may have hundreds the size of a triangle.
MOST_TOLD_HOLES = 10


def rims_closed(draft: Draft) -> Draft:
    """Cap every open rim, and say what each cap decides."""
    census = draft.edges
    unmatched = census.unmatched()
    if len(unmatched) == 0:
        return replace(draft, census=census)
    rims = find_rims(draft.mesh, unmatched)
    if is_sheet(draft.mesh, rims):
        raise UnsoundMesh(
            f"{draft.name} is a surface, not a solid: its open rim near {spot(rims[0].at_mm)} is nearly as large as "
            "the surface itself; give it a thickness or a closed back.",
            file=draft.name,
            code="sheet",
            at_mm=list(rims[0].at_mm),
        )
    mesh = close_rims(draft.mesh, rims)
    added = len(mesh.faces) - len(draft.mesh.faces)
    parts = np.concatenate([draft.part_of_face, np.zeros(added, dtype=np.int32)])
    centre = draft.mesh.bounds.mean(axis=0)
    mendings = [*draft.mendings, *_rim_mendings(rims, centre)]
    return replace(
        draft, mesh=mesh, part_of_face=parts, mendings=tuple(mendings), rims=rims, census=EdgeCensus.of(mesh)
    )


def _rim_mendings(rims: tuple[Rim, ...], centre: NDArray[np.float64]) -> list[Mending]:
    """The largest holes one by one, the many small ones and the cracks together."""
    holes = [rim for rim in rims if not rim.crack]
    shown = [_hole_mending(rim, centre) for rim in holes[:MOST_TOLD_HOLES]]
    rest = [_hole_mending(rim, centre) for rim in holes[MOST_TOLD_HOLES:]]
    cracks = [rim for rim in rims if rim.crack]
    if rest:
        shown.append(
            Mending(
                "small_holes_closed",
                count=len(rest),
                at_mm=rest[0].at_mm,
                volume_change_mm3=sum(hole.volume_change_mm3 for hole in rest),
                doubt_mm3=sum(hole.doubt_mm3 for hole in rest),
                length_mm=sum(hole.length_mm for hole in rest),
                area_mm2=sum(hole.area_mm2 for hole in rest),
                across_mm=rest[0].across_mm,
            )
        )
    if cracks:
        shown.append(
            Mending(
                "cracks_closed",
                count=len(cracks),
                at_mm=cracks[0].at_mm,
                doubt_mm3=sum(rim.doubt_mm3 for rim in cracks),
                length_mm=sum(rim.length_mm for rim in cracks),
            )
        )
    return shown


def _hole_mending(rim: Rim, centre: NDArray[np.float64]) -> Mending:
    return Mending(
        "flat_base_closed" if rim.base else "hole_closed",
        at_mm=rim.at_mm,
        volume_change_mm3=float(signed_volumes(rim.cap[0][rim.cap[1]] - centre).sum()),
        doubt_mm3=rim.doubt_mm3,
        length_mm=rim.length_mm,
        area_mm2=rim.area_mm2,
        across_mm=rim.across_mm,
    )


def is_sheet(mesh: Mesh, rims: tuple[Rim, ...]) -> bool:
    """Whether capping *rims* would only fold a sheet onto itself instead of closing a body."""
    sizes = measures(mesh)
    capped = abs(signed_volume(close_rims(mesh, rims)))
    caps = sum(rim.area_mm2 for rim in rims)
    return sizes.area_mm2 < SHEET_AREA_RATIO * caps or capped < SHEET_FULLNESS * sizes.area_mm2**1.5 / 6

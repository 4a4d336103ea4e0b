"""Open scraps beside a body: what bounds nothing goes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.bodies import label_bodies
from moldvol.geometry.soundness.capping import is_sheet
from moldvol.geometry.soundness.draft import Draft, Mending, place_of
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.rims import find_rims
from moldvol.geometry.soundness.welding import compacted
from moldvol.geometry.triangles import area_vectors

# An open scrap below this share of all area beside closed bodies is loose and bounds nothing.
LOOSE_AREA_SHARE = 0.05


def without_loose(draft: Draft) -> Draft:
    """Drop small open scraps that bound nothing, when there is something else."""
    census = draft.edges
    if census.closed:
        return draft
    labels = label_bodies(draft.mesh, census)
    if labels.max(initial=0) == 0:
        return draft
    open_vertices = np.zeros(len(draft.mesh.vertices), dtype=bool)
    open_vertices[census.unmatched().ravel()] = True
    is_open = np.bincount(labels, weights=open_vertices[draft.mesh.faces].any(axis=1)) > 0
    areas = np.bincount(labels, weights=np.linalg.norm(area_vectors(draft.mesh.corners()), axis=1))
    faces = np.bincount(labels)
    small = (areas < LOOSE_AREA_SHARE * areas.sum()) | (faces <= 2)
    scraps = (
        is_open
        & small
        & np.array([_is_scrap(draft, labels == k) if s else False for k, s in enumerate(is_open & small)])
    )
    if not scraps.any() or scraps.all():
        return draft
    keep = ~scraps[labels]
    where = draft.mesh.corners()[~keep].mean(axis=(0, 1))
    mesh = compacted(Mesh(draft.mesh.vertices, draft.mesh.faces[keep]))
    mending = Mending("loose_triangles", count=int(np.count_nonzero(~keep)), at_mm=place_of(where))
    return draft.with_mesh(mesh, keep).with_mending(mending)


def _is_scrap(draft: Draft, rows: NDArray[np.bool_]) -> bool:
    """Whether the open faces in *rows* are a mere sheet whose rim is no shared seam with the rest."""
    if np.count_nonzero(rows) > 5000:
        return False
    own = set(np.unique(draft.mesh.faces[rows]).tolist())
    rest = set(np.unique(draft.mesh.faces[~rows]).tolist())
    piece = compacted(Mesh(draft.mesh.vertices, draft.mesh.faces[rows]))
    return not own & rest and is_sheet(piece, find_rims(piece, EdgeCensus.of(piece).unmatched()))

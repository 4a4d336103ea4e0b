"""Before any hole is closed: numbers that are none, corners and triangles that repeat or face the wrong way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import UnsoundMesh
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.bodies import orient
from moldvol.geometry.soundness.draft import Draft, Mending, place_of, signed_volume, spot
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.welding import compacted, drop_repeated_corners, weld, weld_near

# Cracks are welded over distances up to this share of the part's diagonal: 0.006 mm on a hand-sized part.
WELD_STEPS = (1e-7, 1e-6, 1e-5, 3e-5)
# A coordinate this many times farther out than the median one is a broken number, not a part of the model.
OUTLIER_FACTOR = 1e6


def without_broken_numbers(draft: Draft) -> Draft:
    """Drop triangles with a coordinate that is no number, or absurdly far out; the holes are seen to later."""
    vertices = draft.mesh.vertices
    broken = _broken_vertices(vertices)
    if broken is None:
        return draft
    hit = broken[draft.mesh.faces].any(axis=1)
    if hit.all():
        raise UnsoundMesh(
            f"{draft.name} has no triangle whose coordinates are all sensible numbers; export the model again.",
            file=draft.name,
        )
    mesh = compacted(Mesh(vertices, draft.mesh.faces[~hit]))
    if not hit.any():
        return replace(draft, mesh=mesh)
    mending = Mending("broken_numbers", count=int(np.count_nonzero(hit)))
    return draft.with_mending(mending, mesh=mesh, part_of_face=draft.part_of_face[~hit])


def _broken_vertices(vertices: NDArray[np.floating]) -> NDArray[np.bool_] | None:
    """(v,) mask of vertices that are no numbers or far out beyond all others; None where there are none."""
    sample = vertices[:: max(1, len(vertices) // 10_000)].astype(np.float64)
    sample = sample[np.isfinite(sample).all(axis=1)]
    if len(sample) == 0:
        sample = vertices[np.isfinite(vertices).all(axis=1)].astype(np.float64)
    if len(sample) == 0:
        return np.ones(len(vertices), dtype=bool)
    middle = np.median(sample, axis=0)
    # In a block most coordinates are the median itself; the typical stray is that of those which are not.
    strays = np.abs(sample - middle)
    strays = strays[strays > 0]
    limit = OUTLIER_FACTOR * float(np.median(strays)) if len(strays) else np.inf
    # Comparisons with NaN are false, so one test of the extremes clears a sound mesh of any size.
    if all(abs(end - middle[k]) <= limit for k in range(3) for end in (vertices[:, k].min(), vertices[:, k].max())):
        return None
    with np.errstate(over="ignore", invalid="ignore"):
        return np.asarray(~(np.abs(vertices - middle).max(axis=1) <= limit))


def welded_by_place(draft: Draft, already: bool) -> Draft:
    """Merge corners at one place, unless *already* done by the reader, and drop triangles that use one twice."""
    mesh = draft.mesh if already else weld(draft.mesh)
    mesh, kept = drop_repeated_corners(mesh)
    if already and kept.all():
        return draft
    return replace(draft, mesh=compacted(mesh), part_of_face=draft.part_of_face[kept])


def without_doubles(draft: Draft) -> Draft:
    """Keep one of equal triangles, none of opposite ones, unless that would open the chain further."""
    census = draft.edges
    if census.crowded_edges == 0:
        return draft
    faces = draft.mesh.faces
    ordered = np.sort(faces, axis=1)
    turning = np.where(_even(faces), 1, -1)
    _, first, group = np.unique(ordered, axis=0, return_index=True, return_inverse=True)
    net = np.bincount(group.ravel(), weights=turning).astype(int)
    size = np.bincount(group.ravel())
    if (size == 1).all():
        return draft
    # The first triangle of each group that faces the surplus way stays.
    order = np.lexsort((turning != np.sign(net)[group.ravel()], group.ravel()))
    leader = order[np.searchsorted(group.ravel()[order], np.arange(len(first)))]
    keep = np.zeros(len(faces), dtype=bool)
    keep[leader[net != 0]] = True
    trial = Mesh(draft.mesh.vertices, faces[keep])
    trial_census = EdgeCensus.of(trial)
    if np.count_nonzero(trial_census.net) > np.count_nonzero(census.net) or (census.closed and (np.abs(net) < 2).all()):
        return draft
    return replace(
        draft.with_mending(
            Mending(
                "doubled_triangles",
                count=int(np.count_nonzero(~keep)),
                volume_change_mm3=signed_volume(trial) - signed_volume(draft.mesh) if len(trial.faces) else 0.0,
            )
        ),
        mesh=trial,
        part_of_face=draft.part_of_face[keep],
        census=trial_census,
    )


def _even(faces: NDArray[np.int32]) -> NDArray[np.bool_]:
    """(n,) whether the corners of each face are an even permutation of their sorted order."""
    a, b, c = faces.T
    return np.asarray((a < b).astype(int) + (b < c) + (c < a) == 2)


def agreeing(draft: Draft) -> Draft:
    """Turn triangles that face against their neighbours; refuse surfaces on which that cannot be done."""
    if draft.edges.closed or len(draft.mesh.faces) == 0:
        return draft
    mesh, turned, stuck = orient(draft.mesh)
    if stuck.any():
        where = draft.mesh.corners()[stuck].mean(axis=(0, 1))
        raise UnsoundMesh(
            f"{draft.name} has a surface near {spot(where)} with one side only, like a twisted band, so it has no "
            "inside; rebuild that part as a solid.",
            file=draft.name,
            at_mm=where.tolist(),
        )
    if not turned:
        return draft
    change = signed_volume(mesh) - signed_volume(draft.mesh)
    return replace(
        draft.with_mesh(mesh),
        mendings=(*draft.mendings, Mending("wrong_way_triangles", count=turned, volume_change_mm3=change)),
    )


def cracks_welded(draft: Draft) -> Draft:
    """Weld vertices on open edges that nearly meet, in growing steps, as long as that closes more edges."""
    unmatched = draft.edges.unmatched()
    if len(unmatched) == 0:
        return draft
    best, best_open = draft, len(unmatched)
    for share in WELD_STEPS:
        vertices = np.unique(best.edges.unmatched())
        mesh = weld_near(best.mesh, vertices, share * draft.mesh.diagonal_mm)
        if mesh is best.mesh:
            continue  # nothing lies that near
        mesh, kept = drop_repeated_corners(mesh)
        trial = best.with_mesh(mesh, kept)
        still_open = len(_open_once_agreeing(trial))
        if still_open < best_open:
            best, best_open = trial, still_open
        if best_open == 0:
            break
    if best is draft:
        return draft
    mending = Mending(
        "cracks_welded",
        count=len(unmatched) - best_open,
        at_mm=place_of(draft.mesh.vertices[unmatched].mean(axis=(0, 1))),
    )
    return replace(best, mesh=compacted(best.mesh), mendings=(*draft.mendings, mending), census=None)


def _open_once_agreeing(draft: Draft) -> NDArray[np.int32]:
    """(k, 2) open edges that would be left once the triangles agree."""
    return EdgeCensus.of(orient(draft.mesh)[0]).unmatched()

"""From triangles as they came to a closed chain, one small step at a time, each saying what it did and what it cost.

No step deletes material: what goes is only what encloses nothing (repeated triangles, loose scraps, points that are
not numbers). Lengths in mm, volumes in mm³.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import UnsoundMesh
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.bodies import label_bodies, orient
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.rims import Rim, cap_corners, close_rims, find_rims
from moldvol.geometry.soundness.welding import compacted, drop_repeated_corners, weld, weld_near
from moldvol.geometry.triangles import area_vectors, measures, signed_volumes

Place = tuple[float, float, float]

# Cracks are welded over distances up to this share of the part's diagonal: 0.006 mm on a hand-sized part.
WELD_STEPS = (1e-7, 1e-6, 1e-5, 3e-5)
# A coordinate this many times farther out than the median one is a broken number, not a part of the model.
OUTLIER_FACTOR = 1e6
# An open scrap below this share of all area beside closed bodies is loose and bounds nothing.
LOOSE_AREA_SHARE = 0.05
# A surface with less than this many times the area of its own caps is a sheet, not a body with a hole.
SHEET_AREA_RATIO = 1.15
SHEET_FULLNESS = 0.01
# Holes told one by one; a scan may have hundreds the size of a triangle.
MOST_TOLD_HOLES = 10


@dataclass(frozen=True, slots=True)
class Mending:
    """One kind of repair: ``what`` is a code, ``volume_change_mm3`` its effect, ``doubt_mm3`` how wrong that may be."""

    what: str
    count: int = 1
    at_mm: Place | None = None
    volume_change_mm3: float = 0.0
    doubt_mm3: float = 0.0
    length_mm: float = 0.0
    area_mm2: float = 0.0
    across_mm: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """A mesh on its way to being sound, with the file's part number of each face and the mendings so far."""

    name: str
    mesh: Mesh
    part_of_face: NDArray[np.int32]
    mendings: tuple[Mending, ...] = ()
    rims: tuple[Rim, ...] = field(default=())
    census: EdgeCensus | None = None
    closed_as_read: bool = False

    def with_mending(self, mending: Mending, **changes: object) -> Draft:
        """The draft after one more mending."""
        return replace(self, mendings=(*self.mendings, mending), **changes)  # type: ignore[arg-type]


def mend(draft: Draft, *, welded: bool, repair: bool = True) -> Draft:
    """*draft* as a closed chain of agreeing triangles.

    Raises `UnsoundMesh` where that cannot be had: nothing left, a sheet, a surface with one side, or open rims when
    *repair* is off.
    """
    draft = _without_broken_numbers(draft)
    draft = _welded(draft, welded)
    draft = replace(draft, census=EdgeCensus.of(draft.mesh))
    draft = replace(draft, closed_as_read=_census(draft).closed)
    steps: list[Callable[[Draft], Draft]] = [_without_doubles, _agreeing]
    if not repair and not _census(draft).closed:
        raise _open(draft)
    for step in [*steps, _cracks_welded, _agreeing, _without_loose, _rims_closed]:
        draft = step(draft)
    if len(draft.mesh.faces) == 0:
        raise UnsoundMesh(
            f"{draft.name} holds no triangle that bounds anything; export the model again as a closed solid.",
            file=draft.name,
        )
    return draft


def _census(draft: Draft) -> EdgeCensus:
    return draft.census if draft.census is not None else EdgeCensus.of(draft.mesh)


def _changed(draft: Draft, mesh: Mesh, kept: NDArray[np.bool_] | None = None) -> Draft:
    part = draft.part_of_face if kept is None else draft.part_of_face[kept]
    return replace(draft, mesh=mesh, part_of_face=part, census=EdgeCensus.of(mesh))


def _without_broken_numbers(draft: Draft) -> Draft:
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


def _welded(draft: Draft, welded: bool) -> Draft:
    mesh = draft.mesh if welded else weld(draft.mesh)
    mesh, kept = drop_repeated_corners(mesh)
    if welded and kept.all():
        return draft
    return replace(draft, mesh=compacted(mesh), part_of_face=draft.part_of_face[kept])


def _without_doubles(draft: Draft) -> Draft:
    """Keep one of equal triangles, none of opposite ones, unless that would open the chain further."""
    census = _census(draft)
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
                volume_change_mm3=_volume(trial) - _volume(draft.mesh) if len(trial.faces) else 0.0,
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


def _volume(mesh: Mesh) -> float:
    return measures(mesh).signed_volume_mm3


def _agreeing(draft: Draft) -> Draft:
    """Turn triangles that face against their neighbours; refuse surfaces on which that cannot be done."""
    if _census(draft).closed or len(draft.mesh.faces) == 0:
        return draft
    mesh, turned, stuck = orient(draft.mesh)
    if stuck.any():
        where = draft.mesh.corners()[stuck].mean(axis=(0, 1))
        raise UnsoundMesh(
            f"{draft.name} has a surface near {_spot(where)} with one side only, like a twisted band, so it has no "
            "inside; rebuild that part as a solid.",
            file=draft.name,
            at_mm=where.tolist(),
        )
    if not turned:
        return draft
    change = _volume(mesh) - _volume(draft.mesh)
    return replace(
        _changed(draft, mesh),
        mendings=(*draft.mendings, Mending("wrong_way_triangles", count=turned, volume_change_mm3=change)),
    )


def _cracks_welded(draft: Draft) -> Draft:
    """Weld vertices on open edges that nearly meet, in growing steps, as long as that closes more edges."""
    unmatched = _census(draft).unmatched()
    if len(unmatched) == 0:
        return draft
    best, best_open = draft, len(unmatched)
    for share in WELD_STEPS:
        vertices = np.unique(_census(best).unmatched())
        mesh = weld_near(best.mesh, vertices, share * draft.mesh.diagonal_mm)
        mesh, kept = drop_repeated_corners(mesh)
        trial = _changed(best, mesh, kept)
        still_open = len(orient_census(trial))
        if still_open < best_open:
            best, best_open = trial, still_open
        if best_open == 0:
            break
    if best is draft:
        return draft
    mending = Mending(
        "cracks_welded",
        count=len(unmatched) - best_open,
        at_mm=_place(draft.mesh.vertices[unmatched].mean(axis=(0, 1))),
    )
    return replace(best, mesh=compacted(best.mesh), mendings=(*draft.mendings, mending), census=None)


def orient_census(draft: Draft) -> NDArray[np.int32]:
    """(k, 2) open edges that would be left once the triangles agree."""
    return EdgeCensus.of(orient(draft.mesh)[0]).unmatched()


def _without_loose(draft: Draft) -> Draft:
    """Drop small open scraps that bound nothing, when there is something else."""
    census = _census(draft)
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
    mending = Mending("loose_triangles", count=int(np.count_nonzero(~keep)), at_mm=_place(where))
    return replace(_changed(draft, mesh, keep), mendings=(*draft.mendings, mending))


def _is_scrap(draft: Draft, rows: NDArray[np.bool_]) -> bool:
    """Whether the open faces in *rows* are a mere sheet whose rim is no shared seam with the rest."""
    if np.count_nonzero(rows) > 5000:
        return False
    own = set(np.unique(draft.mesh.faces[rows]).tolist())
    rest = set(np.unique(draft.mesh.faces[~rows]).tolist())
    piece = compacted(Mesh(draft.mesh.vertices, draft.mesh.faces[rows]))
    return not own & rest and is_sheet(piece, find_rims(piece, EdgeCensus.of(piece).unmatched()))


def is_sheet(mesh: Mesh, rims: tuple[Rim, ...]) -> bool:
    """Whether capping *rims* would only fold a sheet onto itself instead of closing a body."""
    sizes = measures(mesh)
    capped = abs(_volume(close_rims(mesh, rims)))
    caps = sum(rim.area_mm2 for rim in rims)
    return sizes.area_mm2 < SHEET_AREA_RATIO * caps or capped < SHEET_FULLNESS * sizes.area_mm2**1.5 / 6


def _rims_closed(draft: Draft) -> Draft:
    """Cap every open rim, and say what each cap decides."""
    census = _census(draft)
    unmatched = census.unmatched()
    if len(unmatched) == 0:
        return replace(draft, census=census)
    rims = find_rims(draft.mesh, unmatched)
    if is_sheet(draft.mesh, rims):
        raise UnsoundMesh(
            f"{draft.name} is a surface, not a solid: its open rim near {_spot(rims[0].at_mm)} is nearly as large as "
            "the surface itself; give it a thickness or a closed back.",
            file=draft.name,
            code="sheet",
            at_mm=list(rims[0].at_mm),
        )
    mesh = close_rims(draft.mesh, rims)
    added = len(mesh.faces) - len(draft.mesh.faces)
    parts = np.concatenate([draft.part_of_face, np.zeros(added, dtype=np.int32)])
    centre = draft.mesh.bounds.mean(axis=0)
    mendings = [*draft.mendings, *_rim_mendings(draft.mesh, rims, centre)]
    return replace(
        draft, mesh=mesh, part_of_face=parts, mendings=tuple(mendings), rims=rims, census=EdgeCensus.of(mesh)
    )


def _rim_mendings(mesh: Mesh, rims: tuple[Rim, ...], centre: NDArray[np.float64]) -> list[Mending]:
    """The largest holes one by one, the many small ones and the cracks together."""
    holes = [rim for rim in rims if not rim.crack]
    shown = [_hole_mending(mesh, rim, centre) for rim in holes[:MOST_TOLD_HOLES]]
    rest = [_hole_mending(mesh, rim, centre) for rim in holes[MOST_TOLD_HOLES:]]
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


def _hole_mending(mesh: Mesh, rim: Rim, centre: NDArray[np.float64]) -> Mending:
    return Mending(
        "flat_base_closed" if rim.base else "hole_closed",
        at_mm=rim.at_mm,
        volume_change_mm3=float(signed_volumes(cap_corners(mesh, rim) - centre).sum()),
        doubt_mm3=rim.doubt_mm3,
        length_mm=rim.length_mm,
        area_mm2=rim.area_mm2,
        across_mm=rim.across_mm,
    )


def _open(draft: Draft) -> UnsoundMesh:
    unmatched = _census(draft).unmatched()
    where = draft.mesh.vertices[unmatched].mean(axis=(0, 1))
    return UnsoundMesh(
        f"{draft.name} is open along {len(unmatched)} edges near {_spot(where)}, so it encloses no volume; "
        "close it in your modelling program, or leave mending on.",
        file=draft.name,
        at_mm=where.tolist(),
        edges=len(unmatched),
    )


def _place(point: NDArray[np.floating]) -> Place:
    return (float(point[0]), float(point[1]), float(point[2]))


def _spot(point: object) -> str:
    x, y, z = np.asarray(point, dtype=float)
    return f"({x:.4g}, {y:.4g}, {z:.4g}) mm"

"""Faces of any number of corners cut into triangles, none of their corners left out.

A corner that lies on the straight line between its neighbours must stay: the face next door may end there, and a
cut that skips it would leave a crack.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import mapbox_earcut
import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Ints

Indices = NDArray[np.int64]

FLATNESS = 1e-3  # of the face's size: scanned and rounded coordinates stay below, a face bent on purpose does not


MOST_CLIPPED = 30_000  # corners; ear clipping of a tangled outline takes the square of it, 1 s at 20,000


@dataclass(frozen=True, slots=True)
class Polygons:
    """Faces one after the other: ``counts`` (n,) corners of each, ``corners`` their vertex numbers in one row."""

    counts: Indices
    corners: Indices

    @property
    def starts(self) -> Indices:
        """(n,) where each face's corners begin."""
        return np.asarray(np.cumsum(self.counts) - self.counts, dtype=np.int64)

    @classmethod
    def joined(cls, pieces: list[Polygons]) -> Polygons:
        """All *pieces* in their order."""
        empty = np.zeros(0, dtype=np.int64)
        return cls(
            np.concatenate([empty, *(piece.counts for piece in pieces)]),
            np.concatenate([empty, *(piece.corners for piece in pieces)]),
        )


@dataclass(frozen=True, slots=True)
class Cut:
    """Triangles (m, 3) cut from polygons, and how many of these were not flat."""

    faces: Ints
    bent: int


def cut_into_triangles(polygons: Polygons, vertices: NDArray[np.floating]) -> Cut:
    """The triangles of *polygons*, face by face in their order of corner count; n - 2 for a face of n corners.

    Method: a fan from the first corner where all its triangles face the same way, else the other diagonal of a
    quad, else ear clipping in the plane that fits the face best.
    """
    if len(polygons.counts) and (polygons.counts == 3).all():
        return Cut(polygons.corners.astype(np.int32).reshape(-1, 3), 0)
    starts, cuts, bent = polygons.starts, [], 0
    for count in np.unique(polygons.counts[polygons.counts >= 3]):
        rows = polygons.corners[starts[polygons.counts == count][:, None] + np.arange(count)]
        if count == 3:
            cuts.append(rows)
            continue
        points = vertices[rows].astype(np.float64)
        with np.errstate(all="ignore"):  # coordinates may be NaN or infinite; such faces are cut as fans
            bent += int(np.count_nonzero(_bend(points) > FLATNESS))
            cuts.append(_cut_rows(rows, points))
    faces = np.concatenate(cuts) if cuts else np.zeros((0, 3), dtype=np.int64)
    return Cut(faces.astype(np.int32), bent)


def bent_faces_sentence(name: str, bent: int) -> str:
    """The remark on faces that are not flat, which leave open along which diagonal they fold."""
    return f"{name} has {bent:,} faces that are not flat; they were folded along one of their diagonals."


def _cut_rows(rows: Indices, points: Floats) -> Indices:
    """(k (n - 2), 3) triangles of *rows* (k, n), whose corners stand at *points* (k, n, 3)."""
    count = rows.shape[1]
    pattern = _fan(count)[None].repeat(len(rows), axis=0)
    odd = np.flatnonzero(~_all_one_way(points, _fan(count)))
    if count == 4:
        pattern[odd] = [[1, 2, 3], [1, 3, 0]]
    else:
        for row in odd:
            pattern[row] = _clipped(points[row])
    return rows[np.arange(len(rows))[:, None, None], pattern].reshape(-1, 3)


def _fan(count: int) -> Indices:
    return np.array([(0, i, i + 1) for i in range(1, count - 1)], dtype=np.int64)


def _normals(points: Floats) -> Floats:
    """(k, 3) area vector of each polygon of *points* (k, n, 3), twice the area long (Newell's method)."""
    relative = points - points[:, :1]
    return np.asarray(np.cross(relative, np.roll(relative, -1, axis=1)).sum(axis=1))


def _all_one_way(points: Floats, pattern: Indices) -> NDArray[np.bool_]:
    """(k,) whether no triangle of *pattern* faces against its polygon."""
    a, b, c = (points[:, pattern[:, i]] for i in range(3))
    normals = _normals(points)
    along = np.einsum("kni,ki->kn", np.cross(b - a, c - a), normals)
    allowance = 1e-12 * np.einsum("ki,ki->k", normals, normals)
    return np.asarray((along >= -allowance[:, None]).all(axis=1) | ~np.isfinite(along).all(axis=1))


def _bend(points: Floats) -> Floats:
    """(k,) largest distance of a corner from its face's plane, as a share of the face's size."""
    centred = points - points.mean(axis=1, keepdims=True)
    normals = _normals(points)
    unit = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    height = np.abs(np.einsum("kni,ki->kn", centred, unit)).max(axis=1)
    size = np.linalg.norm(centred, axis=2).max(axis=1)
    return np.asarray(np.nan_to_num(height / size))


def _clipped(points: Floats) -> Indices:
    """(n - 2, 3) corners of the triangles of one polygon of *points* (n, 3); a fan where no ears can be found."""
    count = len(points)
    flat = _in_best_plane(points)
    if flat is None or count > MOST_CLIPPED:
        return _fan(count)
    ears = mapbox_earcut.triangulate_float64(flat, np.array([count], dtype=np.uint32)).astype(np.int64).reshape(-1, 3)
    a, b, c = (flat[ears[:, i]] for i in range(3))
    if len(ears) and ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum() < 0:
        ears = ears[:, ::-1]
    whole = np.concatenate([ears, _slivers(ears, count)])
    return whole if _has_outline(whole, count) else _fan(count)


def _in_best_plane(points: Floats) -> Floats | None:
    """(n, 2) *points* seen against their normal, anticlockwise; None for a polygon without area."""
    normal = _normals(points[None])[0]
    length = float(np.linalg.norm(normal))
    if not np.isfinite(length) or length == 0:
        return None
    # Two directions across the normal: the axis it leans on least, then the one square to both.
    across = np.cross(np.eye(3)[np.abs(normal).argmin()], normal / length)
    across /= np.linalg.norm(across)
    along = np.cross(normal / length, across)
    return np.ascontiguousarray((points - points[0]) @ np.stack([across, along], axis=1))


def _slivers(ears: Indices, count: int) -> Indices:
    """Flat triangles that bring back the corners which ear clipping leaves out because they lie on a straight line."""
    kept = np.unique(ears)
    slivers = []
    for this, following in zip(kept, np.roll(kept, -1), strict=True):
        skipped = [(this + step) % count for step in range(1, (following - this) % count)]
        slivers += [(this, one, other) for one, other in pairwise([*skipped, following])]
    return np.array(slivers, dtype=np.int64).reshape(-1, 3)


def _has_outline(faces: Indices, count: int) -> bool:
    """Whether the edges of *faces* cancel but for the polygon's own, once each: then neighbours still fit."""
    if len(faces) != count - 2:
        return False
    begin, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    corner = np.arange(count)
    onward = (corner + 1) % count
    # Each directed edge as one number; what one triangle walks forwards another must walk backwards.
    forwards = np.sort(np.concatenate([begin * count + end, onward * count + corner]))
    backwards = np.sort(np.concatenate([end * count + begin, corner * count + onward]))
    return bool((forwards == backwards).all())

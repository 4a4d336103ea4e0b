"""One vertex per place: files that repeat every corner (STL soups, texture seams) become meshes with shared edges."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from pykdtree.kdtree import KDTree

from moldvol.geometry.linked import linked
from moldvol.geometry.mesh import Mesh

FIRST_NEIGHBOURS = 8


def weld(mesh: Mesh) -> Mesh:
    """*mesh* with vertices at exactly the same position made one; texture, colour and normals play no part."""
    # Adding 0.0 turns -0.0 into 0.0, which compares equal but has other bytes.
    positions = np.ascontiguousarray(mesh.vertices + mesh.vertices.dtype.type(0))
    rows = positions.view([("", positions.dtype)] * 3).ravel()
    _, first, where = np.unique(rows, return_index=True, return_inverse=True)
    return Mesh(mesh.vertices[first], where.ravel().astype(np.int32)[mesh.faces])


def weld_near(mesh: Mesh, vertices: NDArray[np.integer], tolerance_mm: float) -> Mesh:
    """*mesh* with those of *vertices* (indices) that lie within *tolerance_mm* of each other made one.

    Only the named vertices take part, those on open edges, so that thin slits elsewhere are never welded shut.
    """
    if len(vertices) == 0:
        return mesh
    near = near_pairs(mesh.vertices[vertices], tolerance_mm)
    if len(near) == 0:
        return mesh
    ends = np.asarray(vertices)[near]
    label = linked(ends, len(mesh.vertices))
    _, first = np.unique(label, return_index=True)
    return Mesh(mesh.vertices, first[label].astype(np.int32)[mesh.faces])


def near_pairs(points: NDArray[np.floating], tolerance_mm: float) -> NDArray[np.int64]:
    """(k, 2) indices of all *points* (n, 3) within *tolerance_mm* of each other, the lower first."""
    points = np.ascontiguousarray(points, dtype=np.float64)
    tree, count = KDTree(points), FIRST_NEIGHBOURS
    while True:
        asked = min(count, len(points))
        distance, neighbour = tree.query(points, k=asked, distance_upper_bound=tolerance_mm * (1 + 1e-9))
        distance, neighbour = distance.reshape(-1, asked), neighbour.reshape(-1, asked)
        within = distance <= tolerance_mm
        if asked == len(points) or not within[:, -1].any():
            break
        count *= 2  # some point may have more neighbours than were asked for
    point, place = np.nonzero(within)
    pairs = np.column_stack([point, neighbour[point, place]]).astype(np.int64)
    return pairs[pairs[:, 0] < pairs[:, 1]]


def drop_repeated_corners(mesh: Mesh) -> tuple[Mesh, NDArray[np.bool_]]:
    """*mesh* without triangles that use one vertex twice, and the (n,) mask of faces kept.

    Such triangles add nothing to the chain. Slivers with three different corners stay: they may hold a seam together.
    """
    a, b, c = mesh.faces.T
    keep = (a != b) & (b != c) & (c != a)
    return (mesh, keep) if keep.all() else (Mesh(mesh.vertices, mesh.faces[keep]), keep)


def compacted(mesh: Mesh) -> Mesh:
    """*mesh* without vertices that no face uses."""
    used = np.zeros(len(mesh.vertices), dtype=bool)
    used[mesh.faces.ravel()] = True
    if used.all():
        return mesh
    renumber = np.cumsum(used, dtype=np.int32) - np.int32(1)
    return Mesh(mesh.vertices[used], renumber[mesh.faces])

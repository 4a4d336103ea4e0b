"""Which triangles hang together, and which way round they face."""

from __future__ import annotations

from typing import cast

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.linked import linked
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.edges import EdgeCensus, FaceEdges, joined_vertices

# Above this many triangles the bodies are told apart by shared vertices, which needs no sort over all edges; with
# crowded edges, where that would join what only touches, from the second number on.
LARGE_MESH_FACES = 200_000
HUGE_MESH_FACES = 1_500_000
# A radial sort costs about 20 µs an edge; meshes with more crowded edges than this are junk, and joined as they are.
MOST_SORTED_EDGES = 50_000


def label_bodies(mesh: Mesh, census: EdgeCensus) -> NDArray[np.int32]:
    """(n,) body number per face, 0, 1, …: faces joined across edges are one body.

    Where more than two triangles meet at an edge, the two that bound the same wedge of material are joined, so that
    two cubes touching along an edge or a face stay two.
    """
    if len(mesh.faces) > (HUGE_MESH_FACES if census.crowded_edges else LARGE_MESH_FACES):
        return _renumbered(joined_vertices(mesh)[mesh.faces[:, 0]])
    halves = FaceEdges.of(mesh)
    joined = [halves.pairs()[0], *_wedges(mesh, halves)]
    links = np.concatenate([pairs.reshape(-1, 2) for pairs in joined]) // 3
    return linked(links, len(mesh.faces))


def _renumbered(labels: NDArray[np.integer]) -> NDArray[np.int32]:
    if len(labels) and (labels == labels[0]).all():  # nearly every large mesh is one body
        return np.zeros(len(labels), dtype=np.int32)
    return cast("NDArray[np.int32]", np.unique(labels, return_inverse=True)[1].ravel().astype(np.int32))


def _wedges(mesh: Mesh, halves: FaceEdges) -> list[NDArray[np.int64]]:
    """Pairs of half-edges that bound the same wedge of material, for every edge with more than two triangles."""
    crowded = halves.sizes > 2
    if np.count_nonzero(crowded) > MOST_SORTED_EDGES:
        return [np.column_stack([group[:-1], group[1:]]) for group in halves.groups(crowded)]
    return [_wedges_at_edge(mesh, halves, group) for group in halves.groups(crowded)]


def _wedges_at_edge(mesh: Mesh, halves: FaceEdges, group: NDArray[np.int64]) -> NDArray[np.int64]:
    """Match the triangles around one edge like brackets: one opens a wedge of material, the next closes it."""
    forward = halves.forward[group]
    if 2 * np.count_nonzero(forward) != len(group):
        return np.column_stack([group[:-1], group[1:]])  # not a closed chain here: no wedge to tell, keep together
    angle = _angles_around_edge(mesh, group, forward)
    # A wedge that closes at an angle comes before one that opens there: bodies touching on a face stay apart.
    turn = np.lexsort((forward, angle))
    group, forward = group[turn], forward[turn]
    depth = np.cumsum(np.where(forward, 1, -1))
    first = (int(np.argmin(depth)) + 1) % len(group)
    open_wedges: list[int] = []
    pairs = []
    for half, opens in zip(np.roll(group, -first), np.roll(forward, -first), strict=True):
        if opens:
            open_wedges.append(int(half))
        else:
            pairs.append((open_wedges.pop(), int(half)))
    return np.array(pairs, dtype=np.int64)


def _angles_around_edge(mesh: Mesh, group: NDArray[np.int64], forward: NDArray[np.bool_]) -> NDArray[np.float64]:
    """(k,) angle of each triangle about the edge in turns, 0 to 1, in the sense
    that leads from a forward face into its material."""
    corner, face = group % 3, group // 3
    start = mesh.faces[face, corner]
    low = np.where(forward, start, mesh.faces[face, (corner + 1) % 3])[0]
    high = np.where(forward, mesh.faces[face, (corner + 1) % 3], start)[0]
    opposite = mesh.vertices[mesh.faces[face, (corner + 2) % 3]].astype(np.float64)
    origin = mesh.vertices[low].astype(np.float64)
    axis = mesh.vertices[high] - origin
    axis = axis / np.linalg.norm(axis)
    arms = opposite - origin
    arms -= np.outer(arms @ axis, axis)
    across = arms[0] / (np.linalg.norm(arms[0]) or 1.0)
    up = np.cross(axis, across)
    # A face that runs along the axis has its outward normal at axis × arm, so its material lies clockwise of it.
    angle = np.round(-np.arctan2(arms @ up, arms @ across) / (2 * np.pi), 9)
    return cast("NDArray[np.float64]", np.mod(angle, 1.0))


def orient(mesh: Mesh) -> tuple[Mesh, int, NDArray[np.bool_]]:
    """*mesh* with its triangles turned to agree across shared edges.

    Returns the mesh, how many faces were turned, and an (n,) mask of faces on surfaces that cannot be oriented at all
    (Möbius bands). Which of the two agreeing ways is outward is not decided here; the majority keeps its way.

    Method: two copies of each face, as is and turned, linked where they agree across an edge; a surface is orientable
    when the two copies of it stay apart.
    """
    pairs, same_way = FaceEdges.of(mesh).pairs()
    if not same_way.any():
        return mesh, 0, np.zeros(len(mesh.faces), dtype=bool)
    one, other = (pairs // 3).T
    size = len(mesh.faces)
    rows = np.concatenate([one, one + size])
    columns = np.concatenate([np.where(same_way, other + size, other), np.where(same_way, other, other + size)])
    label = linked(np.column_stack([rows, columns]), 2 * size)
    as_is, turned = label[:size], label[size:]
    stuck = as_is == turned
    turn = _minority(np.minimum(as_is, turned), as_is > turned) & ~stuck
    faces = mesh.faces.copy()
    faces[turn] = faces[turn][:, ::-1]
    return Mesh(mesh.vertices, faces), int(np.count_nonzero(turn)), stuck


def _minority(surface: NDArray[np.integer], side: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """(n,) mask of the faces on the rarer *side* of each *surface*."""
    labels, surface = np.unique(surface, return_inverse=True)
    on_side = np.bincount(surface, weights=side, minlength=len(labels))
    total = np.bincount(surface, minlength=len(labels))
    return np.asarray(side ^ (on_side * 2 > total)[surface])

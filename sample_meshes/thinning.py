"""Fewer triangles for the same shape: edge collapse by quadric error, many independent edges at a time.

Method: Garland and Heckbert, "Surface simplification using quadric error metrics", SIGGRAPH 1997; the independent sets
are ours. A closed surface stays closed and keeps its handles: an edge only collapses when its ends share exactly two
neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray
from scipy import sparse

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

TRY_SHARE = 0.25  # of the edges, cheapest first, are looked at in one pass: keeps the order nearly greedy
SHORT_EDGES = 1e-3  # pull of the old midpoint where the planes leave the new point undecided
TURN_LIMIT = 0.3  # cosine between a triangle's old and new normal below which a collapse would fold the surface
TINY = 1e-12  # keeps the equations solvable among triangles without area
SLIVER = 1e-3  # height to length below which a triangle's old normal means nothing
REST = 0.2  # a refused point's memory fades by 0.7 a pass, so it rests for five
SLOW = 0.03  # a pass that takes away a smaller share than this makes the next one look at more edges
GIVE_UP = 150  # passes


@dataclass(eq=False)
class _Surface:
    """What is left: points (v, 3), faces (n, 3), quadrics (v, 4, 4), and how lately each point was refused."""

    points: Floats
    faces: Ints
    quadrics: Floats
    refused: Floats


def thinned(mesh: trimesh.Trimesh, triangles: int) -> trimesh.Trimesh:
    """A closed mesh with about *triangles* triangles."""
    points, faces = np.array(mesh.vertices, dtype=float), np.array(mesh.faces, dtype=np.int64)
    surface = _Surface(points, faces, _plane_quadrics(points, faces), np.zeros(len(points)))
    chance = np.random.default_rng(1)  # fixed: a rebuilt sample is the same sample
    share = TRY_SHARE
    for _ in range(GIVE_UP):
        if len(surface.faces) <= triangles:
            break
        before = len(surface.faces)
        surface = _pass(surface, (before - triangles + 1) // 2, share, chance)
        share = min(1.0, 1.3 * share) if before - len(surface.faces) < SLOW * before else share
    return trimesh.Trimesh(surface.points, surface.faces, process=False)


def _plane_quadrics(points: Floats, faces: Ints) -> Floats:
    """(v, 4, 4): squared distances to the planes of the triangles around each point, weighted by their areas."""
    a, b, c = points[faces].transpose(1, 0, 2)
    normals = np.cross(b - a, c - a)
    areas = np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    planes = np.concatenate([normals / areas, -np.sum(normals / areas * a, axis=1, keepdims=True)], axis=1)
    each = areas[:, :, None] * planes[:, :, None] * planes[:, None, :]
    spread = sparse.csr_matrix(
        (np.ones(faces.size), (faces.ravel(), np.repeat(np.arange(len(faces)), 3))), shape=(len(points), len(faces))
    )
    return (spread @ each.reshape(-1, 16)).reshape(-1, 4, 4)


def _pass(surface: _Surface, most: int, share: float, chance: np.random.Generator) -> _Surface:
    edges, collapsible = _edges(surface.faces, len(surface.points))
    targets, costs = _best_points(surface, edges)
    resting = surface.refused[edges].max(axis=1) > REST  # just refused: let the neighbourhood change first
    costs = np.where(collapsible & ~resting, costs, np.inf)
    cheap = np.argsort(costs, kind="stable")[: int(share * np.isfinite(costs).sum())]
    chosen = _independent(edges, cheap, len(surface.points), chance)
    chosen = chosen[np.argsort(costs[chosen], kind="stable")][:most]
    folding = _folds(surface, edges[chosen], targets[chosen])
    surface.refused[edges[chosen[folding]]] = 1
    return _collapsed(surface, edges[chosen[~folding]], targets[chosen[~folding]])


def _edges(faces: Ints, count: int) -> tuple[Ints, NDArray[np.bool_]]:
    """(m, 2) edges, lower index first, and whether their ends have exactly two neighbours in common."""
    starts, ends = faces[:, [0, 1, 2]].ravel(), faces[:, [1, 2, 0]].ravel()
    neighbours = sparse.csr_matrix((np.ones(len(starts)), (starts, ends)), shape=(count, count))
    shared = (neighbours @ neighbours).multiply(neighbours).tocoo()
    once = shared.row < shared.col
    return np.stack([shared.row[once], shared.col[once]], axis=1).astype(np.int64), shared.data[once] == 2


def _best_points(surface: _Surface, edges: Ints) -> tuple[Floats, Floats]:
    """(m, 3) where each edge's two points should meet, and (m,) what that costs."""
    quadrics = surface.quadrics[edges[:, 0]] + surface.quadrics[edges[:, 1]]
    a, b = surface.points[edges[:, 0]], surface.points[edges[:, 1]]
    middle = (a + b) / 2
    pull = SHORT_EDGES * np.trace(quadrics[:, :3, :3], axis1=1, axis2=2)[:, None] + TINY
    matrix = quadrics[:, :3, :3] + pull[:, :, None] * np.eye(3)
    targets = np.linalg.solve(matrix, (pull * middle - quadrics[:, :3, 3])[:, :, None])[:, :, 0]
    whole = np.concatenate([targets, np.ones((len(targets), 1))], axis=1)
    costs = np.einsum("ni,nij,nj->n", whole, quadrics, whole)
    return targets, np.maximum(costs, 0) + 1e-6 * pull[:, 0] * np.sum((a - b) ** 2, axis=1)


def _independent(edges: Ints, cheap: Ints, count: int, chance: np.random.Generator) -> Ints:
    """Those of the *cheap* edges that lie so far apart that no triangle is touched twice.

    Chance decides between neighbours: by cost alone only the few local minima would be chosen in one pass.
    """
    turn, late = chance.permutation(len(cheap)), len(cheap)
    first = np.full(count, late)
    for end in (0, 1):
        np.minimum.at(first, edges[cheap, end], turn)
    around = first.copy()
    for near, far in ((0, 1), (1, 0)):  # cheap or not, every edge carries word of a chosen one to its other end
        np.minimum.at(around, edges[:, near], first[edges[:, far]])
    return cheap[turn <= around[edges[cheap]].min(axis=1)]


def _folds(surface: _Surface, edges: Ints, targets: Floats) -> NDArray[np.bool_]:
    """Which of these independent collapses would turn a remaining triangle over or flatten it to nothing."""
    owner = np.full(len(surface.points), -1)
    owner[edges[:, 0]] = owner[edges[:, 1]] = np.arange(len(edges))
    owners = owner[surface.faces]
    touched = np.flatnonzero(np.count_nonzero(owners >= 0, axis=1) == 1)
    corners = surface.points[surface.faces[touched]]
    moved = corners.copy()
    which = owners[touched]
    moved[which >= 0] = targets[which[which >= 0]]
    before, after = (np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]) for c in (corners, moved))
    agreement = np.sum(before * after, axis=1)
    lengths = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    had_a_side = np.linalg.norm(before, axis=1) > SLIVER * np.sum((corners[:, 1] - corners[:, 0]) ** 2, axis=1)
    bad = np.zeros(len(edges), dtype=bool)
    bad[which.max(axis=1)[had_a_side & (agreement <= TURN_LIMIT * lengths)]] = True
    return bad


def _collapsed(surface: _Surface, edges: Ints, targets: Floats) -> _Surface:
    stay, go = edges[:, 0], edges[:, 1]
    surface.points[stay] = targets
    surface.quadrics[stay] += surface.quadrics[go]
    surface.refused *= 0.7
    new_name = np.arange(len(surface.points))
    new_name[go] = stay
    faces = new_name[surface.faces]
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    used, names = np.unique(faces, return_inverse=True)
    return _Surface(surface.points[used], names.reshape(-1, 3), surface.quadrics[used], surface.refused[used])

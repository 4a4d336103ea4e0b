"""A surface cut by a level: what lies under it above the level, and where two parts of it meet as the level sinks.

Lengths in mm, areas in mm², volumes in mm³. *Heights* is (v,), one for each vertex; between vertices the height runs
straight, so everything here is exact for the triangles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import minimum_spanning_tree

from moldvol.geometry.grid import Indices
from moldvol.geometry.linked import linked
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.triangles import area_vectors

Flags = NDArray[np.bool_]
NOWHERE = -1


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where two parts of a surface first meet: a height and the vertex there, `NOWHERE` if they never do."""

    height_mm: float
    vertex: int


@dataclass(frozen=True, slots=True)
class Cut:
    """What a piece of surface covers above a level: the volume down to the level, and the area at the level."""

    volume_mm3: float
    area_mm2: float


def edges_of(mesh: Mesh) -> Indices:
    """(e, 2) edges of *mesh*, each pair of vertices once."""
    a, b, c = mesh.faces.astype(np.int64).T
    ends = np.concatenate([np.stack([a, b], axis=1), np.stack([b, c], axis=1), np.stack([c, a], axis=1)])
    keys = np.unique(ends.min(axis=1) * np.int64(len(mesh.vertices)) + ends.max(axis=1))
    return np.stack(np.divmod(keys, np.int64(len(mesh.vertices))), axis=1)


def pieces_above(edges: Indices, heights: Floats, level_mm: float) -> Indices:
    """(v,) label of the connected piece of surface above *level_mm* that each vertex belongs to, -1 below it."""
    above = heights > level_mm
    labels = linked(edges[above[edges].all(axis=1)], len(heights))
    return np.where(above, labels, NOWHERE).astype(np.int64)


def cut_above(heights: Floats, faces: NDArray[np.int32], plan_mm2: Floats, of: Flags, level_mm: float) -> Cut:
    """Volume and area that the vertices *of* (v,) and their *faces* enclose above *level_mm*.

    ``plan_mm2`` (n,) is each face's area seen from above, positive where the room is below the face.

    Method: the divergence theorem with a field that points along the height and vanishes at the level, so that only the
    surface counts and not the flat cut; each face is clipped at the level in closed form.
    Error: rounding.
    """
    touched = np.flatnonzero((of & (heights > level_mm))[faces].any(axis=1))
    d = np.sort(heights[faces[touched]] - level_mm, axis=1)
    volume_share, area_share = _shares_above(d)
    plan = plan_mm2[touched]
    return Cut(float(volume_share @ plan), float(area_share @ plan))


def volume_above(mesh: Mesh, level_mm: float) -> float:
    """Volume of the closed *mesh* above the height *level_mm*, mm³."""
    heights = mesh.vertices[:, 2].astype(np.float64)
    everywhere = np.ones(len(heights), dtype=np.bool_)
    return cut_above(heights, mesh.faces, area_vectors(mesh.corners())[:, 2], everywhere, level_mm).volume_mm3


def _shares_above(d: Floats) -> tuple[Floats, Floats]:
    """For triangles with rising corner heights *d* (n, 3): the share above 0, and before it that share times the mean
    height of the part."""
    low, middle, high = d.T
    with np.errstate(divide="ignore", invalid="ignore"):
        tip = high**2 / ((high - low) * (high - middle))  # only the highest corner is above
        dip = low**2 / ((middle - low) * (high - low))  # only the lowest corner is below
    whole = d.mean(axis=1)
    share = np.select([low >= 0, middle >= 0], [np.ones(len(d)), 1 - dip], tip)
    moment = np.select([low >= 0, middle >= 0], [whole, whole - dip * low / 3], tip * high / 3)
    return moment, share


def highest_links(heights: Floats, ends: Indices, count: int) -> Indices:
    """Indices of the links (m, 2) among *count* nodes that join all that is joined at all, as high up as can be.

    They come highest first. No pair of nodes may be linked twice.
    """
    order = np.argsort(-heights, kind="stable")
    a, b = ends[order].T
    rank = np.arange(1, len(order) + 1, dtype=np.float64)
    tree = minimum_spanning_tree(coo_array((rank, (a, b)), shape=(count, count)).tocsr())
    return np.asarray(order[np.sort(tree.data).astype(np.int64) - 1])


def meetings(edges: Indices, heights: Floats, sides: Sequence[tuple[Indices, Indices]]) -> tuple[Meeting, ...]:
    """For each pair of vertex sets in *sides*, where a piece with one first meets a piece with the other.

    Method: one sweep from the highest edge down, pieces in a union-find forest, each with the sets it holds (R. E.
    Tarjan, J. ACM 22 (1975) 215). Exact: pieces of a triangulated surface above a level meet at vertices.
    """
    ends = heights[edges]
    lower, low_end = ends.min(axis=1), edges[np.arange(len(edges)), ends.argmin(axis=1)]
    kept = highest_links(lower, edges, len(heights))
    pieces = _Pieces(heights, sides)
    steps = zip(lower[kept].tolist(), low_end[kept].tolist(), *edges[kept].T.tolist(), strict=True)
    for height, vertex, one, other in steps:
        if not pieces.waiting:
            break
        pieces.join(one, other, Meeting(height, vertex))
    return tuple(pieces.found.get(pair, Meeting(-inf, NOWHERE)) for pair in range(len(sides)))


class _Pieces:
    """Pieces of surface that grow together, each knowing which sides of which pairs it holds."""

    def __init__(self, heights: Floats, sides: Sequence[tuple[Indices, Indices]]) -> None:
        self.parent = list(range(len(heights)))
        self.found: dict[int, Meeting] = {}
        self.waiting = set(range(len(sides)))
        self.held: dict[int, set[tuple[int, int]]] = {}
        for pair, both in enumerate(sides):
            for side, vertices in enumerate(both):
                for vertex in np.unique(vertices).tolist():
                    self.held.setdefault(vertex, set()).add((pair, side))
        for vertex, labels in self.held.items():
            self._notice(labels, labels, Meeting(float(heights[vertex]), vertex))

    def join(self, one: int, other: int, at: Meeting) -> None:
        """The pieces of two vertices become one."""
        one, other = self._piece(one), self._piece(other)
        if one == other:
            return
        self.parent[other] = one
        few, many = sorted((self.held.pop(one, set()), self.held.pop(other, set())), key=len)
        self._notice(few, many, at)
        if many:
            many |= few
            self.held[one] = many

    def _notice(self, few: set[tuple[int, int]], many: set[tuple[int, int]], at: Meeting) -> None:
        for pair, side in few:
            if pair in self.waiting and (pair, 1 - side) in many:
                self.waiting.discard(pair)
                self.found[pair] = at

    def _piece(self, vertex: int) -> int:
        parent = self.parent
        while parent[vertex] != vertex:
            parent[vertex] = parent[parent[vertex]]
            vertex = parent[vertex]
        return vertex

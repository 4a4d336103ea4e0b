"""Who shares an edge with whom: the census that decides whether triangles close up.

What a volume needs is not that every edge has two triangles but that the triangles form a closed *chain*: each
directed edge is cancelled by its opposite. Degenerate triangles, touching bodies and four-fold edges all pass that
test, as they should; a missing or wrong-way triangle does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.linked import linked_blocks
from moldvol.geometry.mesh import Ints, Mesh, blocks

_MIX = (np.uint64(0x9E3779B97F4A7C15), np.uint64(0xD6E8FEB86659FD93), np.uint64(32))  # odd multipliers that spread bits


def is_closed_chain(mesh: Mesh) -> bool:
    """Whether every directed edge of *mesh* is cancelled by its opposite, in one pass without sorting anything.

    Method: each undirected edge gets a 64-bit hash, counted plus for one direction and minus for the other; a closed
    chain sums to zero. A chain that is not closed does so with odds of 2^-64.
    """
    total = np.uint64(0)
    for faces in blocks(mesh.faces):
        total = np.add(total, _chain_hash(faces))
    return bool(total == 0)


def _chain_hash(faces: Ints) -> np.uint64:
    """The hashes of all half-edges of *faces* added up modulo 2^64, those that run down taken off."""
    total = np.uint64(0)
    corners = faces.T.astype(np.uint64, order="C")
    for start, end in ((0, 1), (1, 2), (2, 0)):
        a, b = corners[start], corners[end]
        key = np.minimum(a, b) << _MIX[2]
        key |= np.maximum(a, b)
        for factor in _MIX[:2]:
            key *= factor
            key ^= key >> _MIX[2]
        sign = (a < b).view(np.int8) - (a > b).view(np.int8)
        key *= sign.astype(np.int64).view(np.uint64)  # two's complement: times 2^64 - 1 is taken off
        total = np.add(total, key.sum(dtype=np.uint64))
    return total


@dataclass(frozen=True)
class EdgeCensus:
    """All undirected edges of a mesh with the number of triangles on each and the surplus of one direction.

    ``closed`` says whether every directed edge is cancelled by its opposite. Edges of zero length are left out.
    """

    mesh: Mesh
    closed: bool

    @classmethod
    def of(cls, mesh: Mesh) -> EdgeCensus:
        """The census of *mesh*, whose vertices must be welded by position.

        What a large closed mesh is never asked for is not counted: the test of the chain takes 0.1 s for 3.5 million
        triangles, the sort over their edges as much again.
        """
        return cls(mesh, is_closed_chain(mesh))

    @property
    def count(self) -> NDArray[np.int32]:
        """(e,) triangles on each edge."""
        return self._tally.count

    @property
    def net(self) -> NDArray[np.int32]:
        """(e,) triangles running from the lower vertex index to the higher, less those running back."""
        return self._tally.net

    @cached_property
    def crowded_edges(self) -> int:
        """Edges with more than two triangles."""
        keys = self._sorted_keys
        if self.closed and not (keys[1:] == keys[:-1]).any():
            return 0  # an edge of a closed chain has as many triangles running up as down
        return int(np.count_nonzero(self.count > 2))

    def edges_where(self, mask: NDArray[np.bool_]) -> tuple[Ints, NDArray[np.int32]]:
        """(k, 2) vertex pairs tail < head of the edges in *mask*, and their (k,) net."""
        pairs = np.column_stack(np.divmod(self._tally.key[mask], self._radix)).astype(np.int32)
        return pairs, self.net[mask]

    def unmatched(self) -> Ints:
        """(k, 2) directed edges, each as often as its opposite is missing, in the direction of the triangles."""
        if self.closed:
            return np.zeros((0, 2), dtype=np.int32)
        pairs, net = self.edges_where(self.net != 0)
        pairs = np.where((net > 0)[:, None], pairs, pairs[:, ::-1])
        return np.repeat(pairs, np.abs(net), axis=0)

    @property
    def _radix(self) -> int:
        return max(len(self.mesh.vertices), 1)

    @cached_property
    def _sorted_keys(self) -> NDArray[np.int64]:
        """A number per half-edge, in order: edge and, in the last bit, direction.

        Of a closed chain only those that run low → high: each stands for itself and the opposite that cancels it.
        """
        keys = []
        for k in range(3):
            start, end = self.mesh.faces[:, k], self.mesh.faces[:, (k + 1) % 3]
            up = start < end
            keys.append(self._key(start[up], end[up]) << 1)
            if not self.closed:
                down = start > end
                keys.append(self._key(end[down], start[down]) << 1 | 1)
        ordered = np.concatenate(keys)
        ordered.sort()
        return ordered

    def _key(self, low: Ints, high: Ints) -> NDArray[np.int64]:
        return np.asarray(low.astype(np.int64) * self._radix + high)

    @cached_property
    def _tally(self) -> _Tally:
        keys = self._sorted_keys
        edge = keys >> 1
        starts = np.flatnonzero(np.diff(edge, prepend=-1))
        sizes = np.diff(np.append(starts, len(edge))).astype(np.int32)
        if self.closed:
            return _Tally(edge[starts], 2 * sizes, np.zeros_like(sizes))
        down = np.append(0, np.cumsum(keys & 1))
        falling = down[starts + sizes] - down[starts]
        return _Tally(edge[starts], sizes, (sizes - 2 * falling).astype(np.int32))


@dataclass(frozen=True, slots=True)
class _Tally:
    """(e,) number, triangles and net of each edge."""

    key: NDArray[np.int64]
    count: NDArray[np.int32]
    net: NDArray[np.int32]


def joined_vertices(mesh: Mesh) -> NDArray[np.int32]:
    """(v,) a label per vertex, the same for all vertices that edges join."""
    # Two edges would hold a triangle's corners together, but with the third one tree nearly always spans the mesh.
    pairs = [edge for faces in blocks(mesh.faces) for edge in (faces[:, :2], faces[:, 1:], faces[:, ::2])]
    return linked_blocks(pairs, len(mesh.vertices))


@dataclass(frozen=True)
class FaceEdges:
    """The 3n half-edges of a mesh grouped by undirected edge: for everything that needs to know *which* triangles meet.

    ``order`` sorts half-edges by edge (half-edge h is corner h % 3 of face h // 3 to the next corner);
    ``starts`` is where each group begins in that order; ``forward`` says whether the half-edge runs low → high index.
    """

    order: NDArray[np.int64]
    starts: NDArray[np.int64]
    sizes: NDArray[np.int64]
    forward: NDArray[np.bool_]

    @classmethod
    def of(cls, mesh: Mesh) -> FaceEdges:
        """The half-edge groups of *mesh*."""
        start = mesh.faces.ravel().astype(np.int64)
        end = mesh.faces[:, (1, 2, 0)].ravel().astype(np.int64)
        key = np.minimum(start, end) * max(len(mesh.vertices), 1) + np.maximum(start, end)
        order = np.argsort(key, kind="stable")
        order = order[(start != end)[order]]
        fresh = np.ones(len(order), dtype=bool)
        fresh[1:] = np.diff(key[order]) != 0
        starts = np.flatnonzero(fresh)
        sizes = np.diff(np.append(starts, len(order)))
        return cls(order, starts, sizes, start < end)

    def pairs(self) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
        """(k, 2) half-edges of every edge with exactly two triangles, and (k,) whether the two run the same way."""
        first = self.starts[self.sizes == 2]
        halves = np.column_stack([self.order[first], self.order[first + 1]])
        return halves, self.forward[halves[:, 0]] == self.forward[halves[:, 1]]

    def groups(self, chosen: NDArray[np.bool_]) -> list[NDArray[np.int64]]:
        """The half-edges of each edge in *chosen* (a mask over groups)."""
        return [self.order[s : s + n] for s, n in zip(self.starts[chosen], self.sizes[chosen], strict=True)]

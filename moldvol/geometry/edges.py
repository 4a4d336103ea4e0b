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
from scipy import sparse
from scipy.sparse import csgraph

from moldvol.geometry.mesh import CHUNK_FACES, Ints, Mesh

# One integer per undirected edge holds both tallies: each triangle adds 2^20 for itself and ±1 for its direction.
_ONE = np.int32(1 << 20)
_MIX = (np.uint64(0x9E3779B97F4A7C15), np.uint64(0xD6E8FEB86659FD93), np.uint64(32))  # odd multipliers that spread bits


def is_closed_chain(mesh: Mesh) -> bool:
    """Whether every directed edge of *mesh* is cancelled by its opposite, in one pass without sorting anything.

    Method: each undirected edge gets a 64-bit hash, counted plus for one direction and minus for the other; a closed
    chain sums to zero. A chain that is not closed does so with odds of 2^-64.
    """
    total = np.uint64(0)
    for start in range(0, len(mesh.faces), CHUNK_FACES):
        block = mesh.faces[start : start + CHUNK_FACES].astype(np.uint64)
        for k in range(3):
            a, b = block[:, k], block[:, (k + 1) % 3]
            key = np.minimum(a, b) << _MIX[2] | np.maximum(a, b)
            for factor in _MIX[:2]:
                key *= factor
                key ^= key >> _MIX[2]
            total = np.add(total, np.where(a == b, 0, np.where(a < b, key, np.negative(key))).sum(dtype=np.uint64))
    return bool(total == 0)


@dataclass(frozen=True)
class EdgeCensus:
    """All undirected edges of a mesh with the number of triangles on each and the surplus of one direction.

    ``count`` is how many triangles use each edge, ``net`` how many more run from the lower vertex index to the higher
    than back. Edges of zero length are left out.
    """

    graph: sparse.csr_matrix

    @classmethod
    def of(cls, mesh: Mesh) -> EdgeCensus:
        """The census of *mesh*, whose vertices must be welded by position.

        Counting through a sparse matrix needs no sort over all edges; a chain known to be closed needs only one of
        the two directions. 0.3 s for 3.5 million closed triangles, where sorting their edges alone took 0.6 s.
        """
        return cls(_graph_of_closed(mesh) if is_closed_chain(mesh) else _graph_of_open(mesh))

    @cached_property
    def count(self) -> NDArray[np.int32]:
        """(e,) triangles on each edge."""
        return np.asarray((self.graph.data + (_ONE >> 1)) >> 20, dtype=np.int32)

    @cached_property
    def net(self) -> NDArray[np.int32]:
        """(e,) triangles running tail → head, less those running back; zero everywhere means closed."""
        return np.asarray(self.graph.data - (self.count << 20), dtype=np.int32)

    @property
    def closed(self) -> bool:
        """Whether every directed edge is cancelled by its opposite."""
        return not self.net.any()

    @property
    def crowded_edges(self) -> int:
        """Edges with more than two triangles."""
        return int(np.count_nonzero(self.count > 2))

    def edges_where(self, mask: NDArray[np.bool_]) -> tuple[Ints, NDArray[np.int32]]:
        """(k, 2) vertex pairs tail < head of the edges in *mask*, and their (k,) net."""
        where = np.flatnonzero(mask)
        tails = np.searchsorted(self.graph.indptr, where, side="right") - 1
        pairs = np.column_stack([tails, self.graph.indices[where]]).astype(np.int32)
        return pairs, self.net[where]

    def unmatched(self) -> Ints:
        """(k, 2) directed edges, each as often as its opposite is missing, in the direction of the triangles."""
        pairs, net = self.edges_where(self.net != 0)
        pairs = np.where((net > 0)[:, None], pairs, pairs[:, ::-1])
        return np.repeat(pairs, np.abs(net), axis=0)

    def vertex_components(self) -> NDArray[np.int32]:
        """(v,) a label per vertex, the same for all vertices joined by edges."""
        return np.asarray(csgraph.connected_components(self.graph, directed=False)[1], dtype=np.int32)


def _graph_of_closed(mesh: Mesh) -> sparse.csr_matrix:
    """Tallies from the half-edges that run low → high: each stands for itself and the opposite that cancels it."""
    tails, heads = [], []
    for k in range(3):
        start, end = mesh.faces[:, k], mesh.faces[:, (k + 1) % 3]
        forward = start < end
        tails.append(start[forward])
        heads.append(end[forward])
    return _tallied(mesh, np.concatenate(tails), np.concatenate(heads), 2 * _ONE)


def _graph_of_open(mesh: Mesh) -> sparse.csr_matrix:
    start = mesh.faces.ravel()
    end = mesh.faces[:, (1, 2, 0)].ravel()
    real = start != end
    start, end = start[real], end[real]
    return _tallied(mesh, np.minimum(start, end), np.maximum(start, end), np.where(start < end, _ONE + 1, _ONE - 1))


def _tallied(mesh: Mesh, low: Ints, high: Ints, tally: NDArray[np.int32] | np.int32) -> sparse.csr_matrix:
    size = len(mesh.vertices)
    values = np.broadcast_to(np.asarray(tally, dtype=np.int32), low.shape)
    return sparse.coo_matrix((values, (low, high)), shape=(size, size)).tocsr()


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

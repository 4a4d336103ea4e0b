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

from moldvol.geometry.mesh import Ints, Mesh

# One integer per undirected edge holds both tallies: each triangle adds 2^20 for itself and ±1 for its direction.
_ONE = np.int32(1 << 20)


@dataclass(frozen=True)
class EdgeCensus:
    """All undirected edges of a mesh with the number of triangles on each and the surplus of one direction.

    ``tail`` and ``head`` are (e,) vertex indices with tail < head; ``count`` is how many triangles use the edge and
    ``net`` how many more run tail → head than back. Edges of zero length are left out.
    """

    graph: sparse.csr_matrix

    @classmethod
    def of(cls, mesh: Mesh) -> EdgeCensus:
        """The census of *mesh*, whose vertices must be welded by position.

        Counting through a sparse matrix needs no sort over all edges: 0.6 s for 3.5 million triangles, where sorting
        the same keys took 0.8 s.
        """
        start = mesh.faces.ravel()
        end = mesh.faces[:, (1, 2, 0)].ravel()
        tally = np.where(start < end, _ONE + 1, _ONE - 1).astype(np.int32)
        tally[start == end] = 0
        size = len(mesh.vertices)
        low, high = np.minimum(start, end), np.maximum(start, end)
        del start, end
        entries = sparse.coo_matrix((tally, (low, high)), shape=(size, size))
        del low, high, tally
        graph = entries.tocsr()
        graph.eliminate_zeros()
        return cls(graph)

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

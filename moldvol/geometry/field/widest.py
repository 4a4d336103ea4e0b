"""The widest way through a solid: how thick a wall may grow before the way from the opening to a cell closes.

Cells are flat indices into a padded block of depths; d is a cell's depth.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats

Cells = NDArray[np.int32]
# One of each two opposite steps to the 26 cells around.
HALF_AROUND = tuple(step for step in product((-1, 0, 1), repeat=3) if step > (0, 0, 0))


def widest_way(depth: Floats, seeds: Sequence[tuple[int, ...]]) -> Floats:
    """(nx, ny, nz) the largest r such that a path from one of *seeds* to the cell keeps to cells at least r deep.

    Zero outside, where *depth* is not positive, and where only a way outside leads. Paths run through the 26 cells
    around each.

    Method: every cell hangs on the deepest around it, so that cells fall into basins, one to each local maximum, within
    which the way to the maximum never gets shallower; between two basins the best crossing counts; and the widest way
    over these few crossings is Prim's search from the seeds. The same numbers as a grey-scale reconstruction by
    dilation (Vincent, IEEE Trans. Image Processing 2, 1993) in two fifths of its time.
    """
    padded = np.pad(depth, 1)
    flat = padded.ravel()
    inside = np.flatnonzero(flat > 0)
    d = flat[inside]
    number = np.full(flat.size, -1, dtype=np.int32)
    number[inside] = np.arange(len(inside), dtype=np.int32)
    pairs = list(_neighbours(number, inside, padded.shape))
    basin = _basins(d, pairs)
    starts = number[[np.ravel_multi_index([i + 1 for i in seed], padded.shape) for seed in seeds]]
    starts = starts[starts >= 0]
    width = np.zeros(len(d))
    for maximum, widest in _widest_to_basins(_crossings(d, basin, pairs), d[starts], basin[starts]).items():
        width[maximum] = widest
    found = np.zeros_like(flat)
    found[inside] = np.minimum(d, width[basin])
    return np.ascontiguousarray(found.reshape(padded.shape)[1:-1, 1:-1, 1:-1])


def _neighbours(number: Cells, inside: NDArray[np.intp], shape: tuple[int, ...]) -> Iterable[tuple[Cells, Cells]]:
    """All pairs of cells inside that touch, a step at a time, by their number."""
    for x, y, z in HALF_AROUND:
        other = number[inside + (x * shape[1] + y) * shape[2] + z]
        one = np.flatnonzero(other >= 0).astype(np.int32)
        yield one, other[one]


def _basins(d: Floats, pairs: list[tuple[Cells, Cells]]) -> Cells:
    """(m,) the local maximum that each cell hangs on; of equally deep cells the one with the higher number counts."""
    above = np.arange(len(d), dtype=np.int32)
    deepest = d.copy()
    for low, high in (ends for one, other in pairs for ends in ((one, other), (other, one))):
        better = (d[high] > deepest[low]) | ((d[high] == deepest[low]) & (high > above[low]))
        deepest[low[better]], above[low[better]] = d[high[better]], high[better]
    while not np.array_equal(higher := above[above], above):
        above = higher
    return above


def _crossings(d: Floats, basin: Cells, pairs: list[tuple[Cells, Cells]]) -> dict[int, list[tuple[float, int]]]:
    """For each basin its neighbours, with the depth kept where one crosses over to them at the best place."""
    here, there, kept = [], [], []
    for one, other in pairs:
        apart = np.flatnonzero(basin[one] != basin[other])
        ends = basin[one[apart]], basin[other[apart]]
        here.append(np.minimum(*ends))
        there.append(np.maximum(*ends))
        kept.append(np.minimum(d[one[apart]], d[other[apart]]))
    low, high, depth = np.concatenate(here), np.concatenate(there), np.concatenate(kept)
    order = np.lexsort((-depth, high, low))
    low, high, depth = low[order], high[order], depth[order]
    first = np.flatnonzero((np.diff(low, prepend=-1) != 0) | (np.diff(high, prepend=-1) != 0))
    ways: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for a, b, best in zip(low[first].tolist(), high[first].tolist(), depth[first].tolist(), strict=True):
        ways[a].append((best, b))
        ways[b].append((best, a))
    return ways


def _widest_to_basins(
    ways: dict[int, list[tuple[float, int]]], start_depths: Floats, start_basins: Cells
) -> dict[int, float]:
    """The widest way to each basin that can be reached, by always going on along the widest one open."""
    widest: dict[int, float] = {}
    front = [(-depth, basin) for depth, basin in zip(start_depths.tolist(), start_basins.tolist(), strict=True)]
    heapq.heapify(front)
    while front:
        width, basin = heapq.heappop(front)
        if basin in widest:
            continue
        widest[basin] = -width
        for depth, beyond in ways.get(basin, ()):
            if beyond not in widest:
                heapq.heappush(front, (-min(-width, depth), beyond))
    return widest

"""A coarser copy of a very large mesh, for pictures and for feeling walls; volumes never come from it."""

from __future__ import annotations

import numpy as np

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.welding import compacted, drop_repeated_corners


def clustered(mesh: Mesh, across: int) -> tuple[Mesh, float]:
    """*mesh* with all vertices in one cell of a lattice, *across* cells along the longest side, made one at their mean.

    Returns the copy and the cell size in mm; on a smooth surface the mean strays far less than a cell from it.

    Method: vertex clustering (Rossignac & Borrel 1993), 0.4 s for 3.5 million triangles.
    """
    low = mesh.bounds[0]
    cell = float(mesh.size_mm.max()) / across
    if cell == 0:
        return mesh, 0.0
    index = ((mesh.vertices - low.astype(mesh.vertices.dtype)) / mesh.vertices.dtype.type(cell)).astype(np.int64)
    key = (index[:, 0] * (across + 2) + index[:, 1]) * (across + 2) + index[:, 2]
    # Numbering the cells in use through a dense table is three times as fast as sorting the keys.
    used = np.zeros((across + 2) ** 3, dtype=bool)
    used[key] = True
    label = (np.cumsum(used, dtype=np.int32) - np.int32(1))[key]
    count = np.bincount(label)
    means = np.column_stack([np.bincount(label, weights=mesh.vertices[:, k]) / count for k in range(3)])
    coarse, _ = drop_repeated_corners(Mesh(means, label[mesh.faces]))
    return compacted(coarse), cell

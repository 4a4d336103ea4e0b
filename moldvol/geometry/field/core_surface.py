"""The inner surface of a shell as a mesh, for pictures.

Lengths in mm.
"""

from __future__ import annotations

import numpy as np
from skimage.measure import marching_cubes

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.mesh import Floats, Mesh


def core_surface(field: DistanceField, wall_mm: float | Floats) -> Mesh:
    """The surface at depth *wall_mm* (one for all, or one per grid point), facing outwards from the empty core; no
    triangles where the part comes out solid.

    Method: marching cubes (Lewiner et al., J. Graphics Tools 8, 2003). Error: rounds edges off by up to half a cell.
    """
    above = field.depth_mm - wall_mm
    if above.max() <= 0:
        return Mesh.of(np.zeros((0, 3)), np.zeros((0, 3)))
    spacing = (field.grid.spacing_mm,) * 3
    vertices, faces, _, _ = marching_cubes(  # type: ignore[no-untyped-call]  # scikit-image types nothing
        above, 0.0, spacing=spacing, gradient_direction="ascent"
    )
    return Mesh.of(vertices + np.array(field.grid.origin_mm), faces)

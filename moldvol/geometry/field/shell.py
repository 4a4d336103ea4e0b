"""Volume of the hard shell left in a mould at a given wall, from one distance field.

Lengths in mm, volumes in mm³. Depth is positive inside. Knows nothing of resin: mass is the caster's business.
"""

from __future__ import annotations

import numpy as np
from pykdtree.kdtree import KDTree

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.level_set import Estimate, estimate_beyond
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.grid import grown

SHARP_CORNER = 1.75  # walls from a corner of a box to its core: √3, and a little for the grid
SURFACE_PLACES = 20_000  # a share of 10 % is then known to 0.2 %
LEAST_ERROR = 2e-5  # of a shell: on balls the half grids now and then agree better than that by chance


def shell_volume(field: DistanceField, wall_mm: float) -> Volume:
    """Volume of the solid within *wall_mm* of its surface.

    Raises `RequestError` if the wall is not a positive length.

    Method: the solid's volume less what lies deeper, or the difference of two levels of the same grid, whichever the
    half grids agree on better. The second is better at thin walls on rough surfaces, where both levels err alike.
    Error: see `Estimate.volume`.
    """
    check_wall(wall_mm)
    return shell_from(field, estimate_beyond(field.lattice, wall_mm), wall_mm)


def core_volume(field: DistanceField, wall_mm: float) -> Volume:
    """Volume left empty within a shell of *wall_mm*."""
    shell = shell_volume(field, wall_mm)
    return Volume(field.solid_mm3 - shell.volume_mm3, shell.error_mm3)


def solid_share(field: DistanceField, wall_mm: float) -> float:
    """Share (0 to 1) of the surface under which the part comes out solid, being thinner than two walls.

    Method: places spread evenly over the surface, and which of them are further from the core than the corner of a
    box would be. Error: a band about one cell wide around such places.
    """
    check_wall(wall_mm)
    core = field.depth_mm > wall_mm
    if not core.any():
        return 1.0
    reach = SHARP_CORNER * wall_mm + field.grid.spacing_mm
    rim = np.flatnonzero(core & grown(~core))
    away, _ = KDTree(field.grid.points(rim)).query(field.surface.places(SURFACE_PLACES), distance_upper_bound=reach)
    return float(np.mean(~np.isfinite(away)))


def check_wall(wall_mm: float) -> None:
    """Raises `RequestError` unless *wall_mm* is a length above zero."""
    if not 0 < wall_mm < np.inf:
        raise RequestError(f"A wall of {wall_mm:g} mm cannot be cast; give a length above 0 mm, such as 3mm.")


def shell_from(field: DistanceField, beyond: Estimate, wall_mm: float) -> Volume:
    """The shell, given what lies *beyond* a wall that is nowhere thicker than *wall_mm*; never below zero nor above
    the solid."""
    core = beyond.volume()
    by_core = Volume(field.solid_mm3 - core.volume_mm3, core.error_mm3)
    by_levels = field.at_surface.to(beyond, wall_mm / field.grid.spacing_mm).volume()
    best = min(by_core, by_levels, key=lambda volume: volume.error_mm3)
    shell = float(np.clip(best.volume_mm3, 0.0, field.solid_mm3))
    return Volume(shell, best.error_mm3 + LEAST_ERROR * shell)

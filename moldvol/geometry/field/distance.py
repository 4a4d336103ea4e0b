"""The depth of every point of a regular grid below the surface of a solid: one field from which all hollowing reads.

Lengths in mm, volumes in mm³. Depth is positive inside, the exact distance to the nearest triangle; outside it is
negative and known only as far as the field was asked to look.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import RequestError, UnsoundMesh
from moldvol.geometry.columns import column_crossings, winding_on_grid
from moldvol.geometry.field.level_set import Estimate, Lattice, estimate_beyond
from moldvol.geometry.field.surface import Surface
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.grid import Grid, grown, spacing_for
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.triangles import measures

Mask = NDArray[np.bool_]

BAND_CELLS = 2  # layers known outside: a cell cut by the surface and the neighbours its direction is judged by
FIRST_STEP_CELLS = 1.5  # what is not reached by the layers is at least about this far away
# A symmetric part on a grid of the same symmetry has whole edges of grid points on its ridges.
OFF_CENTRE_CELLS = (0.137, 0.271, -0.193)
CHUNK_QUERIES = 1 << 15  # distances between two reports of progress: about a tenth of a second


@dataclass(frozen=True, slots=True, eq=False)
class DistanceField:
    """Depths of a solid on ``lattice.grid``; made by `DistanceField.of`, then asked by shell, reach and the rest.

    ``depth_mm`` (nx, ny, nz) is exact where the solid is, on the layers around it and as far outside as
    ``reach_outside_mm``; beyond, it is a negative number that says only "further". ``solid_mm3`` is the solid's volume
    where it is known better than from the grid: of its triangles, or as it was given. ``at_surface`` is the estimate
    by which the field tells a volume of its own.
    """

    lattice: Lattice
    surface: Surface
    reach_outside_mm: float
    solid_mm3: float
    at_surface: Estimate

    @classmethod
    def of(
        cls,
        mesh: Mesh,
        *,
        interior_points: int = 250_000,
        inside: Literal["columns", "winding"] = "columns",
        volume_mm3: float | None = None,
        reach_outside_mm: float = 0.0,
        progress: Callable[[float], None] | None = None,
    ) -> DistanceField:
        """The field of a closed *mesh* with about *interior_points* inside.

        *inside* says how inside is told from outside: by column crossings, fast and exact for closed meshes, or by the
        winding number per point, for meshes that were mended with holes left. *volume_mm3* is the solid's volume where
        better known than from these triangles. *progress* is called with the share done, 0 to 1.

        Raises `UnsoundMesh` if no grid point lies inside, `RequestError` for counts or lengths that make no sense.

        Method: exact point-to-triangle distances by a tree of boxes (libigl), only where they are needed.
        Error: of a distance, rounding only.
        """
        _check(interior_points, reach_outside_mm)
        solid_mm3 = abs(measures(mesh).signed_volume_mm3) if volume_mm3 is None else volume_mm3
        if not solid_mm3 > 0:
            raise UnsoundMesh("The triangles enclose no volume; close the mesh or give the sheet a thickness.")
        grid = _grid_over(mesh, solid_mm3, interior_points, reach_outside_mm)
        within = _within(mesh, grid, inside)
        if not within.any():
            raise UnsoundMesh(
                f"No point of a {grid.spacing_mm:.3g} mm grid lies inside the part; it is open or too thin."
            )
        surface = Surface.of(mesh)
        lattice = _measured(surface, grid, within, reach_outside_mm, progress or _silent)
        return cls(lattice, surface, reach_outside_mm, solid_mm3, estimate_beyond(lattice, 0.0))

    @property
    def grid(self) -> Grid:
        """The grid whose points were measured."""
        return self.lattice.grid

    @property
    def depth_mm(self) -> Floats:
        """(nx, ny, nz) depth, positive inside."""
        return self.lattice.depth_mm

    @property
    def volume(self) -> Volume:
        """The field's own volume with its error, independent of the divergence theorem."""
        return self.at_surface.volume()

    @property
    def volume_mm3(self) -> float:
        """The field's own volume."""
        return self.volume.volume_mm3

    @property
    def volume_error_mm3(self) -> float:
        """Likely error of the field's own volume."""
        return self.volume.error_mm3

    def agrees_with(self, volume_mm3: float, error_mm3: float = 0.0) -> bool:
        """Whether *volume_mm3* ± *error_mm3* and the field's own volume can both be true; if not, the mesh crosses
        itself or is not closed."""
        own = self.volume
        return abs(volume_mm3 - own.volume_mm3) <= error_mm3 + own.error_mm3


def field_within(surface: Surface, grid: Grid, within: Mask) -> DistanceField:
    """The field of the solid that is the mask *within* (nx, ny, nz) of *grid* with *surface* as its skin, for solids
    known otherwise than by a closed mesh; its volume is the field's own."""
    lattice = _measured(surface, grid, within, 0.0, _silent)
    at_surface = estimate_beyond(lattice, 0.0)
    return DistanceField(lattice, surface, 0.0, at_surface.volume().volume_mm3, at_surface)


def _check(interior_points: int, reach_outside_mm: float) -> None:
    if interior_points < 1:
        raise RequestError(f"A field of {interior_points} points holds nothing; ask for at least 1,000.")
    if not 0 <= reach_outside_mm < np.inf:
        raise RequestError(f"A reach of {reach_outside_mm} mm outside makes no sense; give a length of 0 mm or more.")


def _silent(share: float) -> None:
    pass


def _grid_over(mesh: Mesh, solid_mm3: float, interior_points: int, reach_outside_mm: float) -> Grid:
    reach = np.array([[-reach_outside_mm], [reach_outside_mm]])
    bounds = mesh.bounds + reach
    spacing = spacing_for(solid_mm3, interior_points, bounds)
    return Grid.over(bounds + spacing * np.array(OFF_CENTRE_CELLS), spacing, layers=BAND_CELLS + 1)


def _within(mesh: Mesh, grid: Grid, inside: str) -> Mask:
    if inside == "columns":
        return winding_on_grid(column_crossings(mesh, grid.axis(0), grid.axis(1)), grid) > 0
    import igl  # slow to load, and sound meshes never need it

    within = np.zeros(grid.size, dtype=np.bool_)
    vertices, faces = mesh.vertices.astype(np.float64), mesh.faces.astype(np.int64)
    for block, points in grid.point_chunks(np.arange(grid.size)):
        within[block] = igl.fast_winding_number(vertices, faces, points) > 0.5
    return within.reshape(grid.shape)


def _measured(
    surface: Surface, grid: Grid, within: Mask, reach_outside_mm: float, progress: Callable[[float], None]
) -> Lattice:
    # What lies close together walks the same branches of the tree, which saves an eighth of the time.
    flat = grid.by_blocks(np.flatnonzero(_needed(within, grid.spacing_mm, reach_outside_mm)))
    depth = np.full(grid.size, -(reach_outside_mm + FIRST_STEP_CELLS * grid.spacing_mm))
    slope = np.zeros((len(flat), 3), dtype=np.float32)
    sign = np.where(within.ravel()[flat], 1.0, -1.0)
    for start in range(0, len(flat), CHUNK_QUERIES):
        block = slice(start, start + CHUNK_QUERIES)
        distance, slope[block] = _distance_and_slope(surface, grid.points(flat[block]), sign[block])
        depth[flat[block]] = sign[block] * distance
        progress(min(1.0, (start + CHUNK_QUERIES) / len(flat)))
    return Lattice.of(grid, depth.reshape(grid.shape), flat, slope)


def _needed(within: Mask, spacing_mm: float, reach_outside_mm: float) -> Mask:
    if reach_outside_mm > 0:
        from scipy import ndimage  # slow to load, and few fields reach outside

        cells = reach_outside_mm / spacing_mm + BAND_CELLS
        return np.asarray(ndimage.distance_transform_edt(~within) <= cells)
    return grown(within, BAND_CELLS)


def _distance_and_slope(surface: Surface, points: Floats, sign: Floats) -> tuple[Floats, Floats]:
    """(m,) distance and (m, 3) direction in which depth grows fastest."""
    found = surface.nearest(points)
    with np.errstate(invalid="ignore", divide="ignore"):
        slope = sign[:, None] * (points - found.point_mm) / found.distance_mm[:, None]
    # On the surface itself the way there has no direction; the face has.
    touching = found.distance_mm <= 1e-9 * np.abs(points).max(axis=1)
    slope[touching] = -surface.face_normals(found.face[touching])
    return found.distance_mm, slope

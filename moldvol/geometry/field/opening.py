"""Where liquid enters a mould: the pour opening as a point on the part, and the point inside from which it spreads.

Lengths in mm.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from scipy import ndimage

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.surface import Surface, pieces_of
from moldvol.geometry.field.widest import Basins, Cell
from moldvol.geometry.grid import Indices
from moldvol.geometry.mesh import Floats

Opening = Literal["bottom", "top"] | tuple[float, float, float] | None

LEVEL = 0.9998  # a face whose normal is within about a degree of upright is flat
SAME_HEIGHT = 1e-3  # of the part's height: faces this close together are one flat place
LEAST_CELLS = 9  # a flat place of fewer cell faces is no opening, a body of fewer cells not worth one
RIPPLE_CELLS = 3**0.5 / 2  # on a ridge that slants through the grid depth may ripple by this much


def opening_point(surface: Surface, opening: Opening, spacing_mm: float) -> Floats:
    """(3,) the middle of the *opening* on the part: the lowest flat face if None, else the lowest or highest point or
    the point given.

    Raises `RequestError` for a word that is neither "bottom" nor "top", or numbers that are not finite.
    """
    if opening is None:
        flat = lowest_flat_place(surface, LEAST_CELLS * spacing_mm**2)
        return flat if flat is not None else opening_point(surface, "bottom", spacing_mm)
    if isinstance(opening, str):
        if opening not in ("bottom", "top"):
            raise RequestError(f"'{opening}' is not an opening; say bottom, top or a place like 0,0,30.")
        height = surface.vertices[:, 2]
        end = height.min() if opening == "bottom" else height.max()
        return np.asarray(surface.vertices[np.abs(height - end) <= SAME_HEIGHT * np.ptp(height)].mean(axis=0))
    point = np.asarray(opening, dtype=np.float64)
    if point.shape != (3,) or not np.isfinite(point).all():
        raise RequestError(f"'{opening}' is not a place; give the opening as three numbers like 0,0,30.")
    return point


def lowest_flat_place(surface: Surface, least_mm2: float) -> Floats | None:
    """(3,) middle of the lowest level face that looks down and has at least *least_mm2*, or None."""
    corners = surface.vertices[surface.faces]
    vectors = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
    areas = np.linalg.norm(vectors, axis=1)
    down = np.flatnonzero(-vectors[:, 2] > LEVEL * areas)
    if not len(down):
        return None
    middle, area = corners[down].mean(axis=1), areas[down]
    order = np.argsort(middle[:, 2])
    steps = np.diff(middle[order, 2]) > SAME_HEIGHT * np.ptp(surface.vertices[:, 2])
    for place in np.split(order, np.flatnonzero(steps) + 1):
        if area[place].sum() >= least_mm2:
            return np.asarray(np.average(middle[place], axis=0, weights=area[place]))
    return None


def ridge_cell(field: DistanceField, basins: Basins, point: Floats) -> Cell:
    """The cell reached by walking from the inner cell nearest to *point* towards ever greater depth, to the first ridge
    or room behind the opening."""
    inner = np.flatnonzero(field.depth_mm > 0)
    nearest = inner[np.argmin(((field.grid.points(inner) - point) ** 2).sum(axis=1))]
    return basins.climb(_cell(np.unravel_index(nearest, field.grid.shape)), RIPPLE_CELLS * field.grid.spacing_mm)


def other_seeds(field: DistanceField, basins: Basins, seed: Cell) -> list[Cell]:
    """For every further body that is not joined to the one of *seed*, the cell where liquid entering at its lowest
    point spreads from. A room joined to a body by a passage too narrow for the grid is not a body."""
    surface = field.surface
    body = pieces_of(surface.faces, len(surface.vertices))[surface.faces[:, 0]]
    if body.max() == body.min():
        return []
    parts, count = ndimage.label(field.depth_mm > 0, structure=np.ones((3, 3, 3)))
    taken, seeds = {_body_at(field, body, seed)}, []
    sizes = np.bincount(parts.ravel(), minlength=count + 1)[1:]
    for part in np.argsort(-sizes)[: np.count_nonzero(sizes >= LEAST_CELLS)] + 1:
        cells = np.argwhere(parts == part)
        lowest = basins.climb(_cell(cells[np.argmin(cells[:, 2])]), RIPPLE_CELLS * field.grid.spacing_mm)
        if (owner := _body_at(field, body, lowest)) not in taken:
            taken.add(owner)
            seeds.append(lowest)
    return seeds


def _body_at(field: DistanceField, body: Indices, cell: Cell) -> int:
    flat = np.ravel_multi_index(cell, field.grid.shape)
    return int(body[field.surface.nearest(field.grid.points(np.array([flat]))).face[0]])


def _cell(indices: object) -> Cell:
    i, j, k = (int(index) for index in indices)  # type: ignore[attr-defined]
    return i, j, k

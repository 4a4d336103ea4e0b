"""Where liquid enters a mould: the pour opening as a point on the part, and the point inside from which it spreads.

Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

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
FAR_OFF_SHARE = 0.05  # of the part's diagonal: a point typed by eye may lie beside its box by so much
POUR_HOLE_MM = 5.0  # a hole of 10 mm is drilled or cut where the opening is a place and no face
HOLE_SHARE = 0.125  # of the longest side of a small part
OPENING_PLACES = 64  # on a flat face
HOLE_PLACES = 5  # points a side of the cube whose nearest places make up a hole
MOVES = 20
SIDEWAYS = np.array([(x, y) for x in (-1.0, 0.0, 1.0) for y in (-1.0, 0.0, 1.0) if x or y])
SHRINKINGS = 40  # of a ball; five or six are usual
STILL_TOUCHING = 1 - 1e-5  # of the radius
LITTLE_LARGER = 1.0005
RIPPLE_CELLS = 3**0.5 / 2  # on a ridge that slants through the grid depth may ripple by this much


def opening_point(surface: Surface, opening: Opening, spacing_mm: float) -> Floats:
    """(3,) the middle of the *opening* on the part: the lowest flat face if None, else the lowest or highest point or
    the point given.

    Raises `RequestError` for a word that is neither "bottom" nor "top", numbers that are not finite, or a point off the
    part: one in another unit, or with a slip in it, would change the grams without a word.
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
    low, high = surface.vertices.min(axis=0), surface.vertices.max(axis=0)
    away = float(np.linalg.norm(np.maximum(np.maximum(low - point, point - high), 0.0)))
    if away > FAR_OFF_SHARE * float(np.linalg.norm(high - low)):
        raise RequestError(
            f"The opening {_in_words(point)} mm lies {away:.3g} mm off the part, which reaches from {_in_words(low)} "
            f"to {_in_words(high)} mm; give a place on it."
        )
    return point


def _in_words(point: Floats) -> str:
    return ",".join(f"{coordinate:g}" for coordinate in np.round(point, 1) + 0.0)


def lowest_flat_place(surface: Surface, least_mm2: float) -> Floats | None:
    """(3,) middle of the lowest level face that looks down and has at least *least_mm2*, or None."""
    faces = _lowest_flat_faces(surface, least_mm2)
    if faces is None:
        return None
    corners = surface.vertices[surface.faces[faces]]
    return np.asarray(np.average(corners.mean(axis=1), axis=0, weights=_areas(corners)))


def _lowest_flat_faces(surface: Surface, least_mm2: float) -> Indices | None:
    corners = surface.vertices[surface.faces]
    vectors = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
    areas = np.linalg.norm(vectors, axis=1)
    down = np.flatnonzero(-vectors[:, 2] > LEVEL * areas)
    if not len(down):
        return None
    height = corners[down, :, 2].mean(axis=1)
    order = np.argsort(height)
    steps = np.diff(height[order]) > SAME_HEIGHT * np.ptp(surface.vertices[:, 2])
    for place in np.split(down[order], np.flatnonzero(steps) + 1):
        if areas[place].sum() >= least_mm2:
            return place
    return None


def _areas(corners: Floats) -> Floats:
    return np.asarray(
        np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    )


@dataclass(frozen=True, slots=True)
class FirstRoom:
    """The largest ball inside that touches the part within the opening, and the ``cell`` at its middle: a wall thicker
    than its radius closes the way in right there."""

    cell: Cell
    middle_mm: tuple[float, float, float]
    radius_mm: float


def first_room(field: DistanceField, opening: Opening) -> FirstRoom:
    """The room behind the *opening* from which liquid spreads.

    The opening is the whole lowest flat face, or what lies within POUR_HOLE_MM of a point. Raises as `opening_point`.

    Method: balls that touch at places spread over the opening; the largest is moved about on it as long as it grows.
    """
    mouth = _Mouth.of(field, opening)
    radii = mouth.radii(mouth.places, mouth.inward)
    best = int(np.argmax(radii))
    place, inward, radius, step = mouth.places[best], mouth.inward[best], float(radii[best]), mouth.step_mm
    for _ in range(MOVES):
        places, inwards = mouth.larger(*mouth.around(place, inward, step), radius)
        if len(places):
            radii = mouth.radii(places, inwards)
            best = int(np.argmax(radii))
            place, inward, radius = places[best], inwards[best], float(radii[best])
        else:
            step /= 2
    middle = place + radius * inward
    x, y, z = middle.tolist()
    return FirstRoom(_inner_cell(field, middle), (x, y, z), radius)


@dataclass(frozen=True, slots=True, eq=False)
class _Mouth:
    """The opening as a patch of the surface: ``places`` (m, 3) spread over it about ``step_mm`` apart, the way
    ``inward`` (m, 3) from each, and the ``faces`` it consists of, or ``radius_mm`` about its ``middle``."""

    field: DistanceField
    places: Floats
    inward: Floats
    step_mm: float
    faces: Indices | None
    middle: Floats
    radius_mm: float

    @classmethod
    def of(cls, field: DistanceField, opening: Opening) -> _Mouth:
        surface, spacing = field.surface, field.grid.spacing_mm
        flat = _lowest_flat_faces(surface, LEAST_CELLS * spacing**2) if opening is None else None
        if flat is not None:
            found = surface.nearest(surface.places(OPENING_PLACES, flat))
            step = float(np.sqrt(_areas(surface.vertices[surface.faces[flat]]).sum() / OPENING_PLACES))
            return cls(field, found.point_mm, -surface.face_normals(found.face), step, flat, found.point_mm[0], 0.0)
        middle = surface.nearest(opening_point(surface, opening, spacing)[None]).point_mm[0]
        radius = min(POUR_HOLE_MM, HOLE_SHARE * float(np.ptp(surface.vertices, axis=0).max()))
        steps = np.linspace(-radius, radius, HOLE_PLACES)
        found = surface.nearest(middle + np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3))
        near = np.linalg.norm(found.point_mm - middle, axis=1) <= radius
        inward = -surface.face_normals(found.face[near])
        return cls(field, found.point_mm[near], inward, float(steps[1] - steps[0]), None, middle, radius)

    def around(self, place: Floats, inward: Floats, step: float) -> tuple[Floats, Floats]:
        """Places on the opening one *step* away from *place* on all sides, and the ways inward from them."""
        first = np.cross(inward, np.eye(3)[np.abs(inward).argmin()])
        first /= np.linalg.norm(first)
        across = np.stack([first, np.cross(inward, first)])
        found = self.field.surface.nearest(place + step * (SIDEWAYS @ across))
        if self.faces is not None:
            within = np.isin(found.face, self.faces)
        else:
            within = np.linalg.norm(found.point_mm - self.middle, axis=1) <= self.radius_mm
        return found.point_mm[within], -self.field.surface.face_normals(found.face[within])

    def larger(self, places: Floats, inward: Floats, radius: float) -> tuple[Floats, Floats]:
        """Those of *places*, and their ways inward, at which a ball a little larger than *radius* still touches."""
        radii = np.full(len(places), radius * LITTLE_LARGER)
        touching = self.field.surface.distance(places + radii[:, None] * inward) >= radii * STILL_TOUCHING
        return places[touching], inward[touching]

    def radii(self, places: Floats, inward: Floats) -> Floats:
        """(m,) of the largest ball inside that touches at each of *places*.

        Method: a ball too large is shrunk until it just touches what is nearest to its middle, and so on until that is
        the place itself (Ma, Bae & Choi, "3D medial axis point approximation using nearest neighbors and the normal
        field", The Visual Computer 28, 2012).
        """
        radii = np.full(len(places), float(self.field.depth_mm.max()) * 1.1)
        shrinking = np.arange(len(places))
        for _ in range(SHRINKINGS):
            place, way, radius = places[shrinking], inward[shrinking], radii[shrinking]
            found = self.field.surface.nearest(place + radius[:, None] * way)
            larger = np.flatnonzero(found.distance_mm < radius * STILL_TOUCHING)
            if not len(larger):
                break
            shrinking, there = shrinking[larger], found.point_mm[larger] - place[larger]
            radii[shrinking] = (there**2).sum(axis=1) / (2 * (there * way[larger]).sum(axis=1))
        return radii


def _inner_cell(field: DistanceField, point: Floats) -> Cell:
    """The cell inside that is nearest to *point*."""
    cell = _cell(field.grid.nearest_index(point))
    if field.depth_mm[cell] > 0:
        return cell
    inner = np.flatnonzero(field.depth_mm > 0)
    nearest = inner[np.argmin(((field.grid.points(inner) - point) ** 2).sum(axis=1))]
    return _cell(np.unravel_index(nearest, field.grid.shape))


def other_seeds(field: DistanceField, basins: Basins, seed: Cell) -> list[Cell]:
    """For every further body that is not joined to the one of *seed*, the cell where liquid entering at its lowest
    point spreads from. A room joined to a body by a passage too narrow for the grid is not a body."""
    surface = field.surface
    body = pieces_of(surface.faces, len(surface.vertices))[surface.faces[:, 0]]
    if body.max() == body.min():
        return []
    parts = basins.on_grid(basins.rooms_behind(np.zeros(len(basins.depth))) + 1)
    taken, seeds = {_body_at(field, body, seed)}, []
    sizes = np.bincount(parts.ravel())[1:]
    for part in np.argsort(-sizes, kind="stable")[: np.count_nonzero(sizes >= LEAST_CELLS)] + 1:
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

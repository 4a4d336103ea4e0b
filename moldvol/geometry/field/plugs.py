"""A hollow master with its drain holes plugged: the solid that rubber poured around it really meets.

Lengths in mm, volumes in mm³. A passage is plugged where a ball of the plug's diameter, coming from outside, cannot get
into a room that has space for it. Grooves and inner corners that such a ball only fails to fill are left as they are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from skimage.measure import marching_cubes

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField, Mask, field_within
from moldvol.geometry.field.surface import Surface, pieces_of
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.grid import Grid, grown
from moldvol.geometry.mesh import Floats, Mesh, join
from moldvol.geometry.triangles import area_vectors, measures

EVERY_WAY = np.ones((3, 3, 3), dtype=np.bool_)
LEAST_RADIUS_CELLS = 2.0  # smaller balls are not told from a single cell
CRUMB_SHARE = 0.15  # of the largest plug's skin: less is a crumb of the grid
FACET_CELLS = 2.0  # triangles larger than this are split before it is asked on which side of a plug they are
SKIN_ERROR_CELLS = 0.3  # how far the plugs' own skin may be off


@dataclass(frozen=True, slots=True, eq=False)
class Plugged:
    """A solid with its narrow passages plugged: its ``field``, outer ``volume``, and where each plug sits."""

    field: DistanceField
    volume: Volume
    plugs_at_mm: tuple[tuple[float, float, float], ...]


def smallest_plug_mm(field: DistanceField) -> float:
    """The narrowest plug that the field's spacing can tell."""
    return 2 * LEAST_RADIUS_CELLS * field.grid.spacing_mm


def plugged(field: DistanceField, plug_mm: float) -> Plugged:
    """The solid of *field* with all passages narrower than *plug_mm* closed, what lies behind them filled.

    *field* must reach *plug_mm* / 2 outside. Raises `RequestError` if it does not, or if the plug is under four cells.

    Method: ball centres that can be reached from outside are flooded; what a ball on none of them touches is plugged,
    where it holds a room in which such a ball would fit. The plugged solid's depths are exact distances to the old skin
    outside the plugs and to the plugs' own.
    Error: plugs count as narrower or wider by up to a cell; their skin is off by up to 0.3 cell, which the volume's
    error includes.
    """
    radius = plug_mm / 2
    _check(field, plug_mm)
    away, filled = _behind_plugs(field, radius)
    if not filled.any():
        return Plugged(field, Volume(field.solid_mm3, field.volume_error_mm3), ())
    caps = _cap_mesh(field.grid, away - radius, filled & (field.depth_mm <= 0))
    skin = Surface.of(join([_outer_faces(field, filled), caps]))
    new = field_within(skin, field.grid, (field.depth_mm > 0) | filled)
    own = new.volume
    blurred = SKIN_ERROR_CELLS * field.grid.spacing_mm * measures(caps).area_mm2
    return Plugged(new, Volume(own.volume_mm3, own.error_mm3 + blurred), _places(caps))


def _check(field: DistanceField, plug_mm: float) -> None:
    if not smallest_plug_mm(field) <= plug_mm < np.inf:
        raise RequestError(
            f"A plug of {plug_mm:g} mm is too narrow for this detail; ask for more points or at least "
            f"{smallest_plug_mm(field):.3g} mm."
        )
    if field.reach_outside_mm < plug_mm / 2:
        raise RequestError(
            f"The field looks {field.reach_outside_mm:g} mm outside; a plug of {plug_mm:g} mm needs {plug_mm / 2:g} mm."
        )


def _behind_plugs(field: DistanceField, radius: float) -> tuple[Floats, Mask]:
    """(nx, ny, nz) distance of each cell from the ball centres reached from outside, and the mask of what is filled."""
    outside = -field.depth_mm
    reached = _joined_to_border(outside >= radius)
    steps, nearest = ndimage.distance_transform_edt(~reached, return_indices=True)
    # The border of what is reached lies a part of a cell beyond its last cell: by how much too far that one is.
    away = steps * field.grid.spacing_mm - np.maximum(outside[tuple(nearest)] - radius, 0.0)
    untouched = (outside > 0) & (away > radius)
    rooms, count = ndimage.label(untouched, structure=EVERY_WAY)
    if not count:
        return away, untouched
    # A groove between feathers is as unreachable as a drained room, but no plug-sized ball would fit into it anywhere.
    roomiest = ndimage.maximum(np.where(untouched, outside, 0.0), rooms, np.arange(1, count + 1))
    kept = np.append(False, roomiest > radius + field.grid.spacing_mm / 2)
    return away, np.asarray(kept[rooms])


def _joined_to_border(free: Mask) -> Mask:
    parts, _ = ndimage.label(free)
    return np.asarray((parts == parts[0, 0, 0]) & free)


def _cap_mesh(grid: Grid, height: Floats, filled: Mask) -> Mesh:
    """The skin of the plugs, facing out: where *height* above what balls touch is zero, beside what is *filled*."""
    beside = grown(filled)
    spacing = (grid.spacing_mm,) * 3
    vertices, faces, _, _ = marching_cubes(  # type: ignore[no-untyped-call]  # scikit-image types nothing
        height, 0.0, spacing=spacing, gradient_direction="ascent", mask=beside
    )
    return Mesh.of(vertices + np.array(grid.origin_mm), faces)


def _outer_faces(field: DistanceField, filled: Mask) -> Mesh:
    """The faces of the old skin that are not behind a plug, split small near the plugs."""
    corners = field.surface.vertices[field.surface.faces]
    near = _meets(corners, _box_of(field.grid, filled))
    pieces = _split(corners[near], FACET_CELLS * field.grid.spacing_mm)
    outer = np.concatenate([corners[~near], pieces[~_behind(field.grid, pieces, filled, field.depth_mm <= 0)]])
    return Mesh.of(outer.reshape(-1, 3), np.arange(3 * len(outer)))


def _box_of(grid: Grid, mask: Mask) -> Floats:
    places = np.argwhere(mask)
    ends = np.stack([places.min(axis=0) - 2, places.max(axis=0) + 2])
    return np.asarray(ends * grid.spacing_mm + np.array(grid.origin_mm))


def _meets(corners: Floats, box: Floats) -> Mask:
    return np.asarray(((corners.max(axis=1) >= box[0]) & (corners.min(axis=1) <= box[1])).all(axis=1))


def _split(corners: Floats, largest_mm: float) -> Floats:
    """The triangles halved at their longest edge until none is longer than *largest_mm*."""
    done = [corners[:0]]
    while len(corners):
        edges = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
        long = edges.max(axis=1) > largest_mm
        done.append(corners[~long])
        first = edges[long].argmax(axis=1)[:, None]
        a, b, c = (np.take_along_axis(corners[long], ((first + k) % 3)[:, :, None], 1)[:, 0] for k in range(3))
        middle = (a + b) / 2
        corners = np.concatenate([np.stack([a, middle, c], 1), np.stack([middle, b, c], 1)])
    return np.concatenate(done)


def _behind(grid: Grid, corners: Floats, filled: Mask, outside: Mask) -> Mask:
    """(n,) whether the air next to each triangle is *filled* rather than reached."""
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-300)
    votes = np.zeros(len(corners), dtype=np.int64)
    for cells in (0.6, 1.2):
        points = corners.mean(axis=1) + cells * grid.spacing_mm * normal
        steps = np.rint((points - grid.origin_mm) / grid.spacing_mm).astype(np.int64)
        at = tuple(np.clip(steps, 0, np.array(grid.shape) - 1).T)
        votes += np.where(filled[at], 1, np.where(outside[at], -1, 0))
    return votes > 0


def _places(caps: Mesh) -> tuple[tuple[float, float, float], ...]:
    """The middle of each connected piece of *caps*, the grid's crumbs left out."""
    piece = pieces_of(caps.faces.astype(np.int64), len(caps.vertices))
    areas = np.bincount(piece[caps.faces[:, 0]], np.linalg.norm(area_vectors(caps.corners()), axis=1))
    kept = np.flatnonzero(areas >= CRUMB_SHARE * areas.max(initial=0.0))
    middles = [caps.vertices[piece == number].mean(axis=0) for number in kept if areas[number] > 0]
    return tuple((float(x), float(y), float(z)) for x, y, z in middles)

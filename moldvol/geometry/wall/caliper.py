"""Wall thickness as calipers feel it: from points all over the surface straight in to the opposite wall.

Lengths in mm. Samples are spread by area with a fixed seed, so that two large flat triangles are felt as well as two
thousand small ones, and the same file gives the same digits every time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pykdtree.kdtree import KDTree

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.wall.largest_ball import largest_ball
from moldvol.geometry.wall.rays import RayCaster
from moldvol.geometry.wall.sampling import Skin
from moldvol.geometry.wall.simplify import clustered

SAMPLES = 6000
# The opposite wall counts only if it faces away from the ray, not where the ray grazes or enters.
LEAST_FACING = 0.1
# Rays around the straight one, tilted by this much: where they agree with each other and not with it, it hit a speck.
CONE_ANGLE = np.radians(6)
CONE_RAYS = 4
CONE_DISAGREEMENT = 0.25
THIN_QUANTILE = 0.05
AGREEING_SAMPLES = 5
# Meshes above this are felt on a simplified copy; building the ray tree of 3.5 million triangles alone takes 2 s.
MOST_FELT_FACES = 600_000
CLUSTERS_ACROSS = 208

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Wall:
    """Thickness over the surface: ``thin_mm`` is undercut by 5 % of the area, ``median_mm`` by half.

    ``thinnest_mm`` is the least that a few neighbouring samples agree on, at ``thinnest_at_mm``; ``thick_mm`` the
    diameter of the largest ball found inside, around ``thickest_at_mm``. ``thin_share`` is the share of area thinner
    than the limit asked for.
    ``resolution_mm`` is how coarse the copy was on which a very large mesh was felt, 0 for the mesh itself.
    """

    thin_mm: float
    median_mm: float
    thick_mm: float
    thinnest_mm: float
    thinnest_at_mm: Place
    thickest_at_mm: Place
    thin_limit_mm: float | None
    thin_share: float | None
    resolution_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class WallSamples:
    """Points (k, 3) on the surface, their outward normals (k, 3) and the thickness (k,) felt there; NaN = none."""

    points: Floats
    normals: Floats
    thickness_mm: Floats


def feel_wall(mesh: Mesh, *, thin_limit_mm: float | None = None, samples: int = SAMPLES) -> Wall:
    """The wall of a closed outward-facing *mesh*.

    Method: one ray inward along the normal per sample, the first wall it leaves through is the opposite one; a narrow
    cone of rays overrules it where it disagrees. The thickest section is the largest ball that fits.
    Error: the median of 6,000 samples is good to a few parts in a thousand of the area; a thin spot of 0.3 % of the
    area escapes with odds below one in ten million.
    """
    felt, resolution = mesh, 0.0
    if len(mesh.faces) > MOST_FELT_FACES:
        felt, resolution = clustered(mesh, CLUSTERS_ACROSS)
    skin = Skin(felt)
    caster = RayCaster(felt, skin.normals)
    feel = wall_samples(skin, caster, samples)
    known = np.isfinite(feel.thickness_mm)
    points, thickness = feel.points[known], feel.thickness_mm[known]
    if len(points) == 0:
        return _nothing_felt(felt, thin_limit_mm, resolution)
    thin, median = np.quantile(thickness, [THIN_QUANTILE, 0.5])
    thinnest, thinnest_mm = _thinnest(points, thickness)
    ball = largest_ball(skin, caster, points, feel.normals[known], thickness)
    return Wall(
        thin_mm=float(thin),
        median_mm=float(median),
        thick_mm=ball.diameter_mm,
        thinnest_mm=thinnest_mm,
        thinnest_at_mm=_place(points[thinnest]),
        thickest_at_mm=_place(ball.centre),
        thin_limit_mm=thin_limit_mm,
        thin_share=None if thin_limit_mm is None else float(np.mean(thickness < thin_limit_mm)),
        resolution_mm=resolution,
    )


def _thinnest(points: Floats, thickness: Floats) -> tuple[int, float]:
    """The sample where the wall is thinnest, and the wall there as it and its nearest neighbours agree on it.

    A single short ray proves nothing: next to a crease or a sharp edge one in a thousand finds a wall within a hair.
    """
    count = min(AGREEING_SAMPLES, len(points))
    _, nearest = KDTree(points).query(points, k=count)
    agreed = np.median(thickness[np.asarray(nearest).reshape(len(points), count)], axis=1)
    thinnest = int(np.argmin(agreed))
    return thinnest, float(agreed[thinnest])


def wall_samples(skin: Skin, caster: RayCaster, samples: int = SAMPLES) -> WallSamples:
    """The thickness at *samples* points spread by area over *skin*, felt by its *caster*."""
    faces, points, normals = skin.sample(samples)
    return WallSamples(points, normals, thickness_at(caster, faces, points, normals))


def thickness_at(caster: RayCaster, faces: NDArray[np.int64], points: Floats, normals: Floats) -> Floats:
    """(k,) distance from each of *points* on *faces* inward to the opposite wall, mm; NaN where there is none."""
    straight = caster.exit_distances(points, -normals, faces, LEAST_FACING)
    side, up = _across(normals)
    around = []
    for turn in 2 * np.pi * np.arange(CONE_RAYS) / CONE_RAYS:
        tilt = np.cos(turn) * side + np.sin(turn) * up
        direction = -np.cos(CONE_ANGLE) * normals + np.sin(CONE_ANGLE) * tilt
        around.append(caster.exit_distances(points, direction, faces, LEAST_FACING))
    cone = _row_median(np.array(around))
    low, high = np.fmin.reduce(around), np.fmax.reduce(around)
    agreed = (high - low) < CONE_DISAGREEMENT * cone
    overrule = np.isnan(straight) | (agreed & (np.abs(straight - cone) > CONE_DISAGREEMENT * cone))
    return np.where(overrule, cone * np.cos(CONE_ANGLE), straight)


def _across(normals: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors (k, 3) at right angles to each normal and to each other."""
    axis = np.where((np.abs(normals[:, 0]) < 0.7)[:, None], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0])
    side = np.cross(normals, axis)
    side /= np.maximum(np.linalg.norm(side, axis=1), 1e-300)[:, None]
    return side, np.cross(normals, side)


def _row_median(rows: Floats) -> Floats:
    """(k,) median over the finite entries of each column of *rows*; NaN where there is none."""
    ordered = np.sort(rows, axis=0)  # NaN sorts last
    known = np.isfinite(rows).sum(axis=0)
    column = np.arange(rows.shape[1])
    low, high = ordered[np.maximum(known - 1, 0) // 2, column], ordered[np.minimum(known // 2, len(rows) - 1), column]
    return np.where(known > 0, (low + high) / 2, np.nan)


def _nothing_felt(mesh: Mesh, thin_limit_mm: float | None, resolution: float) -> Wall:
    """What can be said when no ray found an opposite wall: the least side of the box bounds every thickness."""
    least = float(mesh.size_mm.min())
    middle = _place(mesh.bounds.mean(axis=0))
    return Wall(least, least, least, least, middle, middle, thin_limit_mm, None, resolution)


def _place(point: Floats) -> Place:
    return (float(point[0]), float(point[1]), float(point[2]))

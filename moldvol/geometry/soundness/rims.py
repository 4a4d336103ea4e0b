"""Open rims: where they are, how flat, what closes them, and how far a cap can be believed.

Lengths in mm, areas in mm², volumes in mm³.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cached_property
from math import pi, sqrt, tan

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Ints, Mesh
from moldvol.geometry.soundness.fills import MOST_LEAST_AREA_POINTS, least_area_fill, polygon_fill

# A cap may bulge as the surface around it does; no rim on a curved part is trusted to be flatter than this.
LEAST_BULGE_ANGLE = np.radians(8)
MOST_BULGE_ANGLE = np.radians(90)
# A rim whose points stray from their common plane by less than this share of its radius counts as flat.
FLAT_RIM_SHARE = 0.05
# A flat rim at least this wide against the part, with the whole part on one side, is a base left open on purpose.
BASE_WIDTH_SHARE = 0.4
BASE_ONE_SIDED_SHARE = 0.02
# Walls stand on a base steeply, or spread towards it. Where half of them close in over the rim at less than this angle,
# the body was going to round off beyond, and the rim is a hole.
LEAST_BASE_ANGLE = np.radians(40)
# Where this much of the rim runs on in the cap's own plane it is a hole in a face.
BASE_LEVEL_SHARE = 0.2
# The dome's angle: this share of the rim runs flatter. Below a half, for a hole at an edge is as flat as its flat side.
BULGE_QUANTILE = 0.35
# A rim enclosing less than this share of its length squared is a crack or a seam, not a hole (a circle has 1/4π = 8 %).
CRACK_SHARE = 1e-3
# Surfaces around a rim that differ less than this share in direction are one plane and meet nowhere.
LEAST_PLANE_SPREAD = 0.1
MOST_TENT_HEIGHT = 2.0  # radii
# The smooth dome understates ragged rims. With this factor, and the tent, the truth of five bodies cut by ourselves
# (tests/verification/test_scans.py) lay within the bar in 300 of 300 cuts up to a quarter of the part across, below
# half of it in nineteen of twenty; in 121 of 125 from a quarter to a half across, 49 of them refused unless insisted
# on.
DOME_SAFETY = 1.5


@dataclass(frozen=True, eq=False)
class Rim:
    """One closed loop of open edges.

    ``loop`` is (k,) vertex indices in the order that a cap must run through them, ``points`` (k, 3) where these are.
    ``bulge_mm3`` is what the volume
    would change by if the surface went on beyond the rim instead of a flat cap: as a dome that meets it smoothly, or
    straight on as the faces around a corner do, whichever is more.
    """

    loop: Ints
    points: Floats
    at_mm: tuple[float, float, float]
    length_mm: float
    area_mm2: float
    across_mm: float
    flat_within_mm: float
    bulge_mm3: float
    base: bool

    @property
    def crack(self) -> bool:
        """Whether the rim encloses hardly anything: a seam that does not quite meet."""
        return self.area_mm2 < CRACK_SHARE * self.length_mm**2

    @cached_property
    def cap(self) -> tuple[Floats, Ints]:
        """What closes the rim: (m, 3) its points, with a hub after them where one is needed, and (k, 3) triangles in
        these.

        A rim of moderate length gets the triangles of least area, a longer one ears if it is flat, else a fan from its
        centroid. All give a flat rim the same volume; none depends on how the part stands.
        """
        few = len(self.points) <= MOST_LEAST_AREA_POINTS
        filled = least_area_fill(self.points) if few else polygon_fill(self.points)
        if filled is not None:
            return self.points, filled
        around = np.arange(len(self.points), dtype=np.int32)
        fan = np.column_stack([around, np.roll(around, -1), np.full_like(around, len(around))])
        return np.concatenate([self.points, self.points.mean(axis=0)[None]]), fan

    def scaled(self, factor: float) -> Rim:
        """The same rim of a mesh made larger by *factor*."""
        x, y, z = self.at_mm
        return replace(
            self,
            points=self.points * factor,
            at_mm=(x * factor, y * factor, z * factor),
            length_mm=self.length_mm * factor,
            area_mm2=self.area_mm2 * factor**2,
            across_mm=self.across_mm * factor,
            flat_within_mm=self.flat_within_mm * factor,
            bulge_mm3=self.bulge_mm3 * factor**3,
        )

    @property
    def doubt_mm3(self) -> float:
        """How much volume the cap may be wrong by: the dome; for an open base only its unevenness."""
        return self.area_mm2 * self.flat_within_mm if self.base else self.bulge_mm3


def find_rims(mesh: Mesh, unmatched: Ints) -> tuple[Rim, ...]:
    """The rims formed by the *unmatched* directed edges (k, 2) of *mesh*, largest first.

    The mesh's triangles must agree in orientation; then as many open edges leave each vertex as enter it.
    """
    if len(unmatched) == 0:
        return ()
    slopes = _outward_continuation(mesh, unmatched)
    loops = _loops(mesh.vertices, unmatched[:, ::-1])
    rims = [_measured(mesh, np.array(loop, dtype=np.int32), slopes) for loop in loops]
    return tuple(sorted(rims, key=lambda rim: -rim.area_mm2))


def close_rims(mesh: Mesh, rims: tuple[Rim, ...]) -> Mesh:
    """*mesh* with a cap on each of *rims*."""
    vertices, faces = [mesh.vertices.astype(np.float64)], [mesh.faces]
    count = len(mesh.vertices)
    for rim in rims:
        points, triangles = rim.cap
        hubs = points[len(rim.loop) :]
        vertices.append(hubs)
        faces.append(np.append(rim.loop, np.arange(count, count + len(hubs)))[triangles].astype(np.int32))
        count += len(hubs)
    return Mesh.of(np.concatenate(vertices), np.concatenate(faces))


def _loops(vertices: NDArray[np.floating], edges: Ints) -> list[list[int]]:
    """Split directed *edges* into simple loops of vertex indices.

    At a vertex with several ways on, the one that turns back most sharply is taken: the two sides of a crack run
    opposite ways along the same line, and so end up in one thin loop instead of being mixed with its neighbours.
    """
    ways: dict[int, list[int]] = defaultdict(list)
    for start, end in edges.tolist():
        ways[start].append(end)
    loops = []
    for origin in list(ways):
        while ways[origin]:
            path, place = [origin], {origin: 0}
            while ways[path[-1]]:
                step = _next_step(vertices, path, ways[path[-1]])
                if step in place:
                    keep = place[step]
                    loops.append(path[keep:])
                    for passed in path[keep + 1 :]:
                        del place[passed]
                    del path[keep + 1 :]
                else:
                    place[step] = len(path)
                    path.append(step)
    return [loop for loop in loops if len(loop) > 2]


def _next_step(vertices: NDArray[np.floating], path: list[int], ways: list[int]) -> int:
    if len(ways) == 1 or len(path) < 2:
        return ways.pop()
    here = vertices[path[-1]].astype(np.float64)
    back = vertices[path[-2]] - here
    ahead = vertices[ways] - here
    return ways.pop(int(np.argmax(ahead @ back / np.maximum(np.linalg.norm(ahead, axis=1), 1e-300))))


def _outward_continuation(mesh: Mesh, unmatched: Ints) -> dict[tuple[int, int], Floats]:
    """For each open edge the unit direction in which its triangle would run on beyond the rim."""
    wanted = {tuple(edge) for edge in unmatched.tolist()}
    on_rim = np.isin(mesh.faces, unmatched).sum(axis=1) >= 2
    directions = {}
    for face in mesh.faces[on_rim].tolist():
        for corner in range(3):
            edge = (face[corner], face[(corner + 1) % 3])
            if edge in wanted:
                start, end, apex = (mesh.vertices[i].astype(np.float64) for i in (*edge, face[(corner + 2) % 3]))
                along = (end - start) / (np.linalg.norm(end - start) or 1.0)
                arm = start - apex
                arm = arm - (arm @ along) * along
                directions[edge] = np.asarray(arm / (np.linalg.norm(arm) or 1.0))
    return directions


def _measured(mesh: Mesh, loop: Ints, slopes: dict[tuple[int, int], Floats]) -> Rim:
    points = mesh.vertices[loop].astype(np.float64)
    ahead = np.roll(points, -1, axis=0)
    steps = np.linalg.norm(ahead - points, axis=1)
    length = float(steps.sum())
    middle = ((points + ahead) / 2 * steps[:, None]).sum(axis=0) / length if length else points.mean(axis=0)
    vector = np.cross(points - middle, ahead - middle).sum(axis=0) / 2
    area = float(np.linalg.norm(vector))
    normal = vector / area if area else np.array([0.0, 0.0, 1.0])
    heights = (points - middle) @ normal
    radius = sqrt(area / pi)
    edges = _RimEdges.of(loop, points, ahead, slopes)
    flat_within = float(np.sqrt(np.mean(heights**2)))
    bulge = max(DOME_SAFETY * _dome_volume(radius, edges.bulge_angle(normal)), edges.tent_volume(middle, normal, area))
    return Rim(
        loop=loop,
        points=points,
        at_mm=(float(middle[0]), float(middle[1]), float(middle[2])),
        length_mm=length,
        area_mm2=area,
        across_mm=2 * radius,
        flat_within_mm=flat_within,
        bulge_mm3=bulge + area * flat_within,
        base=edges.steep(normal) and _is_base(mesh, points, middle, normal, radius, flat_within),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _RimEdges:
    """The m edges of a rim whose triangles are known: ``ahead`` (m, 3) along the cap's way round, ``slope`` (m, 3) in
    which the surface would run on, both of unit length, the edges' ``middle`` (m, 3) and ``length`` (m,)."""

    ahead: Floats
    slope: Floats
    middle: Floats
    length: Floats

    @classmethod
    def of(cls, loop: Ints, points: Floats, following: Floats, slopes: dict[tuple[int, int], Floats]) -> _RimEdges:
        backward = list(zip(np.roll(loop, -1).tolist(), loop.tolist(), strict=True))
        known = np.array([edge in slopes for edge in backward])
        step = (following - points)[known]
        length = np.linalg.norm(step, axis=1)
        slope = np.array([slopes[edge] for edge in backward if edge in slopes]).reshape(-1, 3)
        return cls(step / np.maximum(length, 1e-300)[:, None], slope, ((points + following) / 2)[known], length)

    def bulge_angle(self, normal: Floats) -> float:
        """The angle, clamped, at which a dome over the rim would leave the cap's plane, of unit *normal*."""
        angle = self._quantile(np.arcsin(np.clip(np.abs(self.slope @ normal), 0, 1)), BULGE_QUANTILE)
        return float(np.clip(angle, LEAST_BULGE_ANGLE, MOST_BULGE_ANGLE))

    def steep(self, normal: Floats) -> bool:
        """Whether walls stand on the cap, or spread towards it, rather than close in over it or run on in its plane."""
        inward = np.einsum("ij,ij->i", np.cross(normal, self.ahead), self.slope)
        closing = np.arctan2(np.abs(self.slope @ normal), inward)
        level = self._quantile(closing, BASE_LEVEL_SHARE) < LEAST_BULGE_ANGLE
        return not level and self._quantile(closing, 0.5) > LEAST_BASE_ANGLE

    def tent_volume(self, middle: Floats, normal: Floats, area: float) -> float:
        """Volume of a ridge over the cap as high as where the surfaces around, run on straight, meet best."""
        facing = np.cross(self.slope, self.ahead) * np.sqrt(self.length)[:, None]
        offset = np.einsum("ij,ij->i", facing, self.middle - middle)
        peak = np.linalg.lstsq(facing, offset, rcond=LEAST_PLANE_SPREAD)[0]
        height = min(abs(float(peak @ normal)), MOST_TENT_HEIGHT * sqrt(area / pi))
        return area * height / 2

    def _quantile(self, angles: Floats, share: float) -> float:
        """The angle below which *share* of the rim's length lies."""
        if len(angles) == 0:
            return 0.0
        rising = np.argsort(angles)
        upto = np.cumsum(self.length[rising]) / max(float(self.length.sum()), 1e-300)
        return float(angles[rising[min(int(np.searchsorted(upto, share)), len(rising) - 1)]])


def _dome_volume(radius: float, angle: float) -> float:
    """Spherical cap on a circle of *radius* that meets its plane at *angle*: πh(3r² + h²)/6 with h = r tan(angle/2)."""
    height = radius * tan(angle / 2)
    return pi * height * (3 * radius**2 + height**2) / 6


def _is_base(mesh: Mesh, points: Floats, middle: Floats, normal: Floats, radius: float, flat_within: float) -> bool:
    """Whether a rim is a flat base left open: flat, wide against the part, and all of the part on one side of it, be it
    drawn outside in or inside out, as the inside of a bowl is."""
    if radius == 0 or flat_within > FLAT_RIM_SHARE * radius:
        return False
    relative = mesh.vertices - middle
    heights = relative @ normal
    depth = float(heights.max() - heights.min())
    if min(float(heights.max()), -float(heights.min())) > max(BASE_ONE_SIDED_SHARE * depth, 3 * flat_within):
        return False
    side = np.linalg.svd(points - middle, full_matrices=False)[2][:2]
    widths = np.ptp(relative @ side.T, axis=0)
    return bool(np.all(np.ptp((points - middle) @ side.T, axis=0) >= BASE_WIDTH_SHARE * widths))

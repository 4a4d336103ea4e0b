"""Time for levels of liquid: the search over 26 pour directions, one mould held and vented, and how exact that is.

``python -m tests.benchmarks levels`` prints the rows. The promise: 700,000 points in the cavity and 26 directions in at
most 15 s on two cores. The peer is what one would write by hand: trimesh's voxels of the same size, and for each
direction scikit-image's grey-scale reconstruction of the heights.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from math import pi, sin
from typing import TypeVar

import numpy as np
import trimesh
from skimage.morphology import reconstruction

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding.directions import INTERIOR_POINTS, rank_directions, rank_standings
from moldvol.geometry.moulding.levels import StandingMould
from moldvol.geometry.moulding.orientation import pour_directions
from moldvol.geometry.triangles import measures
from tests import shapes
from tests.benchmarks.measuring import Line, times

SECTIONS = 256
ROUND = SECTIONS / 2 / pi * sin(2 * pi / SECTIONS)  # a polygon's area beside its circle's
PEER = "trimesh voxels, reconstruction"

Made = TypeVar("Made")


def run() -> list[Line]:
    """The searches, then one mould, then the same question answered voxel by voxel."""
    ring = shapes.turned(shapes.torus(40, 12, sections=SECTIONS).mesh, seed=3)
    fork = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    bowl = shapes.lathe([(0, -60), (60, -60), (60, 0), (50, 0), (35, -35), (0, -50)], SECTIONS)
    return [*_searches(ring, fork), *_standings(bowl), *_held(bowl)]


def _searches(ring: Mesh, fork: Mesh) -> list[Line]:
    of_ring, _ = _timed(lambda: rank_directions(ring))
    ours, ranked = _timed(lambda: rank_directions(fork))
    peer, by_voxels = _timed(lambda: _most_air_by_voxels(fork))
    found = max(rank.trapped_air_mm3 for rank in ranked)
    what = f"26 directions, {INTERIOR_POINTS:,} points"
    return [
        Line(f"{what}, ring", _s(of_ring), "", ""),
        Line(f"{what}, fork", _s(ours), f"{_s(peer)} {PEER}", times(peer, ours)),
        Line("… off the 4000 mm³ of its worst way up", _off(found, 4000.0), _off(by_voxels, 4000.0), ""),
    ]


def _standings(bowl: Mesh) -> list[Line]:
    spent, ranked = _timed(lambda: rank_standings(bowl))
    return [Line("26 ways to stand a bowl", _s(spent), f"best holds {ranked[0].held_volume_mm3 / 1000:.3f} ml", "")]


def _held(bowl: Mesh) -> list[Line]:
    exact = ROUND * pi / 3 * (35 * (50**2 + 50 * 35 + 35**2) + 15 * 35**2)
    spent, mould = _timed(lambda: StandingMould.of(bowl))
    airing, _ = _timed(mould.air)
    peer, by_voxels = _timed(lambda: _held_by_voxels(bowl))
    return [
        Line(
            "one bowl held and vented", _s(spent + airing), f"{_s(peer)} {PEER}, held only", times(peer, spent + airing)
        ),
        Line("… off the exact volume", _off(mould.held().volume_mm3, exact), _off(by_voxels, exact), ""),
    ]


class _Voxels:
    """Filled voxels with their centres: as many inside as we take."""

    def __init__(self, mesh: Mesh, pitch_mm: float) -> None:
        grid = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).voxelized(pitch_mm).fill()
        self.solid = np.pad(grid.matrix, 1)
        self.pitch_mm = pitch_mm
        self.axes = [np.arange(count) * pitch_mm for count in self.solid.shape]

    def heights(self, up: np.ndarray) -> np.ndarray:
        x, y, z = (axis * rise for axis, rise in zip(self.axes, up, strict=True))
        return x[:, None, None] + y[None, :, None] + z[None, None, :]


def _most_air_by_voxels(mesh: Mesh) -> float:
    voxels = _Voxels(mesh, (abs(measures(mesh).signed_volume_mm3) / INTERIOR_POINTS) ** (1 / 3))
    return max(_air_by_voxels(voxels, up) for up in pour_directions())


def _air_by_voxels(voxels: _Voxels, up: np.ndarray) -> float:
    """Air below the highest way out: a reconstruction by dilation from the highest voxel."""
    heights = np.where(voxels.solid, voxels.heights(up), -1e6)
    seed = np.full_like(heights, -1e6)
    top = np.unravel_index(int(heights.argmax()), heights.shape)
    seed[top] = heights[top]
    caught = reconstruction(seed, heights, method="dilation") < heights - 1e-6
    return float(np.count_nonzero(caught & voxels.solid)) * voxels.pitch_mm**3


def _held_by_voxels(bowl: Mesh) -> float:
    """Room below the lowest way out: a reconstruction by erosion from the border."""
    voxels = _Voxels(bowl, float((np.prod(bowl.size_mm) / 2_000_000) ** (1 / 3)))
    heights = np.where(voxels.solid, 1e6, voxels.heights(np.array([0.0, 0.0, 1.0])))
    seed = np.full_like(heights, 1e6)
    for side in (np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1], np.s_[:, :, 0], np.s_[:, :, -1]):
        seed[side] = heights[side]
    held = reconstruction(seed, heights, method="erosion") > heights + 1e-6
    return float(np.count_nonzero(held & ~voxels.solid)) * voxels.pitch_mm**3


def _timed(job: Callable[[], Made]) -> tuple[float, Made]:
    start = time.perf_counter()
    made = job()
    return time.perf_counter() - start, made


def _off(found: float, exact: float) -> str:
    return f"{100 * abs(found / exact - 1):.3f} %"


def _s(seconds: float) -> str:
    return f"{seconds:.2f} s"

"""Time of the distance field against the peers per point, its growth, and all that a hollow cast reads from it.

``python -m tests.benchmarks field`` prints the rows. The promises: at least 100 times faster per point than trimesh's
signed distance and 5 times than VTK's implicit distance on a scan of 70,000 triangles; everything for a hollow cast of
it in about 2 s on two free cores. Times are processor time.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from math import log
from typing import TypeVar

import numpy as np
import pyvista
import trimesh

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.inscribed import thickest_section
from moldvol.geometry.field.reach import Reach
from moldvol.geometry.field.shell import shell_volume
from moldvol.geometry.mesh import Mesh
from tests import shapes
from tests.benchmarks.measuring import Line, times

SIZES = ((265, 132), (933, 466), (1871, 935))  # sections of a ring: 70,000, 870,000 and 3.5 million triangles
POINTS = (60_000, 250_000, 1_000_000)
TRIMESH_POINTS = 300  # enough for a second of trimesh; its time per point does not fall with more
VTK_POINTS = 20_000

Made = TypeVar("Made")


def run() -> list[Line]:
    """Peers per point, each step of a hollow cast, and growth in triangles and in points."""
    scan = rough_ring(*SIZES[0])
    seconds, field = _timed(lambda: DistanceField.of(scan))
    per_point = seconds / np.count_nonzero(field.depth_mm > 0)
    return [*_peers(scan, field, per_point), *_steps(scan), *_in_triangles(), *_in_points(scan)]


def rough_ring(around: int, across: int) -> Mesh:
    """A ring about 120 mm across with bumps and pits of 0.1 to 4 mm on it, as a scan has them."""
    sections = trimesh.creation.torus(40, 16, major_sections=around, minor_sections=across)
    ring = shapes.turned(shapes.from_trimesh(sections))
    directions = np.random.default_rng(3).normal(size=(24, 3))
    waves = np.sin(ring.vertices @ (directions * np.geomspace(0.02, 0.5, 24)[:, None]).T + np.arange(24))
    heights = waves @ np.geomspace(1.0, 0.03, 24) / 2
    outwards = trimesh.Trimesh(ring.vertices, ring.faces, process=False).vertex_normals
    return Mesh(ring.vertices + heights[:, None] * outwards, ring.faces)


def _timed(work: Callable[[], Made]) -> tuple[float, Made]:
    """Processor seconds, which a busy machine blurs less than the clock; VTK alone may use several cores."""
    begun = time.process_time()
    made = work()
    return time.process_time() - begun, made


def _peers(scan: Mesh, field: DistanceField, per_point: float) -> list[Line]:
    inner = field.grid.points(np.flatnonzero(field.depth_mm > 0))
    picked = np.random.default_rng(1).permutation(inner)
    other = trimesh.Trimesh(scan.vertices, scan.faces, process=False)
    by_trimesh, _ = _timed(lambda: trimesh.proximity.signed_distance(other, picked[:TRIMESH_POINTS]))
    skin = pyvista.make_tri_mesh(scan.vertices, scan.faces)
    by_vtk, _ = _timed(lambda: pyvista.PolyData(picked[:VTK_POINTS]).compute_implicit_distance(skin))
    what, ours = f"field of {len(scan.faces):,} triangles, per inner point", f"{per_point * 1e6:.1f} µs"
    return [
        _against(what, ours, per_point, by_trimesh / TRIMESH_POINTS, "trimesh signed_distance"),
        _against(what, ours, per_point, by_vtk / VTK_POINTS, "VTK implicit distance"),
    ]


def _against(what: str, ours: str, per_point: float, peer: float, name: str) -> Line:
    return Line(what, ours, f"{peer * 1e6:.1f} µs {name}", times(peer, per_point))


def _steps(scan: Mesh) -> list[Line]:
    made, field = _timed(lambda: DistanceField.of(scan))
    reached, reach = _timed(lambda: Reach.of(field))
    walled, _ = _timed(lambda: reach.shell_volume(3.0))
    curved, _ = _timed(lambda: [shell_volume(field, wall_mm) for wall_mm in np.arange(1.0, 11.0)])
    balled, _ = _timed(lambda: thickest_section(field))
    steps = (made, reached, walled, curved, balled)
    names = ("field", "reach and pockets", "shell at one wall", "curve of ten walls", "thickest section")
    lines = [
        Line(f"hollow, {name}, processor time", f"{seconds:.2f} s", "", "")
        for name, seconds in zip(names, steps, strict=True)
    ]
    return [
        *lines,
        Line(
            "hollow, all but the curve, processor time",
            f"{sum(steps) - curved:.2f} s",
            "about 2 s of two free cores promised",
            "",
        ),
    ]


def _in_triangles() -> list[Line]:
    meshes = [rough_ring(*size) for size in SIZES]
    jobs = [(f"{len(mesh.faces):,} triangles, 250,000 points", len(mesh.faces), mesh, POINTS[1]) for mesh in meshes]
    return _growth(jobs, "triangles")


def _in_points(scan: Mesh) -> list[Line]:
    return _growth([(f"{len(scan.faces):,} triangles, {n:,} points", n, scan, n) for n in POINTS], "points")


def _growth(jobs: list[tuple[str, int, Mesh, int]], what: str) -> list[Line]:
    """One line a job, with the power of its size by which time grew since the one before."""
    lines, before = [], None
    for name, size, mesh, points in jobs:
        seconds, _ = _timed(lambda mesh=mesh, points=points: DistanceField.of(mesh, interior_points=points))
        grown = "" if before is None else f"time ∝ {what}^{log(seconds / before[1]) / log(size / before[0]):.2f}"
        lines.append(Line(f"field, {name}", f"{seconds:.2f} s", grown, ""))
        before = (size, seconds)
    return lines

"""How true the shell of a hollow cast is, and how honest its error: many bodies whose core is known exactly.

``python -m tests.benchmarks accuracy`` prints the rows. The core of a convex body at a wall is the body cut by all its
faces moved inwards, worked out by scipy's half-space intersection (Qhull); so the truth is that of the very triangles.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import trimesh
from scipy.spatial import ConvexHull, HalfspaceIntersection

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.shell import shell_volume
from moldvol.geometry.mesh import Floats, Mesh
from tests import shapes
from tests.benchmarks.measuring import Line

POINTS = (15_000, 50_000, 200_000)
WALLS_IN_CELLS = (0.05, 0.3, 1.0, 2.0)
WALLS_IN_DEPTHS = (0.3, 0.5, 0.7, 0.9, 0.99)  # shares of the depth of the deepest place
SMOOTH = ("ball", "cylinder")


@dataclass(frozen=True)
class Case:
    """One wall of one body on one grid: errors as shares of the shell."""

    body: str
    points: int
    cells: float
    off: float
    stated: float


def run() -> list[Line]:
    """The worst true errors, and how often the truth lay outside the stated one."""
    cases = [case for name, mesh in _bodies() for points in POINTS for case in _cases(name, mesh, points)]
    thick = [case for case in cases if case.cells >= 2]
    smooth = [case for case in thick if case.body.startswith(SMOOTH)]
    fine = [case for case in cases if case.points == max(POINTS)]
    outside = [case for case in cases if case.off > case.stated]
    ratio = float(np.median([case.stated / max(case.off, 1e-12) for case in cases]))
    return [
        Line("shells with a known volume", f"{len(cases):,} cases", "half-space intersection (Qhull)", ""),
        Line("… truth outside the stated error", f"{len(outside)}", "", ""),
        Line("… worst, smooth bodies, walls of two cells and more", _per_cent(smooth), "0.1 % promised", ""),
        Line("… worst, all bodies, walls of two cells and more", _per_cent(thick), "0.5 % promised", ""),
        Line("… worst, any wall from a twentieth of a cell", _per_cent(cases), "0.5 % promised", ""),
        Line(f"… worst, any wall, {max(POINTS):,} points", _per_cent(fine), "0.5 % promised", ""),
        Line("… stated error over true error, median", f"{ratio:.0f} ×", "", ""),
    ]


def _per_cent(cases: list[Case]) -> str:
    worst = max(cases, key=lambda case: case.off)
    return f"{100 * worst.off:.3f} % ({worst.body}, {worst.cells:.2g} cells of {worst.points:,})"


def _bodies() -> Iterator[tuple[str, Mesh]]:
    made = {
        "box": shapes.box(20, 30, 40).mesh,
        "plate": shapes.box(40, 40, 4).mesh,
        "ball": shapes.ball(20).mesh,
        "cylinder": shapes.cylinder(12, 30).mesh,
        "cone": shapes.cone(20, 40).mesh,
        "icosahedron": shapes.from_trimesh(trimesh.creation.icosahedron()),
        "pyramid of three sides": shapes.cone(15, 20, sections=3).mesh,
    }
    for (name, mesh), turned in product(made.items(), (False, True)):
        yield f"{name}, turned" if turned else name, shapes.turned(mesh) if turned else mesh


def _cases(name: str, mesh: Mesh, points: int) -> Iterator[Case]:
    field = DistanceField.of(mesh, interior_points=points)
    planes = ConvexHull(mesh.vertices).equations
    whole, cell, deepest = ConvexHull(mesh.vertices).volume, field.grid.spacing_mm, _inradius(planes)
    walls = [cells * cell for cells in WALLS_IN_CELLS] + [share * deepest for share in WALLS_IN_DEPTHS]
    for wall in walls:
        if wall >= deepest:
            continue
        truth = whole - _core(planes, wall, deepest)
        found = shell_volume(field, wall)
        yield Case(name, points, wall / cell, abs(found.volume_mm3 - truth) / truth, found.error_mm3 / truth)


def _inradius(planes: Floats) -> float:
    """Radius of the largest ball within *planes* (n, 4), normals and offsets: a linear programme."""
    return float(_deepest(planes)[3])


def _deepest(planes: Floats) -> Floats:
    """(4,) the centre of the largest ball within *planes*, and its radius."""
    from scipy.optimize import linprog

    norm = np.linalg.norm(planes[:, :3], axis=1, keepdims=True)
    found = linprog((0, 0, 0, -1), np.hstack([planes[:, :3], norm]), -planes[:, 3], bounds=(None, None))
    return np.asarray(found.x)


def _core(planes: Floats, wall: float, deepest: float) -> float:
    """Volume within *planes* moved inwards by *wall*; none where the wall is as thick as the body."""
    if wall >= deepest * (1 - 1e-9):
        return 0.0
    moved = planes + np.array([0, 0, 0, wall])
    return float(ConvexHull(HalfspaceIntersection(moved, _deepest(planes)[:3]).intersections).volume)

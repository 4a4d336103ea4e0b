"""Rubber of moulds: boxes less exact solids; skins against Steiner's formula, rings and a Minkowski sum.

Steiner: a convex body grown by r has V + S r + M r² + 4/3 π r³ and area S + 2 M r + 4 π r², with M the integral of its
mean curvature; M of a box is π (a + b + c), of a cylinder π h + π² R, of a polyhedron half the sum of its edges times
their outer angles (L. A. Santaló, *Integral Geometry and Geometric Probability*, chapter 13). Round edges of a box are
cut flat within each cell of the grid, which was seen to cost 0.17 % at worst, where the skin is two cells thick. The
round bodies are inscribed polygons of 96 or 128 sides, which lose 0.1 % more.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from math import pi, sqrt

import manifold3d
import numpy as np
from scipy.integrate import quad

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.plan import plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.geometry.field.parallel import POINTS, ParallelBodies
from moldvol.geometry.mesh import Mesh
from moldvol.materials.shelf import load_shelf
from tests import shapes
from tests.geometry.test_solid import solid
from tests.verification.checks import Check, Grade, Group, Stated, Tolerance, rel, within
from tests.verification.held import each_holds

SKIN = rel(2.5e-3)
THICK = rel(1.5e-3)  # from four cells on
AREA = rel(3e-3)
FACETS_REL = 1e-3  # inscribed polygons of 128 sides lose 4e-4 of a section
CYLINDER = rel(1.5e-3 + 2 * FACETS_REL)
RING = rel(1.5e-3 + 4 * FACETS_REL)
POSES = (None, 3)
QUICK = 60_000  # points; distances to the long facets of round shapes are slow
STEINER = "Steiner's formula"


def placed(mesh: Mesh, seed: int | None) -> Mesh:
    return mesh if seed is None else shapes.turned(mesh, seed)


def skin(
    name: str,
    make: Callable[[], Mesh],
    offset_mm: float,
    added_mm3: float | Callable[[], float],
    area_mm2: float | None = None,
    *,
    source: str = STEINER,
    grade: Grade = Grade.MATHEMATICS,
    allowed: Tolerance = THICK,
    points: int = POINTS,
    cases: tuple[int | None, ...] = (),
    on_board: bool = False,
) -> tuple[Check, ...]:
    """What is added by a skin, and the area outside of it where that is known."""

    @cache
    def bodies(seed: int | None = None) -> ParallelBodies:
        return ParallelBodies.of(placed(make(), seed), offset_mm, points=points, on_board=on_board)

    def added(seed: int | None = None) -> Stated:
        found = bodies(seed).added(offset_mm)
        return Stated.of((found.volume_mm3, found.error_mm3))

    of_skin = partial(Check, source=source, grade=grade, cases=cases)
    checks = [
        of_skin(name=f"{name}, skin of {offset_mm:g} mm", expected=added_mm3, unit="mm³", got=added, allowed=allowed)
    ]
    if area_mm2 is not None:
        area = of_skin(
            name=f"{name}, skin of {offset_mm:g} mm: its area",
            expected=area_mm2,
            unit="mm²",
            got=lambda *seed: bodies(*seed).area_mm2(offset_mm),
            allowed=AREA,
        )
        checks.append(area)
    return tuple(checks)


def grown_box() -> Mesh:
    return shapes.box(60, 40, 20).mesh


def cube_of_100() -> Mesh:
    return shapes.box(100, 100, 100).mesh


def cylinder() -> Mesh:
    return shapes.cylinder(30, 100, sections=96).mesh


TETRAHEDRON_EDGE = 50.0
TETRAHEDRON_AREA = sqrt(3) * TETRAHEDRON_EDGE**2
TETRAHEDRON_MEAN = 6 * TETRAHEDRON_EDGE * (pi - np.arccos(1 / 3)) / 2  # six edges, dihedral angle arccos(1/3)


def tetrahedron() -> Mesh:
    corners = np.array([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)]) * TETRAHEDRON_EDGE / sqrt(8)
    return Mesh.of(corners, [(0, 1, 2), (0, 3, 1), (0, 2, 3), (1, 3, 2)])


def ring_whose_hole_fills_up() -> float:
    """A tube of 35 laps over the axis by 5.

    By discs: at height z the tube reaches out to 30 + w and in to 30 - w, w² = 35² - z², and where w > 30 the hole is
    gone. The ring's formula would take the lap over the axis off again.
    """

    def section(z: float) -> float:
        w = sqrt(35**2 - z**2)
        return pi * ((30 + w) ** 2 - max(0.0, 30 - w) ** 2)

    exact = 2 * quad(section, 0, 35)[0] - 2 * pi**2 * 30 * 400
    assert exact > 2 * pi**2 * 30 * (35**2 - 400)
    return float(exact)


def two_cubes() -> Mesh:
    cube = shapes.box(20, 20, 20).mesh
    return shapes.together(cube, shapes.moved(cube, (25, 0, 0)))


def skins_run_together() -> float:
    """The skins share the lens between the slices at 2 and 3 mm from each face, whose sections are a square of 20 grown
    by sqrt(9 - u²), u the distance from the farther face."""
    one = 2400 * 3 + 60 * pi * 9 + 36 * pi
    shared = 2 * quad(lambda u: 400 + 80 * sqrt(9 - u * u) + pi * (9 - u * u), 2.5, 3)[0]
    return float(2 * one - shared)


def l_grown_by_minkowski() -> float:
    """The reference grows it by a ball of facets, which lies inside the true ball: by its volume, 0.3 % of that of the
    ball, and by its width at the faces, 0.1 %."""
    block = manifold3d.Manifold.cube((40, 40, 30)) - manifold3d.Manifold.cube((20, 20, 30)).translate((20, 20, 0))
    return float(block.minkowski_sum(manifold3d.Manifold.sphere(4, 64)).volume() - block.volume())


COATS_MM = (1.0, 2.0, 4.0, 8.0)


def coats() -> Stated:
    bodies = ParallelBodies.of(grown_box(), 8)
    return Stated.of(*((bodies.added(t).volume_mm3, bodies.added(t).error_mm3) for t in COATS_MM))


CLEARANCE_MM = 12


def block(name: str, make: Callable[[], Mesh], sides_mm: tuple[float, float, float], volume_mm3: float) -> Check:
    """The rubber round a master in a box with 12 mm of clearance."""
    x, y, z = (side + 2 * CLEARANCE_MM for side in sides_mm)

    def got() -> float:
        request = MouldRequest(mix=MixRequest(resin=load_shelf().resins["tin-silicone"]), clearance_mm=CLEARANCE_MM)
        plan = plan_mould(solid(make()), request)
        assert abs(plan.rubber_volume_mm3 - rubber) <= plan.rubber_volume_error_mm3 + 1e-3 * x * y * z
        return plan.rubber_volume_mm3

    rubber = x * y * z - volume_mm3
    return Check(
        name=f"block of rubber round a {name}, {CLEARANCE_MM} mm on all sides",
        source="its box less the solid of the handbook",
        grade=Grade.MATHEMATICS,
        expected=rubber,
        unit="mm³",
        got=got,
        allowed=rel(FACETS_REL),
    )


T = 8.0  # the wall of the glove on a board: five faces, quarter rounds over eight edges, and four corners

GROUP = Group(
    "Moulds",
    __doc__,
    (
        *skin("cube of 100 mm", cube_of_100, 5.0, 324_085.5, cases=POSES),
        *skin("cube of 100 mm", cube_of_100, 10.0, 698_436.6, cases=POSES),
        *skin(
            "box 20 × 30 × 40",
            lambda: shapes.box(20, 30, 40).mesh,
            5,
            33_592.182,
            5200 + 2 * pi * 90 * 5 + 4 * pi * 25,
            source=f"{STEINER}: 26,000 + 7,068.58 + 523.60",
            cases=POSES,
        ),
        Check(
            name="box 60 × 40 × 20 grown by 3 mm, edges rounded and not mitred",
            source=f"{STEINER}; with sharp edges it would be 66 · 46 · 26 = 78,936",
            grade=Grade.MATHEMATICS,
            expected=77_906,
            unit="mm³",
            got=lambda seed: 48_000 + ParallelBodies.of(placed(grown_box(), seed), 3).added(3).volume_mm3,
            allowed=within(60),
            cases=POSES,
        ),
        *skin("cylinder 30/100", cylinder, 5.0, 138_301.9, allowed=CYLINDER, points=QUICK, cases=POSES),
        *skin("cylinder 30/100", cylinder, 10.0, 310_257.8, allowed=CYLINDER, points=QUICK, cases=POSES),
        *skin(
            "regular tetrahedron of edge 50 mm",
            tetrahedron,
            6.0,
            TETRAHEDRON_AREA * 6 + TETRAHEDRON_MEAN * 6**2 + 4 / 3 * pi * 6**3,
            TETRAHEDRON_AREA + 2 * TETRAHEDRON_MEAN * 6 + 4 * pi * 6**2,
        ),
        *skin(
            "ring 50/20",
            lambda: shapes.torus(50, 20).mesh,
            5,
            222_066.1,
            4 * pi**2 * 50 * 25,
            source="2π² R ((a + r)² − a²)",
            allowed=RING,
            points=QUICK,
            cases=POSES,
        ),
        *skin(
            "ring 30/20 whose hole fills up",
            lambda: shapes.torus(30, 20, sections=192).mesh,  # fine enough for the error, which is of the mesh
            15,
            ring_whose_hole_fills_up,
            source="discs, by quadrature",
            allowed=CYLINDER,
            points=QUICK,
        ),
        *skin(
            "two cubes of 20 mm, 5 mm apart, whose skins run together",
            two_cubes,
            3,
            skins_run_together,
            source=f"{STEINER}, less the lens they share, by quadrature",
            allowed=SKIN,
        ),
        *skin(
            "box 60 × 40 × 20 on a board, no sole",
            grown_box,
            T,
            T * (2400 + 2 * 20 * 100) + pi * T**2 / 4 * 200 + pi * T**2 * 20 + 2 / 3 * pi * T**3,
            2400 + 2 * 20 * 100 + pi * T / 2 * 200 + 2 * pi * T * 20 + 2 * pi * T**2,
            source="five faces, quarter rounds and eighths of a ball",
            on_board=True,
        ),
        block("ball", lambda: shapes.ball(30, subdivisions=5).mesh, (60, 60, 60), 4 / 3 * pi * 27_000),
        block("ring", lambda: shapes.torus(40, 12, sections=256).mesh, (104, 104, 24), 2 * pi**2 * 40 * 144),
        block("cylinder", lambda: shapes.cylinder(20, 50, sections=256).mesh, (40, 40, 50), pi * 400 * 50),
        block("frustum", lambda: shapes.lathe([(0, 0), (5, 0), (3, 8), (0, 8)], 256), (10, 10, 8), 410.501),
        Check(
            name="box 60 × 40 × 20, coats of 1, 2, 4 and 8 mm from one field",
            source=STEINER,
            grade=Grade.MATHEMATICS,
            expected=[8800 * t + 120 * pi * t**2 + 4 / 3 * pi * t**3 for t in COATS_MM],
            unit="mm³",
            got=coats,
            allowed=SKIN,
        ),
        *skin(
            "L of 40 × 40 less 20 × 20, 30 high, with its inward corner",
            lambda: shapes.prism([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)], 30),
            4,
            l_grown_by_minkowski,
            source="manifold3d's Minkowski sum with a ball of facets, up to 0.15 % too small",
            grade=Grade.PROGRAM,
            allowed=rel(1.5e-3 + 1.5e-3),
        ),
    ),
)
test_moulds = each_holds(GROUP)

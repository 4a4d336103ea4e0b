"""Held liquid and trapped air against mensuration formulas, as the file lies and turned at random.

Where no other source stands beside a check, the formula is in the mensuration section of D. Zwillinger (ed.), *CRC
Standard Mathematical Tables and Formulae* (spherical cap, frustum, ungula of a cylinder, cone over any base). The
promise is 0.3 %. Round shapes are inscribed polygons of 256 sides, which hold 0.01 % less than the circle, and arcs of
64 chords to the quarter, another 0.01 %; of the figure that is left to the levels themselves hardly anything.
"""

from __future__ import annotations

from functools import cache, partial
from math import acos, cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
import trimesh

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding import levels
from moldvol.geometry.moulding.levels import HeldLiquid, StandingMould, TrappedAir
from tests import shapes
from tests.libraries import from_manifold
from tests.libraries import united as manifold_union
from tests.verification.checks import Check, Grade, Group, rel, within
from tests.verification.held import each_holds

ROUND = rel(1e-3)
TWICE_ROUND = rel(2e-3)
STRAIGHT = rel(1e-6)  # no curve, so only rounding
SIDES = 256
POSES = (None, 3)
CELLS = 250_000  # an eighth of the default: the figures come from the triangles, the net only says where
HANDBOOK = "CRC Standard Mathematical Tables"


def held_liquid(mesh: Mesh, up=(0, 0, 1), **asked) -> HeldLiquid:
    return levels.held_liquid(mesh, up, cells=CELLS, **asked)


def trapped_air(mesh: Mesh, up=(0, 0, 1), **asked) -> TrappedAir:
    return levels.trapped_air(mesh, up, cells=CELLS, **asked)


def placed(mesh: Mesh, up: tuple[float, float, float], seed: int | None) -> tuple[Mesh, np.ndarray]:
    """*mesh* and its *up* under the same rotation: what is held must not care how the file lies."""
    direction = np.array(up, dtype=float)
    if seed is None:
        return mesh, direction
    matrix = trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3))
    return mesh.transformed(matrix), matrix[:3, :3] @ direction


def arc(radius: float, start: float, stop: float, middle: float = 0.0, steps: int = 64) -> list[tuple[float, float]]:
    """(radius, z) points of a circle about the axis, by angles from the horizontal in degrees."""
    angles = np.radians(np.linspace(start, stop, steps + 1))
    points = [(radius * cos(a), middle + radius * sin(a)) for a in angles]
    return [(0.0 if abs(r) < 1e-12 else r, z) for r, z in points]


def bowl(radius: float = 50.0, wall: float = 10.0) -> Mesh:
    outer = radius + wall
    return shapes.lathe([(0, -outer), (outer, -outer), (outer, 0), *arc(radius, 0, -90)], SIDES)


def cup(radius: float = 30.0, height: float = 80.0, wall: float = 3.0) -> Mesh:
    outer = radius + wall
    return shapes.lathe([(0, -wall), (outer, -wall), (outer, height), (radius, height), (radius, 0), (0, 0)], SIDES)


def tilted(degrees: float) -> tuple[float, float, float]:
    return sin(radians(degrees)), 0.0, cos(radians(degrees))


def ungula(radius: float, height: float, reach: float) -> float:
    """Volume between the floor of a cylinder and a plane that meets its wall at *height* and the floor at *reach* from
    there, reach < 2 r."""
    half_chord = sqrt(reach * (2 * radius - reach))
    half_angle = acos((radius - reach) / radius)
    part = half_chord * (3 * radius**2 - half_chord**2) + 3 * radius**2 * (reach - radius) * half_angle
    return height / (3 * reach) * part


def tilted_cup(degrees: float, seed: int | None) -> float:
    return held_liquid(*placed(cup(), tilted(degrees), seed)).volume_mm3


def cup_with_covered_floor(degrees: float) -> Check:
    return liquid(
        name=f"cup 30/80 tilted by {degrees:g}°, its floor covered",
        source="a cylinder cut askew holds its section times the height on its axis, r tan θ below the rim",
        expected=pi * 30**2 * (80 - 30 * tan(radians(degrees))),
        got=lambda seed: tilted_cup(degrees, seed),
        cases=POSES,
    )


def cup_with_bare_floor(degrees: float) -> Check:
    return liquid(
        name=f"cup 30/80 tilted by {degrees:g}°, its floor showing",
        source=f"{HANDBOOK}: ungula of a cylinder",
        expected=ungula(30, 80, 80 / tan(radians(degrees))),
        got=lambda seed: tilted_cup(degrees, seed),
        allowed=TWICE_ROUND,
        cases=POSES,
    )


def tilted_cone(degrees: float) -> Check:
    """A third of the area of the liquid's surface, an ellipse, times the distance d of the cone's point from it.

    Its long axis joins two generators; its short half axis is the mean proportional of their distances from the cone's
    axis (G. Dandelin's spheres).
    """
    radius, height = 40.0, 70.0
    profile = [(0, -10), (radius + 10, -10), (radius + 10, height), (radius, height), (0, 0)]
    alpha, tilt = np.arctan2(radius, height), radians(degrees)
    d = sqrt(radius**2 + height**2) * cos(tilt + alpha)
    lengths = d / cos(tilt + alpha), d / cos(tilt - alpha)
    long_half = d * (tan(tilt + alpha) - tan(tilt - alpha)) / 2
    short_half = sqrt(lengths[0] * lengths[1]) * sin(alpha)
    return liquid(
        name=f"cone 40/70 tilted by {degrees:g}°",
        source="cone over an ellipse, whose axes are those of G. Dandelin's spheres",
        expected=pi * long_half * short_half * d / 3,
        got=lambda seed: held_liquid(*placed(shapes.lathe(profile, SIDES), tilted(degrees), seed)).volume_mm3,
        cases=POSES,
    )


def cap_below_the_rim(depth: float) -> tuple[Check, Check]:
    found = cache(lambda: held_liquid(bowl(), drop_mm=50 - depth))
    return (
        liquid(
            name=f"bowl of 50 mm filled {depth:g} mm deep",
            source=f"{HANDBOOK}: spherical cap",
            expected=pi * depth**2 * (3 * 50 - depth) / 3,
            got=lambda: found().volume_mm3,
            allowed=TWICE_ROUND,
        ),
        liquid(
            name=f"bowl of 50 mm filled {depth:g} mm deep: the level below its rim",
            source="as asked",
            grade=Grade.CONSTRUCTION,
            expected=depth - 50,
            unit="mm",
            got=lambda: found().basins[0].level_mm,
            allowed=within(1e-6),
        ),
    )


@cache
def full_bowl(seed: int | None) -> HeldLiquid:
    return held_liquid(*placed(bowl(), (0, 0, 1), seed))


def small_cap_bowl() -> float:
    profile = [(0, -12), (10, -12), (10, -6), *arc(10, -36.8698976, -90)]
    return held_liquid(shapes.lathe(profile, SIDES)).volume_mm3


def bucket(seed: int | None) -> float:
    mesh = shapes.lathe([(0, -1), (4, -1), (6, 8), (5, 8), (3, 0), (0, 0)], SIDES)
    return held_liquid(*placed(mesh, (0, 0, 1), seed)).volume_mm3


def tilted_trough(seed: int | None) -> float:
    """40 wide, 30 deep and 60 long, tilted by 30° about its length."""
    trough = shapes.prism([(-5, -5), (45, -5), (45, 30), (40, 30), (40, 0), (0, 0), (0, 30), (-5, 30)], 60)
    ends = [shapes.moved(shapes.prism([(-5, -5), (45, -5), (45, 30), (-5, 30)], 5), (0, 0, z)) for z in (-5, 60)]
    up = sin(radians(30)), cos(radians(30)), 0
    return held_liquid(*placed(united(trough, *ends), up, seed)).volume_mm3


def united(*meshes: Mesh) -> Mesh:
    return from_manifold(manifold_union(meshes))


def inverted_u() -> Mesh:
    """Legs 10 wide and 40 high under a bar 40 wide and 10 high, 10 thick."""
    return shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)


@cache
def through_one_leg(seed: int | None) -> TrappedAir:
    return trapped_air(*placed(inverted_u(), (0, -1, 0), seed))


@cache
def from_the_foot() -> TrappedAir:
    return trapped_air(inverted_u(), (0, 1, 0), openings_mm=[(5, 0, 5)])


def bell(radius: float = 20.0, straight: float = 30.0) -> Mesh:
    """A drum with a dome on it."""
    return shapes.lathe([(0, 0), (radius, 0), *arc(radius, 0, 90, middle=straight)], SIDES)


@cache
def bell_with_side_gate(seed: int | None) -> tuple[TrappedAir, np.ndarray]:
    """The air above a gate 10 mm up its side, and which way is up."""
    mesh, up = placed(bell(), (0, 0, 1), seed)
    gate, _ = placed(Mesh.of([(20, 0, 10)], np.empty((0, 3))), (0, 0, 1), seed)
    return trapped_air(mesh, up, openings_mm=[gate.vertices[0]]), up


def air_under_the_dome(height: float) -> float:
    """A gate in the dome, *height* below its top."""
    rim = sqrt(20**2 - (20 - height) ** 2)
    return trapped_air(bell(), openings_mm=[(rim, 0, 50 - height)]).volume_mm3


@cache
def three_chimneys() -> TrappedAir:
    """Of 50, 40 and 30 over a common floor of 5, joined by a bridge of 20 between the last two."""
    ends = [(0, 0), (50, 0), (50, 30), (40, 30), (40, 20), (30, 20)]
    rest = [(30, 40), (20, 40), (20, 5), (10, 5), (10, 50), (0, 50)]
    return trapped_air(shapes.prism(ends + rest, 10), (0, 1, 0))


@cache
def side_chamber() -> StandingMould:
    """A shaft 10 wide and 60 deep with a chamber 20 wide beside it, from 10 to 40; the doorway's lintel is at 25."""
    outside = [(0, 0), (50, 0), (50, 60), (20, 60)]
    inside = [(20, 25), (21, 25), (21, 40), (40, 40), (40, 10), (10, 10), (10, 60), (0, 60)]
    slab = shapes.prism(outside + inside, 20)
    lids = [shapes.moved(shapes.prism([(0, 0), (50, 0), (50, 60), (0, 60)], 5), (0, 0, z)) for z in (-5, 20)]
    return StandingMould.of(united(slab, *lids), (0, 1, 0), cells=CELLS)


SPRUE_ANGLE = acos(2.5 / 20)


def ball_with_a_sprue() -> float:
    """A ball of 20 and a sprue of 2.5 from its top to the top of the block, 45 above the ball's middle."""
    profile = [(0, -30), (40, -30), (40, 45), (2.5, 45), *arc(20, np.degrees(SPRUE_ANGLE), -90, steps=160)]
    return held_liquid(shapes.lathe(profile, SIDES)).volume_mm3


def ball_and_sprue_mm3() -> float:
    mouth = 20 * sin(SPRUE_ANGLE)
    ball = 4 / 3 * pi * 20**3 - pi * (20 - mouth) ** 2 * (60 - (20 - mouth)) / 3
    return ball + pi * 2.5**2 * (45 - mouth)


liquid = partial(Check, grade=Grade.MATHEMATICS, source=HANDBOOK, unit="mm³", allowed=ROUND)
straight = partial(Check, grade=Grade.MATHEMATICS, source="by hand", unit="mm³", allowed=STRAIGHT)

GROUP = Group(
    "Levels of liquid",
    __doc__,
    (
        liquid(
            name="hemispherical bowl of 50 mm",
            expected=2 / 3 * pi * 50**3,
            got=lambda seed: full_bowl(seed).volume_mm3,
            allowed=rel(below=1e-3),
            cases=POSES,
        ),
        liquid(
            name="hemispherical bowl of 50 mm: its surface",
            expected=pi * 50**2,
            unit="mm²",
            got=lambda seed: full_bowl(seed).basins[0].surface_mm2,
            cases=POSES,
        ),
        *(check for depth in (5.0, 20.0, 40.0) for check in cap_below_the_rim(depth)),
        liquid(
            name="bowl of a cap 4 mm high of a ball of 10 mm",
            source="the usual worked example of the tables",
            grade=Grade.PRINTED,
            expected=435.634,
            got=small_cap_bowl,
        ),
        liquid(
            name="bucket of radii 5 and 3 mm, 8 mm high",
            source="the usual worked example of the tables: frustum of a cone",
            grade=Grade.PRINTED,
            expected=410.501,
            got=bucket,
            cases=POSES,
        ),
        *map(cup_with_covered_floor, (5.0, 20.0, 40.0)),
        *map(cup_with_bare_floor, (58.0, 69.4439547, 80.0)),
        *map(tilted_cone, (0.0, 15.0, 40.0)),
        straight(
            name="trough 40 × 30 × 60 tilted by 30°",
            source="(40 · 30 − 40² tan 30° / 2) · 60",
            expected=(40 * 30 - 40**2 * tan(radians(30)) / 2) * 60,
            got=tilted_trough,
            allowed=rel(1e-5),
            cases=POSES,
        ),
        straight(
            name="U upside down poured through one leg: air in the other",
            source="10 · 40 · 10",
            expected=4000,
            got=lambda seed: through_one_leg(seed).volume_mm3,
            cases=POSES,
        ),
        straight(
            name="U upside down poured through one leg: depth of the pocket",
            source="the leg's length",
            expected=40,
            unit="mm",
            got=lambda seed: through_one_leg(seed).pockets[0].depth_mm,
            cases=POSES,
        ),
        straight(
            name="U filled from the foot of a leg: air above it",
            source="(2 · 40 + 40) · 10 · 10",
            expected=12_000,
            got=lambda: from_the_foot().volume_mm3,
        ),
        straight(
            name="U filled from the foot of a leg: height of its vent",
            source="the top of the bar",
            expected=50,
            unit="mm",
            got=lambda: from_the_foot().pockets[0].at_mm[1],
        ),
        straight(
            name="U tilted by arctan 1/3: air in its lower leg",
            source="a wedge of 10/3 less: (400 − 10 · (10/3) / 2) · 10",
            expected=(400 - 10 * (10 / 3) / 2) * 10,
            got=lambda: trapped_air(inverted_u(), (1, -3, 0)).volume_mm3,
        ),
        liquid(
            name="bell poured from its side: air above the gate",
            source=f"{HANDBOOK}: cylinder and half ball",
            expected=pi * 20**2 * 20 + 2 / 3 * pi * 20**3,
            got=lambda seed: bell_with_side_gate(seed)[0].volume_mm3,
            cases=POSES,
        ),
        straight(
            name="bell poured from its side: height of its vent",
            source="the top of the dome",
            expected=50,
            unit="mm",
            got=lambda seed: float(np.dot(bell_with_side_gate(seed)[0].pockets[0].at_mm, bell_with_side_gate(seed)[1])),
            cases=POSES,
        ),
        liquid(
            name="bell with its gate in the dome: a cap of air",
            source=f"{HANDBOOK}: spherical cap",
            expected=pi * 8**2 * (3 * 20 - 8) / 3,
            got=lambda: air_under_the_dome(8.0),
            allowed=rel(3e-3),
        ),
        straight(
            name="three chimneys joined at two heights: air in the two lower ones",
            source="(35 · 10 + 15 · 20) · 10 and 10 · 10 · 10",
            expected=(6500, 1000),
            got=lambda: [pocket.volume_mm3 for pocket in three_chimneys().pockets],
        ),
        straight(
            name="three chimneys: all of the air",
            expected=7500,
            got=lambda: three_chimneys().volume_mm3,
        ),
        straight(
            name="three chimneys: heights of the vents",
            source="the tops of the chimneys",
            expected=(40, 30),
            unit="mm",
            got=lambda: [pocket.at_mm[1] for pocket in three_chimneys().pockets],
        ),
        straight(
            name="mould with a chamber beside its shaft",
            source="(10 · 50 + 15 + 19 · 30) · 20",
            expected=(10 * 50 + 1 * 15 + 19 * 30) * 20,
            got=lambda: side_chamber().held().volume_mm3,
            allowed=rel(1e-5),
        ),
        straight(
            name="mould with a side chamber: air under the chamber's roof",
            source="19 · 15 · 20",
            expected=5700,
            got=lambda: side_chamber().air().volume_mm3,
            allowed=rel(1e-5),
        ),
        straight(
            name="mould with a side chamber: height of its vent",
            source="the chamber's roof",
            expected=40,
            unit="mm",
            got=lambda: side_chamber().air().pockets[0].at_mm[1],
        ),
        liquid(
            name="ball of 20 mm cast through a sprue",
            source=f"{HANDBOOK}: ball less a cap, and a cylinder",
            expected=ball_and_sprue_mm3(),
            got=ball_with_a_sprue,
        ),
    ),
)
test_levels = each_holds(GROUP)


@pytest.mark.parametrize("seed", POSES)
def test_a_full_bowl_is_known_well(seed):
    assert full_bowl(seed).volume_error_mm3 < 1e-3 * 2 / 3 * pi * 50**3


def test_the_ungula_through_the_middle_of_the_floor():
    assert ungula(30, 80, 30) == pytest.approx(2 / 3 * 30**2 * 80)


def test_a_cup_on_its_head_holds_nothing():
    assert held_liquid(cup(), (0, 0, -1)).basins == ()


@pytest.mark.parametrize("seed", POSES)
def test_a_u_poured_through_one_leg_has_one_pocket(seed):
    assert len(through_one_leg(seed).pockets) == 1


@pytest.mark.parametrize("seed", POSES)
def test_a_u_the_other_way_up_traps_nothing(seed):
    assert trapped_air(*placed(inverted_u(), (0, 1, 0), seed)).pockets == ()


def test_a_vent_at_the_top_frees_the_bell():
    assert trapped_air(bell(), openings_mm=[(20, 0, 10), (0, 0, 50)]).pockets == ()

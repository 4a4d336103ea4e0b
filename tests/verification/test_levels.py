"""Held liquid and trapped air against mensuration formulas.

Where no other source stands beside a check, the formula is in the mensuration section of D. Zwillinger (ed.), *CRC
Standard Mathematical Tables and Formulae* (spherical cap, frustum, ungula of a cylinder, cone over any base).
"""

from __future__ import annotations

from math import acos, cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
import trimesh
from pytest import approx

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding import levels
from moldvol.geometry.moulding.levels import HeldLiquid, StandingMould, TrappedAir
from tests import shapes

# The promise is 0.3 %. Round shapes are inscribed polygons of 256 sides, which hold 0.01 % less than the circle, and
# arcs of 64 chords to the quarter, another 0.01 %; of the figure that is left to the levels themselves hardly anything.
ROUND_REL = 1e-3
ROUND_OFF = 1e-9
SIDES = 256
POSES = [None, 3]
CELLS = 250_000  # an eighth of the default: the figures come from the triangles, the net only says where


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


@pytest.mark.parametrize("seed", POSES)
def test_a_hemispherical_bowl(seed):
    held = held_liquid(*placed(bowl(), (0, 0, 1), seed))
    exact = 2 / 3 * pi * 50**3
    assert (1 - ROUND_REL) * exact < held.volume_mm3 < exact  # inscribed: always a little less
    assert held.basins[0].surface_mm2 == approx(pi * 50**2, rel=ROUND_REL)
    assert held.volume_error_mm3 < 1e-3 * exact


@pytest.mark.parametrize("depth", [5.0, 20.0, 40.0])
def test_a_spherical_cap_below_the_rim(depth):
    held = held_liquid(bowl(), drop_mm=50 - depth)
    assert held.volume_mm3 == approx(pi * depth**2 * (3 * 50 - depth) / 3, rel=2 * ROUND_REL)
    assert held.basins[0].level_mm == approx(depth - 50, abs=1e-6)


def test_a_cap_bowl_of_the_published_size():
    # Sphere of radius 10, cap of height 4: 435.634 (the usual worked example of the tables).
    profile = [(0, -12), (10, -12), (10, -6), *arc(10, -36.8698976, -90)]
    held = held_liquid(shapes.lathe(profile, SIDES))
    assert held.volume_mm3 == approx(435.634, rel=ROUND_REL)


@pytest.mark.parametrize("seed", POSES)
def test_a_frustum_bucket(seed):
    # Radii 5 and 3, height 8: 410.501.
    bucket = shapes.lathe([(0, -1), (4, -1), (6, 8), (5, 8), (3, 0), (0, 0)], SIDES)
    held = held_liquid(*placed(bucket, (0, 0, 1), seed))
    assert held.volume_mm3 == approx(410.501, rel=ROUND_REL)


@pytest.mark.parametrize("seed", POSES)
@pytest.mark.parametrize("degrees", [5.0, 20.0, 40.0])
def test_a_tilted_cup_whose_floor_stays_covered(degrees, seed):
    # A cylinder cut askew holds its section times the height on its axis: r tan θ below the rim there.
    held = held_liquid(*placed(cup(), tilted(degrees), seed))
    assert held.volume_mm3 == approx(pi * 30**2 * (80 - 30 * tan(radians(degrees))), rel=ROUND_REL)


def ungula(radius: float, height: float, reach: float) -> float:
    """Volume between the floor of a cylinder and a plane that meets its wall at *height* and the floor at *reach* from
    there, reach < 2 r."""
    half_chord = sqrt(reach * (2 * radius - reach))
    half_angle = acos((radius - reach) / radius)
    part = half_chord * (3 * radius**2 - half_chord**2) + 3 * radius**2 * (reach - radius) * half_angle
    return height / (3 * reach) * part


def test_the_ungula_through_the_middle_of_the_floor():
    assert ungula(30, 80, 30) == approx(2 / 3 * 30**2 * 80)


@pytest.mark.parametrize("seed", POSES)
@pytest.mark.parametrize("degrees", [58.0, 69.4439547, 80.0])
def test_a_cup_tilted_until_its_floor_shows(degrees, seed):
    held = held_liquid(*placed(cup(), tilted(degrees), seed))
    assert held.volume_mm3 == approx(ungula(30, 80, 80 / tan(radians(degrees))), rel=2 * ROUND_REL)


@pytest.mark.parametrize("seed", POSES)
@pytest.mark.parametrize("degrees", [0.0, 15.0, 40.0])
def test_a_tilted_cone(degrees, seed):
    # A cone over the ellipse of the liquid's surface: a third of its area times the distance d of the point from it.
    # The ellipse's long axis joins two generators; its short half axis is the mean proportional of their distances
    # from the cone's axis (G. Dandelin's spheres).
    radius, height = 40.0, 70.0
    profile = [(0, -10), (radius + 10, -10), (radius + 10, height), (radius, height), (0, 0)]
    alpha, tilt = np.arctan2(radius, height), radians(degrees)
    d = sqrt(radius**2 + height**2) * cos(tilt + alpha)
    lengths = d / cos(tilt + alpha), d / cos(tilt - alpha)
    long_half = d * (tan(tilt + alpha) - tan(tilt - alpha)) / 2
    short_half = sqrt(lengths[0] * lengths[1]) * sin(alpha)
    held = held_liquid(*placed(shapes.lathe(profile, SIDES), tilted(degrees), seed))
    assert held.volume_mm3 == approx(pi * long_half * short_half * d / 3, rel=ROUND_REL)


def test_a_cup_on_its_head_holds_nothing():
    assert held_liquid(cup(), (0, 0, -1)).basins == ()


@pytest.mark.parametrize("seed", POSES)
def test_a_box_tilted_over_its_edge(seed):
    # A trough 40 wide, 30 deep and 60 long, tilted by 30° about its length: the cross-section holds the rectangle less
    # the triangle above the rim, 40 · 30 - 40² tan 30° / 2. No curve, so only rounding is allowed.
    trough = shapes.prism([(-5, -5), (45, -5), (45, 30), (40, 30), (40, 0), (0, 0), (0, 30), (-5, 30)], 60)
    ends = [shapes.moved(shapes.prism([(-5, -5), (45, -5), (45, 30), (-5, 30)], 5), (0, 0, z)) for z in (-5, 60)]
    mould = united(trough, *ends)
    angle = radians(30)
    held = held_liquid(*placed(mould, (sin(angle), cos(angle), 0), seed))
    assert held.volume_mm3 == approx((40 * 30 - 40**2 * tan(angle) / 2) * 60, rel=1e-5)


def united(*meshes: Mesh) -> Mesh:
    made = trimesh.boolean.union([trimesh.Trimesh(m.vertices, m.faces) for m in meshes], engine="manifold")
    return Mesh.of(made.vertices, made.faces)


# ---- trapped air ----


def inverted_u() -> Mesh:
    """Legs 10 wide and 40 high under a bar 40 wide and 10 high, 10 thick."""
    return shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)


@pytest.mark.parametrize("seed", POSES)
def test_a_u_poured_through_one_leg_traps_the_other(seed):
    air = trapped_air(*placed(inverted_u(), (0, -1, 0), seed))
    assert air.volume_mm3 == approx(10 * 40 * 10, rel=1e-6)
    assert len(air.pockets) == 1
    assert air.pockets[0].depth_mm == approx(40, abs=1e-6)


@pytest.mark.parametrize("seed", POSES)
def test_a_u_the_other_way_up_traps_nothing(seed):
    assert trapped_air(*placed(inverted_u(), (0, 1, 0), seed)).pockets == ()


def test_a_u_filled_from_the_foot_of_a_leg_traps_everything_above_it():
    air = trapped_air(inverted_u(), (0, 1, 0), openings_mm=[(5, 0, 5)])
    assert air.volume_mm3 == approx((2 * 40 + 40) * 10 * 10, rel=1e-6)
    assert air.pockets[0].at_mm[1] == approx(50)


def test_a_u_tilted_keeps_a_wedge_less():
    # Turned by arctan 1/3, so that one foot is the higher: its far corner rises 10/3 above its near one and 30/3 above
    # the other leg's. The lower leg keeps what lies above the lower inner corner of the bar.
    air = trapped_air(inverted_u(), (1, -3, 0))
    # In its own frame the level through the inner corner at (10, 40) cuts the leg from there to y = 40 - 10/3 at x = 0.
    assert air.volume_mm3 == approx((400 - 10 * (10 / 3) / 2) * 10, rel=1e-6)


def bell(radius: float = 20.0, straight: float = 30.0) -> Mesh:
    """A drum with a dome on it."""
    return shapes.lathe([(0, 0), (radius, 0), *arc(radius, 0, 90, middle=straight)], SIDES)


@pytest.mark.parametrize("seed", POSES)
def test_a_bell_poured_from_its_side_keeps_the_air_above_the_gate(seed):
    mesh, up = placed(bell(), (0, 0, 1), seed)
    gate = 20 * np.array([1, 0, 0]) + np.array([0, 0, 10])
    if seed is not None:
        gate = trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3))[:3, :3] @ gate
    air = trapped_air(mesh, up, openings_mm=[gate])
    exact = pi * 20**2 * 20 + 2 / 3 * pi * 20**3
    assert air.volume_mm3 == approx(exact, rel=ROUND_REL)
    assert np.dot(air.pockets[0].at_mm, up) == approx(50, abs=1e-6)


def test_a_bell_with_its_gate_in_the_dome_keeps_a_cap():
    height = 8.0  # of the cap above the gate
    rim = sqrt(20**2 - (20 - height) ** 2)
    air = trapped_air(bell(), openings_mm=[(rim, 0, 50 - height)])
    assert air.volume_mm3 == approx(pi * height**2 * (3 * 20 - height) / 3, rel=3 * ROUND_REL)


def test_a_vent_at_the_top_frees_the_bell():
    assert trapped_air(bell(), openings_mm=[(20, 0, 10), (0, 0, 50)]).pockets == ()


def test_pockets_within_pockets_add_up():
    # Three chimneys of 50, 40 and 30 over a common floor of 5, joined by a bridge of 20 between the last two.
    outline = [
        (0, 0),
        (50, 0),
        (50, 30),
        (40, 30),
        (40, 20),
        (30, 20),
        (30, 40),
        (20, 40),
        (20, 5),
        (10, 5),
        (10, 50),
        (0, 50),
    ]
    air = trapped_air(shapes.prism(outline, 10), (0, 1, 0))
    assert [pocket.volume_mm3 for pocket in air.pockets] == approx([(35 * 10 + 15 * 20) * 10, 10 * 10 * 10], rel=1e-6)
    assert [pocket.at_mm[1] for pocket in air.pockets] == approx([40, 30])
    assert air.volume_mm3 == approx(7500, rel=1e-6)


def test_a_mould_with_a_side_chamber_keeps_air_under_its_roof():
    # A shaft 10 wide and 60 deep with a chamber 20 wide beside it, from 10 to 40; the doorway's lintel is at 25.
    block = [
        (0, 0),
        (50, 0),
        (50, 60),
        (20, 60),
        (20, 25),
        (21, 25),
        (21, 40),
        (40, 40),
        (40, 10),
        (10, 10),
        (10, 60),
        (0, 60),
    ]
    slab = shapes.prism(block, 20)
    lids = [shapes.moved(shapes.prism([(0, 0), (50, 0), (50, 60), (0, 60)], 5), (0, 0, z)) for z in (-5, 20)]
    mould = StandingMould.of(united(slab, *lids), (0, 1, 0), cells=CELLS)
    shaft, doorway, chamber = 10 * 50, 1 * 15, 19 * 30
    assert mould.held().volume_mm3 == approx((shaft + doorway + chamber) * 20, rel=1e-5)
    air = mould.air()
    assert air.volume_mm3 == approx(19 * 15 * 20, rel=1e-5)
    assert air.pockets[0].at_mm[1] == approx(40)


def test_a_ball_cast_through_a_sprue():
    # A ball of 20 and a sprue of 2.5 from its top to the top of the block, 45 above the ball's middle.
    angle = np.degrees(acos(2.5 / 20))
    profile = [(0, -30), (40, -30), (40, 45), (2.5, 45), *arc(20, angle, -90, steps=160)]
    held = held_liquid(shapes.lathe(profile, SIDES))
    mouth = 20 * sin(radians(angle))
    ball = 4 / 3 * pi * 20**3 - pi * (20 - mouth) ** 2 * (60 - (20 - mouth)) / 3
    assert held.volume_mm3 == approx(ball + pi * 2.5**2 * (45 - mouth), rel=ROUND_REL)

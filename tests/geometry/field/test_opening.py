"""Where liquid enters, and where in the part it spreads from."""

import numpy as np
import pytest

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.opening import first_room, lowest_flat_place, opening_point, other_seeds
from moldvol.geometry.field.surface import Surface
from moldvol.geometry.field.widest import Basins
from tests import shapes

CONE = Surface.of(shapes.cone(15, 40).mesh)
BALL = Surface.of(shapes.ball(10, 3).mesh)


def test_the_base_is_the_default():
    assert opening_point(CONE, None, 0.5) == pytest.approx([0, 0, CONE.vertices[:, 2].min()], abs=1e-9)


def test_without_a_flat_face_the_lowest_point():
    assert lowest_flat_place(BALL, 1.0) is None
    assert opening_point(BALL, None, 0.5) == pytest.approx(opening_point(BALL, "bottom", 0.5))
    assert opening_point(BALL, "bottom", 0.5)[2] == pytest.approx(-10, rel=0.01)


def test_top_and_a_place_of_ones_own():
    assert opening_point(CONE, "top", 0.5)[2] == pytest.approx(CONE.vertices[:, 2].max())
    assert opening_point(CONE, (1, 2, 3), 0.5).tolist() == [1, 2, 3]


def test_a_speck_of_a_flat_place_is_passed_over():
    step = shapes.together(shapes.box(20, 20, 20).mesh, shapes.moved(shapes.box(1, 1, 4).mesh, (0, 0, -12)))
    assert lowest_flat_place(Surface.of(step), 5.0)[2] == pytest.approx(-10)
    assert lowest_flat_place(Surface.of(step), 0.5)[2] == pytest.approx(-14)


@pytest.mark.parametrize("opening", ["side", (0, 1), (0, 0, float("nan"))])
def test_other_openings_are_refused(opening):
    with pytest.raises(RequestError, match=r"is not an opening|is not a place"):
        opening_point(CONE, opening, 0.5)


def test_a_place_beside_the_part_is_taken_and_one_far_off_is_not():
    assert opening_point(BALL, (11, 0, 0), 0.5).tolist() == [11, 0, 0]
    with pytest.raises(RequestError, match=r"The opening 500,0,0 mm lies 490 mm off the part, which reaches from -10"):
        opening_point(BALL, (500, 0, 0), 0.5)


def test_the_room_above_the_base_of_a_cone_is_its_inscribed_ball():
    """Radius of the ball in a cone: r·h / (r + √(r² + h²))."""
    field = DistanceField.of(shapes.cone(15, 40).mesh, interior_points=20_000)
    room = first_room(field, None)
    assert room.radius_mm == pytest.approx(15 * 40 / (15 + np.hypot(15, 40)), rel=2e-3)
    assert field.depth_mm[room.cell] == pytest.approx(room.radius_mm, abs=field.grid.spacing_mm)


@pytest.mark.parametrize("points", [8_000, 64_000])
def test_the_room_behind_a_spigot_is_as_wide_as_the_spigot_at_any_detail(points):
    bottle = shapes.lathe([(0, 0), (6, 0), (6, 20), (20, 34), (20, 70), (0, 70)])
    room = first_room(DistanceField.of(bottle, interior_points=points), None)
    assert room.radius_mm == pytest.approx(6, rel=0.01)


def test_a_hole_at_a_corner_closes_when_its_wall_reaches_the_hole_s_rim():
    """The core of a wall t begins t·√3 from the corner; a hole of 5 mm about it ends at 5 mm."""
    field = DistanceField.of(shapes.box(60, 40, 30).mesh, interior_points=20_000)
    assert first_room(field, (-30.0, -20.0, -15.0)).radius_mm == pytest.approx(5 / 3**0.5, rel=0.35)


def test_each_body_has_its_own_way_in():
    pair = shapes.together(shapes.ball(10, 3).mesh, shapes.moved(shapes.ball(8, 3).mesh, (30, 0, 0)))
    field = DistanceField.of(pair, interior_points=10_000)
    basins = Basins.of(field.depth_mm)
    (other,) = other_seeds(field, basins, first_room(field, (0.0, 0.0, -10.0)).cell)
    assert field.grid.axis(0)[other[0]] == pytest.approx(30, abs=2 * field.grid.spacing_mm)

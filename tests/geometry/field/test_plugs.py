"""Hollow masters with drain holes, plugged."""

from functools import lru_cache

import manifold3d
import numpy as np
import pytest

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.hidden_rooms import hidden_rooms
from moldvol.geometry.field.plugs import plugged, smallest_plug_mm
from moldvol.geometry.field.shell import shell_volume
from moldvol.geometry.mesh import Mesh
from tests import shapes

PLUG_MM = 6.0
DENT_REL = 1e-3  # the plug's skin is dented by the ball and off by a third of a cell


@lru_cache
def hollow_box(hole_mm: float, turn: int = 0):
    """A box of 40 mm with walls of 4 mm and a hole of *hole_mm* in its top."""
    cube = manifold3d.Manifold.cube
    hole = manifold3d.Manifold.cylinder(40, hole_mm / 2, hole_mm / 2, 48)
    made = (cube((40, 40, 40), True) - cube((32, 32, 32), True) - hole).to_mesh64()
    mesh = Mesh.of(made.vert_properties[:, :3], made.tri_verts)
    mesh = shapes.turned(mesh, turn) if turn else mesh
    return DistanceField.of(mesh, interior_points=20_000, reach_outside_mm=PLUG_MM / 2)


@pytest.mark.parametrize("turn", [0, 1])
def test_a_narrow_hole_is_plugged(turn):
    result = plugged(hollow_box(4.0, turn), PLUG_MM)
    assert result.volume.volume_mm3 == pytest.approx(64000, rel=DENT_REL)
    assert result.volume.error_mm3 < 2 * DENT_REL * 64000
    assert len(result.plugs_at_mm) == 1
    assert np.linalg.norm(result.plugs_at_mm[0]) == pytest.approx(20, abs=1)


def test_depth_runs_from_the_plugged_skin():
    field = plugged(hollow_box(4.0), PLUG_MM).field
    assert field.depth_mm.max() == pytest.approx(20, abs=field.grid.spacing_mm)
    assert shell_volume(field, 5.0).volume_mm3 == pytest.approx(64000 - 30**3, rel=3 * DENT_REL)


def test_a_wide_hole_stays_open():
    field = hollow_box(9.0)
    result = plugged(field, PLUG_MM)
    assert result.plugs_at_mm == ()
    assert result.volume.volume_mm3 == field.solid_mm3


def test_inner_corners_are_not_filled():
    step = shapes.prism([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)], 30)
    field = DistanceField.of(step, interior_points=20_000, reach_outside_mm=5)
    assert plugged(field, 10.0).plugs_at_mm == ()


def test_too_narrow_a_plug_is_refused():
    field = hollow_box(4.0)
    with pytest.raises(RequestError, match=r"A plug of 0\.5 mm is too narrow for this detail"):
        plugged(field, 0.5)
    assert 0.5 < smallest_plug_mm(field) <= PLUG_MM


def test_a_field_that_does_not_look_far_enough_is_refused():
    with pytest.raises(RequestError, match=r"a plug of 9 mm needs 4\.5 mm"):
        plugged(hollow_box(4.0), 9.0)


@pytest.mark.parametrize("hole_mm", [4.0, 9.0])
def test_a_room_behind_a_hole_is_found(hole_mm):
    field = hollow_box(hole_mm)
    (room,) = hidden_rooms(field)
    assert room.volume_mm3 == pytest.approx(32**3, rel=0.15)
    assert hole_mm - 2.5 * field.grid.spacing_mm < room.hole_mm <= hole_mm
    assert room.width_mm == pytest.approx(32, abs=2.5 * field.grid.spacing_mm)
    assert room.at_mm == pytest.approx((0, 0, 0), abs=2 * field.grid.spacing_mm)


@pytest.mark.parametrize(
    "mesh",
    [
        shapes.box().mesh,
        shapes.torus(20, 8, 48).mesh,
        shapes.lathe([(0, 0), (20, 0), (20, 30), (17, 30), (17, 3), (0, 3)], 48),  # a cup
    ],
)
def test_open_shapes_have_no_rooms(mesh):
    assert hidden_rooms(DistanceField.of(mesh, interior_points=10_000)) == ()


def test_a_sealed_void_is_a_room_without_a_hole():
    hollow = shapes.together(shapes.box(20, 20, 20).mesh, shapes.box(14, 14, 14).mesh.flipped())
    (room,) = hidden_rooms(DistanceField.of(hollow, interior_points=10_000))
    assert room.hole_mm == 0
    assert room.volume_mm3 == pytest.approx(14**3, rel=0.15)

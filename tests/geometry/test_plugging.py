"""A hollow master whose drain holes the mould maker plugs: what the mould then holds."""

from __future__ import annotations

from math import pi

import pytest
import trimesh

from moldvol.errors import RequestError
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.plugging import plug_holes
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.geometry.solid import Solid
from tests.shapes import box, from_trimesh


def solid(mesh: Mesh) -> Solid:
    return solid_of(MeshFile("print.stl", "stl", (MeshPart("", mesh),), None, False, ()))


def drained_ball(hole_mm: float = 3.0) -> Mesh:
    """A ball of radius 20 printed with a wall of 2 and one round hole at the bottom."""
    outer, inner = (trimesh.creation.icosphere(subdivisions=4, radius=r) for r in (20, 18))
    drill = trimesh.creation.cylinder(radius=hole_mm / 2, height=10, sections=32).apply_translation((0, 0, -19))
    return from_trimesh(trimesh.boolean.difference([outer, inner, drill], engine="manifold"))


def test_a_drained_room_is_pointed_out_with_a_plug_that_fits() -> None:
    (notice,) = [notice for notice in solid(drained_ball()).notices if notice.code == "drained-room"]
    assert "--plug" in notice.message


def test_plugging_makes_the_outside_whole() -> None:
    plain = solid(drained_ball())
    plugged = plug_holes(plain, 5.0)
    whole = trimesh.creation.icosphere(subdivisions=4, radius=20).volume
    assert plain.outer_volume_mm3 < 0.3 * whole
    assert abs(plugged.outer_volume_mm3 - whole) <= plugged.volume_error_mm3
    assert plugged.outer_volume_mm3 == pytest.approx(whole, rel=0.005)
    assert plugged.volume_mm3 == plain.volume_mm3
    assert plugged.void_volume_mm3 == pytest.approx(4 / 3 * pi * 18**3, rel=0.02)
    (mending,) = [mending for mending in plugged.mendings if mending.what == "holes_plugged"]
    assert mending.count == 1 and mending.at_mm is not None and mending.at_mm[2] == pytest.approx(-19, abs=1.5)
    assert "drained-room" not in {notice.code for notice in plugged.notices}


def test_a_hole_wider_than_the_plug_stays_open() -> None:
    plain = solid(drained_ball(hole_mm=9.0))
    assert plug_holes(plain, 5.0) is plain


def test_a_part_without_rooms_is_left_as_it_is() -> None:
    plain = solid(box(30, 20, 10).mesh)
    assert plug_holes(plain, 4.0) is plain
    assert "drained-room" not in {notice.code for notice in plain.notices}


@pytest.mark.parametrize("plug_mm", [0.0, -1.0, float("nan")])
def test_a_plug_that_is_no_width_is_refused(plug_mm: float) -> None:
    with pytest.raises(RequestError, match="closes nothing; give a width above 0 mm"):
        plug_holes(solid(drained_ball()), plug_mm)

"""Shells, cores and rooms at a wall; the exact bodies are in tests/verification/test_hollow.py."""

from functools import lru_cache

import numpy as np
import pytest

from moldvol.errors import RequestError
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.shell import core_volume, shell_volume, solid_share
from moldvol.geometry.field.volume import Volume
from tests import shapes

GRID_REL = 1e-3  # 20,000 points


@lru_cache
def box_field():
    return DistanceField.of(shapes.box(60, 40, 20).mesh, interior_points=20_000)


def test_shell_of_a_box():
    shell = shell_volume(box_field(), 3.0)
    assert shell.volume_mm3 == pytest.approx(22296, rel=GRID_REL)
    assert shell.holds(22296)


def test_shell_and_core_make_the_solid():
    shell, core = shell_volume(box_field(), 3.0), core_volume(box_field(), 3.0)
    assert shell.volume_mm3 + core.volume_mm3 == pytest.approx(48000)
    assert core.error_mm3 == shell.error_mm3


def test_the_curve_rises_to_the_solid():
    volumes = [shell_volume(box_field(), wall_mm).volume_mm3 for wall_mm in np.linspace(0.5, 12, 24)]
    assert (np.diff(volumes) >= 0).all()
    assert volumes[-1] == 48000


@pytest.mark.parametrize("wall_mm", [0.0, -1.0, float("nan"), float("inf")])
@pytest.mark.parametrize("ask", [shell_volume, core_volume, solid_share])
def test_a_wall_that_is_none_is_refused(ask, wall_mm):
    with pytest.raises(RequestError, match=r"cannot be cast; give a length above 0 mm, such as 3mm\."):
        ask(box_field(), wall_mm)


def test_a_box_is_nowhere_solid_but_for_its_corners():
    assert solid_share(box_field(), 3.0) == pytest.approx(0, abs=0.01)
    assert solid_share(box_field(), 11.0) == 1.0


def test_a_thin_rod_is_the_solid_share():
    # A rod of radius 2 on a block of radius 20.
    figure = shapes.lathe([(0, 0), (20, 0), (20, 20), (2, 20), (2, 60), (0, 60)])
    share = solid_share(DistanceField.of(figure, interior_points=40_000), 4.0)
    rod = 2 * np.pi * 2 * 40 + np.pi * 4
    body = np.pi * (2 * 400 - 4) + 2 * np.pi * 20 * 20
    # Rings of about 3 mm at the rod's foot are within reach of the core's corner.
    assert share == pytest.approx(rod / (rod + body), rel=0.1)


def test_a_volume_holds_what_is_within_its_error():
    assert Volume(10.0, 0.5).holds(10.5)
    assert not Volume(10.0, 0.5).holds(10.6)

"""The largest ball inside."""

import numpy as np
import pytest

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.inscribed import thickest_section
from tests import shapes

FINE = 1 / 200  # of the spacing


@pytest.mark.parametrize("turn", range(3))
@pytest.mark.parametrize(
    ("mesh", "diameter_mm"),
    [
        (shapes.box(60, 40, 20).mesh, 20),
        (shapes.box(20, 20, 20).mesh, 20),
        # The prism of 64 sides that stands for the rod touches a ball of r cos(π/64).
        (shapes.cylinder(10, 60, 64).mesh, 20 * np.cos(np.pi / 64)),
    ],
)
def test_diameter(mesh, diameter_mm, turn):
    field = DistanceField.of(shapes.turned(mesh, turn) if turn else mesh, interior_points=8_000)
    found = thickest_section(field).diameter_mm
    assert diameter_mm - FINE * field.grid.spacing_mm < found <= diameter_mm + 1e-9


def test_centre():
    field = DistanceField.of(shapes.moved(shapes.box(20, 20, 20).mesh, (5, 6, 7)), interior_points=8_000)
    assert thickest_section(field).centre_mm == pytest.approx((5, 6, 7), abs=0.01)

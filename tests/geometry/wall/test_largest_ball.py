"""The thickest place against balls that fit by elementary geometry."""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.wall.caliper import feel_wall
from tests.shapes import ball, box, cone, cylinder, moved, prism, together, torus, turned

BALL_REL = 5e-3  # worst seen 4e-3, where the ball rests on an edge that juts into the body


def ellipsoid() -> Mesh:
    return ball(10, 5).mesh.transformed(np.diag([3.0, 2.0, 1.0, 1.0]))


def angle_piece() -> Mesh:
    return prism([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)], 30)


KNOWN = {
    "cube, 12 triangles": (box(100, 100, 100).mesh, 100),
    "cube, 3,072 triangles": (turned(box(100, 100, 100, 4).mesh), 100),
    "block": (box(60, 40, 20).mesh, 20),
    "plate": (box(100, 60, 2).mesh, 2),
    "rod": (box(2, 2, 500).mesh, 2),
    "ball": (ball(10, 5).mesh, 20),
    "torus": (torus().mesh, 20),
    "cylinder": (turned(cylinder(10, 100).mesh), 20),
    "cone: r h / (r + slant)": (turned(cone(15, 40).mesh), 2 * 15 * 40 / (15 + hypot(15, 40))),
    "ellipsoid: its least axis": (turned(ellipsoid()), 20),
    "angle: two walls and the inner edge": (turned(angle_piece()), 2 * 20 * sqrt(2) / (1 + sqrt(2))),
    "two balls: the larger": (together(ball(10, 4).mesh, moved(ball(10.5, 4).mesh, (50, 0, 0))), 21),
    "thin handle on a head": (together(cylinder(3, 120).mesh, moved(ball(9, 4).mesh, (0, 40, 90))), 18),
}


@pytest.mark.parametrize(("mesh", "diameter"), KNOWN.values(), ids=KNOWN)
def test_the_ball_that_fits(mesh: Mesh, diameter: float) -> None:
    assert feel_wall(mesh).thick_mm == pytest.approx(diameter, rel=BALL_REL)


def test_the_place_is_the_ball_s_centre() -> None:
    wall = feel_wall(moved(box(100, 100, 100).mesh, (7, 0, -3)))
    assert wall.thickest_at_mm == pytest.approx((7, 0, -3), abs=0.1)

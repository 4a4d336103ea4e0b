"""Shares of cells beyond a level, and the error that two spacings tell."""

import numpy as np
import pytest

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.level_set import Estimate, cut_cube, estimate_beyond, volume_beyond
from tests import shapes

ROUNDING = 1e-6  # the cut-cube formula tilts an upright plane by 1e-4


@pytest.mark.parametrize(
    ("v", "g", "share"),
    [
        (0.0, (1, 0, 0), 1 / 2),
        (0.25, (0, 0, -1), 3 / 4),
        (-0.5, (0, 1, 0), 0),
        (9.0, (0, 1, 0), 1),
        (0.0, (3**-0.5,) * 3, 1 / 2),
        # The plane through three corners next to one cuts off a sixth.
        (-0.5 * 3**-0.5, (3**-0.5,) * 3, 1 / 6),
        (0.5 * 3**-0.5, (-(3**-0.5),) * 3, 5 / 6),
        # Half way to an edge across a diagonal: a triangle of a quarter of the half square.
        (-0.25 * 2**0.5, (2**-0.5, 2**-0.5, 0), 1 / 8),
    ],
)
def test_a_plane_cuts_a_cube(v, g, share):
    assert cut_cube(np.array([v]), np.array([g], dtype=float))[0] == pytest.approx(share, abs=ROUNDING * 100)


def test_cut_cubes_against_sampling():
    rng = np.random.default_rng(7)
    g = rng.normal(size=(20, 3))
    g /= np.linalg.norm(g, axis=1, keepdims=True)
    v = rng.uniform(-0.8, 0.8, 20)
    axis = (np.arange(60) + 0.5) / 60 - 0.5
    points = np.stack(np.meshgrid(axis, axis, axis), -1).reshape(-1, 3)
    sampled = (v + points @ g.T > 0).mean(axis=0)
    assert cut_cube(v, g) == pytest.approx(sampled, abs=3e-3)  # 60 points a side resolve a plane to about that


def test_a_level_per_point():
    field = DistanceField.of(shapes.box(20, 16, 12).mesh, interior_points=5000)
    left = np.broadcast_to((field.grid.axis(0) < 0)[:, None, None], field.grid.shape)
    level = np.where(left, 3.0, np.inf)
    # Half of the core, but for the layer of cells that the middle plane runs through.
    assert volume_beyond(field.lattice, level).volume_mm3 == pytest.approx(420, abs=0.5 * 60 * field.grid.spacing_mm)


def test_the_limit_lies_beyond_the_finer_grid():
    # Errors of 1 and 4 on the two spacings point to 9; half way there is 9.5.
    volume = Estimate(10.0, np.full(4, 13.0), doubt=0.25).volume()
    assert volume.volume_mm3 == pytest.approx(9.5)
    assert volume.error_mm3 == pytest.approx(0.5 + 0.25)


def test_two_near_levels_share_their_doubt():
    outer, inner = Estimate(10.0, np.full(4, 10.0), 1.0), Estimate(9.0, np.full(4, 9.0), 0.5)
    between = outer.to(inner, cells=0.01)
    assert (between.fine, between.coarse.tolist()) == (1.0, [1.0] * 4)
    assert between.doubt == pytest.approx(0.08)


def test_error_shrinks_with_the_spacing():
    ball = shapes.ball(10, 3).mesh
    coarse, fine = (
        estimate_beyond(DistanceField.of(ball, interior_points=n).lattice, 2.0).volume().error_mm3
        for n in (4_000, 32_000)
    )
    assert fine < coarse / 2

"""Runs and contacts: what walls part and what they leave joined."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from moldvol.geometry.grid import Grid
from moldvol.geometry.mesh import join
from moldvol.geometry.moulding.open_space import OpenSpace
from moldvol.geometry.moulding.pockets import parts_above
from tests import shapes

EVERYTHING = -1e9  # a level below all heights
LATTICE_REL = 0.02  # walls in step with the lines, 20 cells across


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_runs_fill_the_inside_along_every_axis(axis):
    mesh = shapes.turned(shapes.box(30, 20, 10).mesh)
    space = OpenSpace.inside(mesh, Grid.over(mesh.bounds, 0.5), axis)
    assert space.volume_mm3 == approx(6000, rel=LATTICE_REL)
    # Runs shorter than the spacing, in edges and corners, may touch nothing; all others are one room.
    lengths = np.bincount(parts_above(space, (0, 0, 1), EVERYTHING), space.high_mm - space.low_mm)
    assert lengths.max() > 0.999 * lengths.sum()
    assert np.sort(lengths)[:-1].max() < 1.0


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_inside_and_outside_make_up_the_grid(axis):
    mesh = shapes.turned(shapes.torus().mesh)
    grid = Grid.over(mesh.bounds, 2.0)
    both = OpenSpace.inside(mesh, grid, axis).volume_mm3 + OpenSpace.outside(mesh, grid, axis).volume_mm3
    assert both == approx(grid.size * grid.cell_mm3)


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("beside", [(1, 0, 0), (0, 1, 0), (0, 0, 1)])
def test_a_wall_far_thinner_than_the_spacing_parts_two_rooms(axis, beside):
    # Two boxes 20 wide with a gap of a thousandth of the spacing between them.
    box = shapes.box(20, 20, 20).mesh
    pair = join([box, shapes.moved(box, tuple(20.001 * step for step in beside))])
    space = OpenSpace.inside(pair, Grid.over(pair.bounds, 1.03), axis)
    assert len(np.unique(parts_above(space, (0, 0, 1), EVERYTHING))) == 2


def test_ends_on_the_surface_lie_on_it():
    ball = shapes.ball(10).mesh
    runs, points = OpenSpace.outside(ball, Grid.over(ball.bounds, 1.0)).ends_on_surface()
    assert len(runs) == len(points) > 400
    assert np.linalg.norm(points, axis=1) == approx(np.full(len(points), 10.0), rel=0.01)


def test_the_border_of_a_room_outside_is_where_the_grid_ends():
    ball = shapes.ball(10).mesh
    grid = Grid.over(ball.bounds, 1.0)
    runs, heights = OpenSpace.outside(ball, grid).border((0, 0, 1))
    assert len(runs) == grid.shape[0] * grid.shape[1] + np.count_nonzero(heights < 0)
    assert OpenSpace.inside(ball, grid).border((0, 0, 1))[0].size == 0


def test_the_nearest_run_passes_the_point():
    box = shapes.box(20, 20, 20).mesh
    space = OpenSpace.inside(box, Grid.over(box.bounds, 1.0))
    run = space.nearest_run((3.2, -4.1, 12.0))
    low, high = space.run_points()
    assert high[run] == approx([3.5, -4.5, 10.0])
    assert low[run][2] == approx(-10)


def test_two_runs_may_touch_above_and_below_a_pin():
    # A tunnel along x through a block: the columns beside it touch above and below the hole, not across it.
    outline = [(0, 0), (30, 0), (30, 30), (0, 30)]
    block = shapes.prism(outline, 30)
    pin = shapes.moved(shapes.box(40, 6, 6).mesh, (15, 15, 15)).flipped()
    mesh = join([block, pin])
    space = OpenSpace.inside(mesh, Grid.over(block.bounds, 1.0))
    twice = np.unique(np.sort(space.ends, axis=1), axis=0)
    assert len(twice) == len(space.ends)  # a hole parts the run itself, so no pair repeats
    assert space.volume_mm3 == approx(30**3 - 30 * 36, rel=LATTICE_REL)

"""Regular grids: where their points are, and how their memory is bounded."""

import numpy as np
import pytest

from moldvol.geometry.grid import Grid, share_beyond, spacing_for

UNIT_BOX = [[0, 0, 0], [1, 2, 3]]


def test_cells_fill_the_box_with_layers_around():
    grid = Grid.over(UNIT_BOX, 0.5, layers=1)
    assert grid.shape == (4, 6, 8)
    assert grid.axis(0).tolist() == [-0.25, 0.25, 0.75, 1.25]
    assert grid.size * grid.cell_mm3 == 4 * 6 * 8 / 8


def test_points_follow_flat_indices():
    grid = Grid.over(UNIT_BOX, 0.5)
    flat = np.array([0, 1, grid.size - 1])
    points = grid.points(flat)
    assert points[0].tolist() == list(grid.origin_mm)
    assert points[1, 2] - points[0, 2] == 0.5
    assert np.concatenate([block for _, block in grid.point_chunks(flat)]).tolist() == points.tolist()


def test_nearest_index_stays_inside():
    grid = Grid.over(UNIT_BOX, 0.5, layers=0)
    assert grid.nearest_index((0.3, 0.9, 99)) == (0, 1, 5)


def test_spacing_gives_the_interior_points_asked_for():
    assert spacing_for(1000, 1000, [[0, 0, 0], [10, 10, 10]]) == pytest.approx(1)


def test_spacing_is_coarser_in_an_empty_box():
    spacing = spacing_for(1000, 1_000_000, [[0, 0, 0], [1000, 1000, 1000]], most_cells=1_000_000)
    assert spacing == pytest.approx(10)


def test_share_beyond_is_exact_along_the_axes():
    # Cells of 2 mm at depths 1, 3, 5 mm: beyond 3.5 mm lie a quarter of the second and all of the third.
    assert share_beyond(np.array([1.0, 3.0, 5.0]), 3.5, 2.0).tolist() == [0, 0.25, 1]

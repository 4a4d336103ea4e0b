"""Signed column crossings: every column through a closed mesh cancels, whatever it meets."""

import numpy as np
import pytest

from moldvol.errors import RequestError
from moldvol.geometry.columns import Crossings, column_crossings, column_lattice, column_volumes, winding_on_grid
from moldvol.geometry.grid import Grid
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.triangles import measures
from tests import shapes

ROUNDING_REL = 1e-12


def volumes_of(mesh, across=66):
    return column_volumes(column_crossings(mesh, *column_lattice(mesh.bounds, across)))


def winding_of(mesh, grid):
    return winding_on_grid(column_crossings(mesh, grid.axis(0), grid.axis(1)), grid)


CLOSED = {
    "box": shapes.box(20, 30, 7).mesh,
    "fine box": shapes.box(subdivisions=4).mesh,
    "ball": shapes.ball(10, 4).mesh,
    "torus": shapes.torus().mesh,
    "cone": shapes.cone().mesh,
    "cylinder": shapes.cylinder().mesh,
}


@pytest.mark.parametrize("turn", range(4))
@pytest.mark.parametrize("name", CLOSED)
def test_truth_lies_within_the_stated_error(name, turn):
    mesh = shapes.turned(CLOSED[name], turn) if turn else CLOSED[name]
    volumes, truth = volumes_of(mesh), measures(mesh).signed_volume_mm3
    assert abs(volumes.signed_mm3 - truth) <= volumes.signed_error_mm3 + ROUNDING_REL * truth
    assert volumes.filled_mm3 == pytest.approx(volumes.signed_mm3, rel=ROUNDING_REL)
    assert volumes.doubled_mm3 <= ROUNDING_REL * truth


def leaking(crossings: Crossings) -> int:
    """Number of columns whose signs do not cancel: none for a closed mesh."""
    return int(np.count_nonzero(np.bincount(crossings.column, weights=crossings.sign)))


@pytest.mark.parametrize("name", CLOSED)
def test_columns_through_vertices_and_edges_cancel(name):
    mesh = CLOSED[name]
    xs, ys = np.unique(mesh.vertices[:, 0]), np.unique(mesh.vertices[:, 1])
    assert leaking(column_crossings(mesh, xs, ys)) == 0


def test_unwelded_triangles_cancel_as_well():
    turned = shapes.turned(CLOSED["torus"])
    soup = Mesh.of(turned.corners().reshape(-1, 3), np.arange(3 * len(turned.faces)))
    assert leaking(column_crossings(soup, *column_lattice(soup.bounds))) == 0


def test_an_open_mesh_leaks():
    lidless = Mesh(CLOSED["ball"].vertices, CLOSED["ball"].faces[1:200])
    assert leaking(column_crossings(lidless, *column_lattice(lidless.bounds))) > 0


def test_a_point_level_with_the_top_edge_is_outside():
    cube = shapes.moved(shapes.box(2, 2, 2).mesh, (1, 1, 1))  # 0 to 2 on every axis
    assert winding_of(cube, Grid((3, 2, 2), 1.0, (1, 1, 1))).item() == 0


def test_a_grid_on_the_vertices_of_a_fine_cube_counts_half_open():
    cube = shapes.moved(shapes.box(64, 64, 64, subdivisions=6).mesh, (32, 32, 32))
    winding = winding_of(cube, Grid((0, 0, 0), 1.0, (66, 66, 66)))
    # Half-open rules keep each lattice point of the lower sides and leave out the upper: 64 on each axis.
    assert np.count_nonzero(winding) == 64**3
    assert set(np.unique(winding)) == {0, 1}


def test_one_body_in_another_winds_twice():
    nested = shapes.together(shapes.box(20, 20, 20).mesh, shapes.box(10, 10, 10).mesh)
    winding = winding_of(nested, Grid.over(nested.bounds, 1.0))
    assert [np.count_nonzero(winding == level) for level in (1, 2)] == [8000 - 1000, 1000]


def test_a_void_winds_to_nothing():
    hollow = shapes.together(shapes.box(20, 20, 20).mesh, shapes.box(10, 10, 10).mesh.flipped())
    winding = winding_of(hollow, Grid.over(hollow.bounds, 1.0))
    assert np.count_nonzero(winding == 1) == 7000
    assert winding[12, 12, 12] == 0


def test_overlap_is_filled_once_and_counted_as_doubled():
    cube = shapes.box(20, 20, 20).mesh
    volumes = volumes_of(shapes.together(cube, shapes.moved(cube, (10, 0, 0))))
    assert volumes.signed_mm3 == pytest.approx(16000)
    assert volumes.filled_mm3 == pytest.approx(12000)
    assert volumes.doubled_mm3 == pytest.approx(4000)


def test_an_inside_out_body_is_all_doubled():
    volumes = volumes_of(shapes.box(20, 20, 20).mesh.flipped())
    assert (volumes.signed_mm3, volumes.filled_mm3) == pytest.approx((-8000, 0))
    assert volumes.doubled_mm3 == pytest.approx(8000)


def test_no_triangle_no_crossing():
    empty = Mesh.of(np.zeros((0, 3)), np.zeros((0, 3)))
    assert len(column_crossings(empty, [0, 1], [0, 1]).column) == 0


def test_single_precision_vertices_give_the_same_windings():
    ball = CLOSED["ball"]
    single = Mesh(ball.vertices.astype(np.float32), ball.faces)
    grid = Grid.over(ball.bounds, 0.7)
    assert np.count_nonzero(winding_of(ball, grid) != winding_of(single, grid)) == 0


def test_a_lattice_that_is_not_the_grids_is_refused():
    crossings = column_crossings(CLOSED["box"], [0, 1, 2], [0, 1])
    with pytest.raises(RequestError, match="The columns are 3 × 2, the grid 4 × 4"):
        winding_on_grid(crossings, Grid((0, 0, 0), 1, (4, 4, 4)))

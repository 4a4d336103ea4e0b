"""The distance field: exact depths where they are needed, and a volume of its own."""

import numpy as np
import pytest

from moldvol.errors import RequestError, UnsoundMesh
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.triangles import measures
from tests import shapes

POINTS = 8_000
SINGLE = 1e-6  # directions are kept in single precision
BOX = shapes.box(20, 16, 12).mesh


def box_depth(points):
    """Depth below the box of 20 × 16 × 12: positive inside, the distance outside negative."""
    beyond = np.abs(points) - np.array([10, 8, 6])
    outside = np.linalg.norm(np.maximum(beyond, 0), axis=-1)
    return np.where(outside > 0, -outside, -beyond.max(axis=-1))


def points_of(field):
    return field.grid.points(np.arange(field.grid.size)).reshape(*field.grid.shape, 3)


def test_depths_are_exact_inside_and_on_the_layer_around():
    field = DistanceField.of(BOX, interior_points=POINTS)
    truth = box_depth(points_of(field))
    known = truth > -field.grid.spacing_mm
    assert field.depth_mm[known] == pytest.approx(truth[known], abs=1e-9)
    assert (field.depth_mm[~known] < 0).all()


def test_about_as_many_points_inside_as_asked_for():
    field = DistanceField.of(BOX, interior_points=POINTS)
    assert np.count_nonzero(field.depth_mm > 0) == pytest.approx(POINTS, rel=0.1)


def test_reach_outside_is_exact_that_far():
    field = DistanceField.of(BOX, interior_points=POINTS, reach_outside_mm=5)
    truth = box_depth(points_of(field))
    near = truth >= -5
    assert field.depth_mm[near] == pytest.approx(truth[near], abs=1e-9)
    assert (field.depth_mm[~near] <= -5).all()
    assert truth[[0, -1]].max() < -5  # the grid goes that far on every side


def test_slopes_point_inwards():
    field = DistanceField.of(BOX, interior_points=POINTS)
    point = field.grid.nearest_index((9, 0, 0))
    assert field.lattice.slope[field.lattice.row[point]] == pytest.approx([-1, 0, 0], abs=SINGLE)


@pytest.mark.parametrize("turn", [1, 2, 3])
@pytest.mark.parametrize("mesh", [BOX, shapes.ball(10, 3).mesh, shapes.torus(20, 8, 48).mesh, shapes.cone().mesh])
def test_own_volume_agrees_with_the_triangles(mesh, turn):
    field = DistanceField.of(shapes.turned(mesh, turn), interior_points=POINTS)
    truth = measures(mesh).signed_volume_mm3
    assert field.agrees_with(truth)
    assert field.volume_error_mm3 < 2e-3 * truth


def test_doubled_bodies_do_not_agree():
    pair = shapes.together(BOX, shapes.moved(BOX, (10, 0, 0)))
    assert not DistanceField.of(pair, interior_points=POINTS).agrees_with(measures(pair).signed_volume_mm3)


def test_windings_and_columns_tell_the_same_inside():
    mesh = shapes.turned(shapes.torus(20, 8, 48).mesh)
    by_columns, by_winding = (
        DistanceField.of(mesh, interior_points=POINTS, inside=way) for way in ("columns", "winding")
    )
    assert np.array_equal(by_columns.depth_mm > 0, by_winding.depth_mm > 0)


def test_a_pinhole_is_bridged_by_winding():
    ball = shapes.ball(10, 3).mesh
    holed = Mesh(ball.vertices, ball.faces[1:])
    field = DistanceField.of(holed, interior_points=POINTS, inside="winding")
    assert field.volume_mm3 == pytest.approx(measures(ball).signed_volume_mm3, rel=2e-3)


def test_points_on_the_surface_have_a_slope():
    # 16 cells in 16 mm: with the shift undone a face runs through grid points.
    field = DistanceField.of(shapes.box(16, 16, 16, 2).mesh, interior_points=16**3)
    assert np.isfinite(field.lattice.slope).all()


def test_scale_changes_nothing_but_the_unit():
    small, large = (DistanceField.of(BOX.scaled(factor), interior_points=POINTS) for factor in (1e-3, 1e3))
    assert large.volume_mm3 == pytest.approx(small.volume_mm3 * 1e18, rel=1e-6)
    assert large.grid.shape == small.grid.shape


def test_the_same_again_is_the_same():
    one, other = (DistanceField.of(shapes.turned(BOX), interior_points=POINTS) for _ in range(2))
    assert np.array_equal(one.depth_mm, other.depth_mm)


def test_a_diagonal_rod_stays_within_memory():
    rod = shapes.turned(shapes.cylinder(0.5, 300, 16).mesh)
    field = DistanceField.of(rod, interior_points=2_000_000)
    assert field.grid.size < 16_000_000


def test_progress_ends_at_one():
    seen: list[float] = []
    DistanceField.of(BOX, interior_points=POINTS, progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0


def test_a_sheet_is_refused():
    sheet = Mesh.of([[0, 0, 0], [10, 0, 0], [0, 10, 0]], [[0, 1, 2]])
    with pytest.raises(UnsoundMesh, match="enclose no volume"):
        DistanceField.of(sheet)


def test_a_sheet_with_a_made_up_volume_is_refused():
    sheet = Mesh.of([[0, 0, 0], [10, 0, 0], [0, 10, 5]], [[0, 1, 2]])
    with pytest.raises(UnsoundMesh, match=r"No point of a .* mm grid lies inside"):
        DistanceField.of(sheet, interior_points=100, volume_mm3=10.0, inside="winding")


@pytest.mark.parametrize("points", [0, -5])
def test_a_field_of_nothing_is_refused(points):
    with pytest.raises(RequestError, match=f"A field of {points} points"):
        DistanceField.of(BOX, interior_points=points)


@pytest.mark.parametrize("reach", [-1.0, float("nan"), float("inf")])
def test_a_reach_without_sense_is_refused(reach):
    with pytest.raises(RequestError, match="reach of"):
        DistanceField.of(BOX, reach_outside_mm=reach)

"""The coarser copy of a large mesh."""

from __future__ import annotations

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.edges import is_closed_chain
from moldvol.geometry.triangles import measures
from moldvol.geometry.wall.simplify import clustered
from tests.shapes import ball, box, torus


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_a_copy_stays_closed_and_near(kind: type) -> None:
    fine = torus(sections=256).mesh
    coarse, cell = clustered(Mesh(fine.vertices.astype(kind), fine.faces), 64)
    assert cell == pytest.approx(80 / 64)
    assert len(coarse.faces) < len(fine.faces) / 2
    assert is_closed_chain(coarse)
    # Every cell's mean lies on the chord side of a round surface, by far less than the cell.
    assert measures(coarse).signed_volume_mm3 == pytest.approx(measures(fine).signed_volume_mm3, rel=0.02)
    assert coarse.size_mm == pytest.approx(fine.size_mm, abs=cell)


def test_finer_than_the_mesh_changes_nothing() -> None:
    mesh = ball(10, 3).mesh
    coarse, _ = clustered(mesh, 250)
    assert len(coarse.faces) == len(mesh.faces)
    assert measures(coarse).signed_volume_mm3 == pytest.approx(measures(mesh).signed_volume_mm3, rel=1e-12)


def test_the_corner_farthest_out_has_a_cell_too() -> None:
    coarse, _ = clustered(box(20, 20, 20).mesh, 4)
    assert coarse.size_mm == pytest.approx((20, 20, 20))


def test_a_point_is_left_alone() -> None:
    speck = Mesh.of([(1, 1, 1)] * 3, [(0, 1, 2)])
    assert clustered(speck, 8) == (speck, 0.0)

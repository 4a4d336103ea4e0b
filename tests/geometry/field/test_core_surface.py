"""The inner surface as a mesh."""

import pytest

from moldvol.geometry.field.core_surface import core_surface
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.triangles import measures
from tests import shapes

FIELD = DistanceField.of(shapes.box(20, 16, 12).mesh, interior_points=20_000)


def test_it_faces_out_and_encloses_the_core():
    core = core_surface(FIELD, 3.0)
    # Edges rounded off by half a cell at most: always under.
    assert 0.97 * 840 < measures(core).signed_volume_mm3 < 840
    assert core.bounds[1] == pytest.approx([7, 5, 3], abs=0.5 * FIELD.grid.spacing_mm)


def test_a_solid_part_has_none():
    assert len(core_surface(FIELD, 6.5).faces) == 0

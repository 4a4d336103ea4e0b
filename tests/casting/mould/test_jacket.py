"""Jackets over a skin of known area and volume."""

from __future__ import annotations

from math import pi

import pytest
from pytest import approx

from moldvol.casting.mould.jacket import JacketRequest, plan_jacket
from moldvol.errors import RequestError
from moldvol.geometry.field.parallel import ParallelBodies
from moldvol.materials.mixtures.plaster import plaster_for_volume
from moldvol.materials.shelf import load_shelf
from tests import shapes

BALL, SKIN, JACKET = 30.0, 5.0, 10.0
AREA = 4 * pi * (BALL + SKIN) ** 2
SHELL = 4 / 3 * pi * ((BALL + SKIN + JACKET) ** 3 - (BALL + SKIN) ** 3)
FIELD_REL = 5e-3  # inscribed facets and a coarse grid


@pytest.fixture(scope="module")
def bodies() -> ParallelBodies:
    return ParallelBodies.of(shapes.ball(BALL).mesh, SKIN + JACKET, points=40_000)


def test_plaster_fills_the_next_shell(bodies):
    jacket = plan_jacket(JacketRequest(thickness_mm=JACKET, consistency=60), bodies, SKIN, 0)
    assert jacket.area_mm2 == approx(AREA, rel=FIELD_REL)
    assert jacket.mass_g == approx(plaster_for_volume(SHELL, 60).wet_mass_g, rel=FIELD_REL)
    assert jacket.laminate is None
    assert jacket.cost is None


def test_a_rim_carries_jacket_too(bodies):
    bare = plan_jacket(JacketRequest(thickness_mm=JACKET), bodies, SKIN, 0)
    rimmed = plan_jacket(JacketRequest(thickness_mm=JACKET), bodies, SKIN, 1000)
    assert rimmed.area_mm2 - bare.area_mm2 == approx(1000)
    more = rimmed.plaster.slurry_volume_mm3 - bare.plaster.slurry_volume_mm3
    assert more == approx(1000 * JACKET)


def test_mats_go_by_area_with_their_offcuts(bodies):
    request = JacketRequest(kind="laminate", mats_g_m2=(300.0, 450.0), offcuts=0.1)
    jacket = plan_jacket(request, bodies, SKIN, 0)
    assert jacket.laminate.mat_g == approx(750e-6 * 1.1 * AREA, rel=FIELD_REL)
    assert jacket.thickness_mm == jacket.laminate.total_mm
    # The finished jacket weighs what covers the area: what is cut off is mixed and laid, but not carried.
    assert jacket.mass_g == approx(jacket.laminate.mass_g / 1.1)
    assert jacket.plaster is None


def test_named_resins_are_planned_batch_by_batch(bodies):
    shelf = load_shelf().resins
    resins = {"resin": shelf["laminating-polyester"], "gel_coat": shelf["gelcoat-polyester"]}
    jacket = plan_jacket(JacketRequest(kind="laminate", **resins), bodies, SKIN, 0)
    gel_coat, session = jacket.lay_up.batches
    assert (gel_coat.what, session.what) == ("gel coat", "session 1")
    assert session.mat_g == approx(3 * 450e-6 * 1.15 * AREA, rel=FIELD_REL)
    assert jacket.cost == jacket.lay_up.cost > 0
    assert jacket.laminate is jacket.lay_up.made
    assert any("Styrene" in text for text in jacket.cautions)


def test_plaster_warns_of_its_heat(bodies):
    jacket = plan_jacket(JacketRequest(thickness_mm=JACKET), bodies, SKIN, 0)
    assert any("Setting plaster" in text for text in jacket.cautions)


def test_no_jacket_is_none(bodies):
    assert plan_jacket(JacketRequest(kind="none"), bodies, SKIN, 0) is None


def test_a_consistency_of_nothing_is_refused_not_replaced(bodies):
    for powder in (None, load_shelf().plaster("model-plaster")):
        request = JacketRequest(thickness_mm=JACKET, powder=powder, consistency=0.0)
        with pytest.raises(RequestError, match="The water to 100 parts of plaster is 0; give"):
            plan_jacket(request, bodies, SKIN, 0)


def test_a_kind_nobody_knows_is_refused():
    with pytest.raises(RequestError, match=r"^The kind of jacket is 'tin'; give plaster, laminate or none\.$"):
        JacketRequest(kind="tin")


def test_thicknesses_and_offcuts_below_nothing_are_refused():
    with pytest.raises(RequestError, match="A jacket of 0 mm of plaster is none"):
        JacketRequest(thickness_mm=0)
    with pytest.raises(RequestError, match="Offcuts of -10% are below nothing"):
        JacketRequest(offcuts=-0.1)

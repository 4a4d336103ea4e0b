"""What kind of mould a mesh is taken for, and the resin it then takes."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
import trimesh
from pytest import approx

from moldvol.casting.fill import plan_fill
from moldvol.casting.fill_request import FillRequest
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.errors import RequestError
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh, join
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.geometry.solid import Solid
from moldvol.geometry.soundness.draft import Mending
from moldvol.materials.shelf import load_shelf
from tests import shapes

pytestmark = pytest.mark.usefixtures("coarse_grids")

RESIN = load_shelf().resins["fast-urethane"]
EXACT_REL = 1e-5  # corners in single precision
UNDERCUT_ABS = 0.03  # some two thousand samples on the cavity
ROUND_REL = 2e-3  # inscribed polygons of 128 sides


def solid(mesh: Mesh) -> Solid:
    return solid_of(MeshFile("mould.stl", "stl", (MeshPart("", mesh),), None, False, ()))


def box(sides, low) -> trimesh.Trimesh:
    made = trimesh.creation.box(extents=sides)
    made.apply_translation(np.array(low) + np.array(sides) / 2)
    return made


def carved(block: trimesh.Trimesh, *cuts: trimesh.Trimesh) -> Mesh:
    made = trimesh.boolean.difference([block, *cuts], engine="manifold")
    return shapes.from_trimesh(made)


def tray() -> Mesh:
    """60 × 40 × 30 with a pit of 50 × 30 × 20."""
    return carved(box((60, 40, 30), (0, 0, 0)), box((50, 30, 20.5), (5, 5, 10)))


def half_filled(length: float) -> float:
    """A ball of 15 and a sprue of 3 from its middle to *length*, less what of the sprue lies in the ball."""
    start = np.sqrt(15**2 - 9)
    cap = pi * (15 - start) ** 2 * (3 * 15 - (15 - start)) / 3
    return 4 / 3 * pi * 15**3 + pi * 9 * (length - start) - cap


def test_an_open_mould_and_its_resin():
    plan = plan_fill(solid(tray()), FillRequest(mix=MixRequest(resin=RESIN), allowance=0.1))
    assert plan.kind == "open mould"
    assert plan.held_volume_mm3 == approx(30_000, rel=EXACT_REL)
    assert plan.trapped_air_mm3 == 0
    assert plan.pockets == ()
    assert plan.needed.net_mass_g == approx(30 * RESIN.cured_density_g_ml, rel=1e-4)
    assert plan.mix.total_mass_g == approx(1.1 * plan.needed.net_mass_g)


def test_a_level_below_the_rim():
    plan = plan_fill(solid(tray()), FillRequest(drop_mm=3))
    assert plan.held_volume_mm3 == approx(50 * 30 * 17, rel=EXACT_REL)
    assert plan.mix is None
    assert plan.basins[0].level_mm == approx(27)


def test_a_mould_on_its_side_is_stood_up_and_says_so():
    on_its_side = tray().transformed(trimesh.transformations.rotation_matrix(np.pi / 2, (1, 0, 0)))
    plan = plan_fill(solid(on_its_side), FillRequest())
    assert plan.up == approx((0, -1, 0))
    assert plan.held_volume_mm3 == approx(30_000, rel=EXACT_REL)
    assert "stood-on-another-side" in {notice.code for notice in plan.notices}


def test_the_side_asked_for_is_taken():
    with pytest.raises(RequestError) as refused:
        plan_fill(solid(tray()), FillRequest(up=(0, 0, -1), taken_as="mould"))
    assert str(refused.value) == (
        "mould.stl holds nothing with this side up; turn its mouth up, or leave out that it is a mould."
    )


def test_a_closed_mould_with_a_sprue():
    ball = trimesh.creation.icosphere(subdivisions=4, radius=15)
    sprue = trimesh.creation.cylinder(radius=3, height=30, sections=64)
    sprue.apply_translation((0, 0, 25))
    mesh = carved(box((50, 50, 50), (-25, -25, -25)), trimesh.boolean.union([ball, sprue], engine="manifold"))
    plan = plan_fill(solid(mesh), FillRequest())
    assert plan.kind == "mould with a sprue"
    assert plan.held_volume_mm3 == approx(half_filled(25), rel=2 * ROUND_REL)


def test_a_master_is_its_own_cavity():
    u = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    plan = plan_fill(solid(u), FillRequest(up=(0, -1, 0), try_directions=True))
    assert plan.kind == "cavity"
    assert plan.held_volume_mm3 == approx(12_000, rel=EXACT_REL)
    assert plan.trapped_air_mm3 == approx(4000, rel=EXACT_REL)
    assert len(plan.pockets) == 1
    assert "trapped-air" in {notice.code for notice in plan.notices}
    assert len(plan.directions) == 3
    assert all(rank.trapped_air_mm3 == 0 for rank in plan.directions)


def test_what_had_its_drain_holes_plugged_is_a_master():
    plugged = replace(solid(tray()), mendings=(Mending("holes_plugged", count=1),))
    assert plan_fill(plugged, FillRequest()).kind == "cavity"
    assert plan_fill(plugged, FillRequest(taken_as="mould")).kind == "open mould"


def test_a_cast_comes_straight_up_out_of_a_tray():
    plan = plan_fill(solid(tray()), FillRequest())
    assert plan.release.undercut_share == 0
    assert plan.release.pull == approx((0, 0, 1))
    assert plan.best_release is None


def test_a_groove_in_the_wall_of_a_tray_holds_the_cast():
    grooved = carved(box((60, 40, 30), (0, 0, 0)), box((50, 30, 20.5), (5, 5, 10)), box((6, 30, 8), (52, 5, 15)))
    plan = plan_fill(solid(grooved), FillRequest())
    # The groove's roof, 3 × 30; its floor and back are below it and hidden as well, 3 × 30 and 8 × 30, and its ends.
    hidden = 3 * 30 + 3 * 30 + 8 * 30 + 2 * 3 * 8
    whole = 50 * 30 + 2 * (50 + 30) * 20 + 2 * 3 * 30 + 2 * 3 * 8
    assert plan.release.undercut_share == approx(hidden / whole, abs=UNDERCUT_ABS)


def test_how_a_rigid_mould_would_come_off_a_master():
    u = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    plan = plan_fill(solid(u), FillRequest())
    assert plan.release.pull == approx((0, 0, -1))
    assert plan.release.undercut_share == plan.best_release.undercut_share == plan.split.undercut_share == 0


def test_a_bowl_shaped_master_can_be_told_to_be_one():
    plan = plan_fill(solid(tray()), FillRequest(taken_as="cavity"))
    assert plan.kind == "cavity"
    assert plan.held_volume_mm3 == approx(60 * 40 * 30 - 30_000, rel=EXACT_REL)


def test_a_vented_opening_is_heeded():
    u = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    openings = ((5.0, 0.0, 5.0), (35.0, 0.0, 5.0))
    plan = plan_fill(solid(u), FillRequest(up=(0, -1, 0), openings_mm=openings))
    assert plan.trapped_air_mm3 == 0


def halves(*, apart: bool) -> Mesh:
    """Blocks of 60 × 40 × 25 with half a ball of 15 and half a sprue of 3 each; knobs of 4 × 4 × 3 on one, pits in
    the other."""
    cavity = trimesh.boolean.union(
        [
            trimesh.creation.icosphere(subdivisions=4, radius=15),
            trimesh.creation.cylinder(radius=3, height=40, sections=64, transform=_along_y()),
        ],
        engine="manifold",
    )
    keys = [box((4, 4, 6), (x, -14, -3)) for x in (-26, 22)]
    lower = trimesh.boolean.difference([box((60, 40, 25), (-30, -20, -25)), cavity], engine="manifold")
    lower = trimesh.boolean.union([lower, *[box((4, 4, 6), (x, -14, -3)) for x in (-26, 22)]], engine="manifold")
    upper = trimesh.boolean.difference([box((60, 40, 25), (-30, -20, 0)), cavity, *keys], engine="manifold")
    if apart:
        upper.apply_transform(trimesh.transformations.rotation_matrix(np.pi, (1, 0, 0)))
        upper.apply_translation((80, 0, 0))
    return join([shapes.from_trimesh(lower), shapes.from_trimesh(upper)])


def _along_y():
    turn = trimesh.transformations.rotation_matrix(np.pi / 2, (1, 0, 0))
    turn[1, 3] = 20
    return turn


@pytest.mark.parametrize("up", [(0, 1, 0), None])
def test_two_halves_closed_on_each_other_are_filled_through_their_sprue(up):
    plan = plan_fill(solid(halves(apart=False)), FillRequest(up=up))
    assert plan.kind == "mould with a sprue"
    assert plan.up == approx((0, 1, 0))
    assert plan.held_volume_mm3 == approx(half_filled(20), rel=2 * ROUND_REL)


def test_two_halves_side_by_side_hold_what_they_hold_closed():
    plan = plan_fill(solid(halves(apart=True)), FillRequest())
    assert plan.kind == "two halves"
    assert plan.held_volume_mm3 == approx(half_filled(20), rel=2 * ROUND_REL)
    assert "two-halves" in {notice.code for notice in plan.notices}
    assert plan.directions == ()


def test_two_halves_have_no_rim():
    with pytest.raises(RequestError, match="Two halves side by side have no rim"):
        plan_fill(solid(halves(apart=True)), FillRequest(drop_mm=3))


def test_two_plain_bodies_are_no_halves():
    pair = join([shapes.box(20, 20, 20).mesh, shapes.moved(shapes.box(20, 20, 20).mesh, (40, 0, 0))])
    assert plan_fill(solid(pair), FillRequest()).kind == "cavity"


def test_a_level_goes_with_an_open_mould_only():
    with pytest.raises(RequestError, match="filled whole"):
        plan_fill(solid(shapes.ball().mesh), FillRequest(drop_mm=3))


def test_a_pocket_of_nothing_is_refused():
    with pytest.raises(RequestError, match="must be larger than nothing"):
        FillRequest(smallest_pocket_mm3=0)


def test_a_mesh_is_taken_only_as_what_it_can_be():
    with pytest.raises(RequestError, match=r"^The way to take the mesh is 'master'; give auto, mould or cavity\.$"):
        FillRequest(taken_as="master")

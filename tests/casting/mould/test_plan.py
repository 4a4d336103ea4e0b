"""Rubber, boards, coats and jackets against sums that can be done by hand."""

from __future__ import annotations

from math import pi

import pytest
from pytest import approx

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.jacket import JacketRequest
from moldvol.casting.mould.plan import plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.errors import RequestError
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh, join
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.geometry.solid import Solid
from moldvol.materials.shelf import load_shelf
from moldvol.materials.sundries import PlasterPowder
from tests import shapes

pytestmark = pytest.mark.usefixtures("coarse_grids")

RUBBER = load_shelf().resins["tin-silicone"]
DENSITY = RUBBER.cured_density_g_ml
EXACT_REL = 1e-6  # single-precision corners
SKIN_REL = 5e-3  # of a parallel body on a coarse grid
GIRTH_REL = 0.02  # of an outline on one layer of cells


def solid(mesh: Mesh) -> Solid:
    return solid_of(MeshFile("master.stl", "stl", (MeshPart("", mesh),), None, False, ()))


def request(**asked) -> MouldRequest:
    return MouldRequest(mix=MixRequest(resin=RUBBER), **asked)


BOX = solid(shapes.box(60, 40, 20).mesh)


def test_a_closed_block_is_the_box_less_the_master():
    plan = plan_mould(BOX, request(clearance_mm=12))
    assert plan.outside_mm == approx((84, 64, 44))
    assert plan.rubber_volume_mm3 == approx(84 * 64 * 44 - 48_000, rel=EXACT_REL)
    assert plan.rubber_mass_g == approx(plan.rubber_volume_mm3 * DENSITY / 1000)
    assert plan.total_mass_g == approx(plan.rubber_mass_g + plan.needed.allowance_g)
    assert plan.mix.total_mass_g == approx(plan.total_mass_g)
    assert [piece.volume_mm3 for piece in plan.pieces] == approx([plan.rubber_volume_mm3])
    assert "cut-open" in {notice.code for notice in plan.notices}


def test_an_open_face_has_no_rubber_under_the_master():
    plan = plan_mould(BOX, request(clearance_mm=12, open_face=True))
    assert plan.rubber_volume_mm3 == approx(84 * 64 * 32 - 48_000, rel=EXACT_REL)
    assert plan.release.undercut_share == 0
    assert not {"cut-open", "no-flat-base"} & {notice.code for notice in plan.notices}


def test_a_ball_has_no_base_to_stand_on():
    plan = plan_mould(solid(shapes.ball(20).mesh), request(open_face=True))
    assert "no-flat-base" in {notice.code for notice in plan.notices}


def test_two_halves_meet_at_the_equator_and_share_the_keys():
    plan = plan_mould(solid(shapes.ball(20).mesh), request(clearance_mm=12, parts=2))
    assert plan.keys.radius_mm == approx(4)
    assert plan.keys.volume_mm3 == approx(4 * 2 / 3 * pi * 64)
    first, second = plan.pieces
    assert first.volume_mm3 + second.volume_mm3 == approx(plan.rubber_volume_mm3)
    # The parting lies within a few tenths of the middle, on 64 × 64 less the ball's own section.
    assert second.volume_mm3 - first.volume_mm3 == approx(2 * plan.keys.volume_mm3, abs=2 * 0.4 * 64 * 64)
    assert plan.split.undercut_share == approx(0, abs=0.02)


@pytest.mark.parametrize(("radius", "count"), [(60.0, 4), (15.0, 40)])
def test_keys_that_do_not_fit_are_refused_as_keys(radius, count):
    with pytest.raises(RequestError, match=r"keys of \d+ mm radius do not fit the block, whose first half is"):
        plan_mould(BOX, request(clearance_mm=12, parts=2, key_radius_mm=radius, keys=count))


def test_a_tilted_master_is_told_of_the_smaller_box():
    tilted = solid(shapes.turned(shapes.box(60, 40, 20).mesh, 2))
    filed = plan_mould(tilted, request(clearance_mm=12))
    (notice,) = [notice for notice in filed.notices if notice.code == "smaller-box"]
    assert "64 × 84 × 44 mm" in notice.message or "84 × 64 × 44 mm" in notice.message
    best = plan_mould(tilted, request(clearance_mm=12, stand="smallest"))
    assert best.rubber_volume_mm3 == approx(84 * 64 * 44 - 48_000, rel=1e-5)
    assert best.best_release.undercut_share == 0


def test_up_turns_the_master():
    plan = plan_mould(BOX, request(clearance_mm=10, open_face=True, up=(1, 0, 0)))
    assert sorted(plan.part_mm[:2]) == approx([20, 40])
    assert plan.part_mm[2] == approx(60)


def test_sealed_rooms_of_the_master_hold_no_rubber():
    hollow = solid(join([shapes.box(60, 40, 20).mesh, shapes.box(30, 20, 10).mesh.flipped()]))
    assert plan_mould(hollow, request()).rubber_volume_mm3 == approx(plan_mould(BOX, request()).rubber_volume_mm3)


def test_degassing_wants_a_container_that_holds_the_froth():
    assert plan_mould(BOX, request(vacuum_pa=None)).degassing is None
    plan = plan_mould(BOX, request())
    assert 4 * plan.mix.total_volume_ml < plan.degassing.container_ml < 7 * plan.mix.total_volume_ml


# ---- skins ----

BARE = {"flange_mm": 0, "keys": 0, "jacket": JacketRequest(kind="none")}


def board_skin(t: float) -> float:
    """60 × 40 × 20 on a board under a skin t thick: five faces, quarter rounds and the upper corners."""
    return t * (2400 + 2 * 20 * 100) + pi * t**2 / 4 * 200 + pi * t**2 * 20 + 2 / 3 * pi * t**3


def board_area(t: float) -> float:
    return 2400 + 2 * 20 * 100 + pi * t / 2 * 200 + 2 * pi * t * 20 + 2 * pi * t**2


def test_a_glove_on_a_board():
    plan = plan_mould(BOX, request(style="glove", thickness_mm=8, **BARE))
    assert plan.rubber_volume_mm3 == approx(board_skin(8), rel=SKIN_REL)
    assert abs(plan.rubber_volume_mm3 - board_skin(8)) <= plan.rubber_volume_error_mm3
    assert plan.outside_mm == approx((76, 56, 28))
    assert plan.degassing is None


def test_a_glove_all_round():
    plan = plan_mould(
        BOX, request(style="glove", thickness_mm=8, open_face=False, flange_mm=20, keys=0, jacket=BARE["jacket"])
    )
    assert plan.flange is None  # no board, no rim on it
    exact = 8800 * 8 + 120 * pi * 64 + 4 / 3 * pi * 512
    assert plan.rubber_volume_mm3 == approx(exact, rel=SKIN_REL)


def test_coats_add_up_and_only_the_first_is_thin():
    plan = plan_mould(BOX, request(style="glove", thickness_mm=8, **BARE))
    assert [coat.skin_mm for coat in plan.coats] == approx([1, 10 / 3, 17 / 3, 8])
    assert [coat.thickened for coat in plan.coats] == [False, True, True, True]
    assert sum(coat.volume_mm3 for coat in plan.coats) == approx(plan.rubber_volume_mm3)
    assert plan.coats[1].volume_mm3 < plan.coats[2].volume_mm3 < plan.coats[3].volume_mm3
    thickened = sum(coat.volume_mm3 for coat in plan.coats[1:]) * DENSITY / 1000
    assert plan.thickener_g == approx(0.02 * thickened * plan.total_mass_g / plan.rubber_mass_g)


def test_coats_are_mixed_one_by_one_and_the_last_makes_the_keys():
    plan = plan_mould(BOX, request(style="glove", thickness_mm=8, flange_mm=0, keys=4, key_radius_mm=5, coats=3))
    assert [pour.name for pour in plan.pours] == ["coat 1", "coat 2", "coat 3"]
    assert [pour.skin_mm for pour in plan.pours] == approx([1, 4.5, 8])
    assert sum(pour.mix.total_mass_g for pour in plan.pours) == approx(plan.total_mass_g)
    assert plan.pours[-1].volume_mm3 - plan.coats[-1].volume_mm3 == approx(4 * 2 / 3 * pi * 125)
    assert [pour.thickener_g for pour in plan.pours] == approx(
        [0, 0.02 * plan.pours[1].mix.total_mass_g, 0.02 * plan.pours[2].mix.total_mass_g]
    )
    assert "coat-slides" in {notice.code for notice in plan.notices}


def test_two_halves_are_two_mixes():
    plan = plan_mould(BOX, request(parts=2))
    assert [pour.name for pour in plan.pours] == ["first half", "second half"]
    assert [pour.volume_mm3 for pour in plan.pours] == [piece.volume_mm3 for piece in plan.pieces]
    assert sum(pour.mix.total_mass_g for pour in plan.pours) == approx(plan.total_mass_g)


def test_a_hard_resin_is_not_taken_for_rubber_without_a_word():
    hard = MouldRequest(mix=MixRequest(resin=load_shelf().resins["fast-urethane"]))
    assert "not-a-rubber" in {notice.code for notice in plan_mould(BOX, hard).notices}
    assert "not-a-rubber" not in {notice.code for notice in plan_mould(BOX, request()).notices}


def test_cautions_follow_what_is_used_and_end_with_the_data_sheet():
    glove, block = plan_mould(BOX, request(style="glove")), plan_mould(BOX, request())
    assert any("fumed silica" in text.casefold() for text in glove.cautions)
    assert any("plaster" in text for text in glove.cautions)
    assert any("vacuum" in text for text in block.cautions)
    assert glove.cautions[-1] == block.cautions[-1] == block.mix.cautions[-1]


def test_the_rim_goes_round_the_foot_of_the_glove():
    plan = plan_mould(BOX, request(style="glove", thickness_mm=8, flange_mm=15, keys=0, jacket=BARE["jacket"]))
    girth = 200 + 2 * pi * 8
    assert plan.flange.area_mm2 == approx(girth * 15 + pi * 15**2, rel=GIRTH_REL)
    assert plan.flange.volume_mm3 == approx(plan.flange.area_mm2 * 8)
    assert sum(coat.volume_mm3 for coat in plan.coats) == approx(plan.rubber_volume_mm3)
    assert plan.outside_mm == approx((106, 86, 28))


def test_a_plaster_jacket_is_the_next_parallel_body():
    jacket = JacketRequest(kind="plaster", thickness_mm=15, consistency=70)
    plan = plan_mould(BOX, request(style="glove", thickness_mm=8, jacket=jacket, flange_mm=0, keys=0))
    assert plan.jacket.plaster.slurry_volume_mm3 == approx(board_skin(23) - board_skin(8), rel=SKIN_REL)
    assert plan.jacket.area_mm2 == approx(board_area(8), rel=SKIN_REL)
    assert plan.jacket.mass_g == approx(plan.jacket.plaster.plaster_g * 1.7)


def test_plaster_with_a_price_counts_in_the_cost():
    powder = PlasterPowder(
        key="own", name="own", consistency=60, consistency_low=55, consistency_high=65, powder_density_g_ml=2.65,
        price_per_kg=2.0,
    )  # fmt: skip
    plan = plan_mould(BOX, request(style="glove", jacket=JacketRequest(powder=powder)))
    assert plan.jacket.plaster.consistency == 60
    assert plan.jacket.cost == approx(plan.jacket.plaster.plaster_g * 2 / 1000)
    assert plan.cost == approx(plan.mix.cost + plan.jacket.cost)


def test_a_laminated_jacket_goes_by_area_and_offcuts():
    jacket = JacketRequest(kind="laminate", mats_g_m2=(450.0, 450.0), offcuts=0.2)
    plan = plan_mould(BOX, request(style="glove", thickness_mm=8, jacket=jacket, flange_mm=0, keys=0))
    assert plan.jacket.laminate.mat_g == approx(900e-6 * 1.2 * board_area(8), rel=SKIN_REL)


def test_poured_over_is_the_gap_in_one_pour_with_keys():
    plan = plan_mould(BOX, request(style="poured-over", thickness_mm=8, flange_mm=0, keys=3, key_radius_mm=5))
    assert plan.coats == ()
    assert plan.rubber_volume_mm3 == approx(board_skin(8) + 3 * 2 / 3 * pi * 125, rel=SKIN_REL)
    assert plan.degassing is not None

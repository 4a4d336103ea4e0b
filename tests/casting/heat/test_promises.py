"""A remedy that is promised must keep its promise when it is asked for itself, and likes must come out alike."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytest import approx

from moldvol.casting.heat.band import Pours, band_of
from moldvol.casting.heat.cells import Layer
from moldvol.casting.heat.cup import calibrate, cup_test_of
from moldvol.casting.heat.depth import PartDepth
from moldvol.casting.heat.grids import Grids
from moldvol.casting.heat.layers import SLAB, SPHERE, layered
from moldvol.casting.heat.part import Mould
from moldvol.casting.heat.plan import HeatPlan, peak_band, plan_heat
from moldvol.casting.heat.pour import follow, in_section, on_grid
from moldvol.casting.heat.remedies import COOLER_K, HOLLOW_WALL_MM
from moldvol.materials.chemistry.thermal import MOULD_MATERIALS
from moldvol.materials.shelf import load_shelf
from tests.depths import ball_depth, box_depth, waisted_depth

ROOM_C, CELLS = 22.0, 500
MOULD = Mould(substance=MOULD_MATERIALS["silicone"], thickness_mm=12, start_c=ROOM_C)
PARTS = {"box": box_depth((34.0, 30.0, 26.0), points=20_000), "waisted": waisted_depth(15.0, 22.0, points=20_000)}
RESINS = ("fast-urethane", "slow-urethane", "casting-polyester", "casting-epoxy")
ASKED = [(PARTS[part], resin) for part, resin in zip(("box", "waisted") * 2, RESINS, strict=True)]  # half of all pairs
# Slower ones behind faster ones: four rigid urethanes that differ in pot life and a little in density.
URETHANES = ("fast-urethane", "clear-urethane", "tough-urethane", "slow-urethane")
SHELL_K = 2.5  # a shell on cubes of a third to a half of its wall against the same along its radius


def planned(part: PartDepth, resin: str, limit_c: float = 120.0, wall_mm: float | None = None) -> HeatPlan:
    test = cup_test_of(load_shelf().resin(resin))
    return plan_heat(part, test, MOULD, room_c=ROOM_C, wall_mm=wall_mm, section_limit_c=limit_c, resin_cells=CELLS)


@pytest.mark.parametrize(("part", "resin"), ASKED, ids=RESINS)
def test_hollow_is_told_as_it_would_be_asked_for(part: PartDepth, resin: str) -> None:
    family = calibrate(cup_test_of(load_shelf().resin(resin)))
    hollow = peak_band(part, family, MOULD, room_c=ROOM_C, wall_mm=HOLLOW_WALL_MM, resin_cells=CELLS)
    # a limit that the hollow cast just keeps to
    told = {remedy.code: remedy for remedy in planned(part, resin, hollow.high_c + 0.5).remedies}
    assert told["hollow"].peak_c == approx(hollow.usual_c, abs=0.01)
    assert told["hollow"].peak_high_c == approx(hollow.high_c, abs=0.01)


@pytest.mark.parametrize(("part", "resin"), ASKED, ids=RESINS)
def test_a_cooler_room_that_just_breaks_the_limit_is_not_promised(part: PartDepth, resin: str) -> None:
    cool_c = ROOM_C + COOLER_K
    family = calibrate(cup_test_of(load_shelf().resin(resin)))
    cooler = peak_band(part, family, replace(MOULD, start_c=cool_c), room_c=cool_c, resin_cells=CELLS)
    limit = cooler.high_c - 0.5
    told = {remedy.code: remedy for remedy in planned(part, resin, limit).remedies}
    high = told["cooler"].peak_high_c
    assert high is None or high > limit


@pytest.mark.parametrize("part", PARTS.values(), ids=PARTS)
@pytest.mark.parametrize("resin", ("clear-urethane", "casting-polyester"))
def test_coats_are_told_as_a_wall_of_one_of_them(part: PartDepth, resin: str) -> None:
    family = calibrate(cup_test_of(load_shelf().resin(resin)))
    one = peak_band(part, family, MOULD, room_c=ROOM_C, wall_mm=2.0, resin_cells=CELLS)
    told = {remedy.code: remedy for remedy in planned(part, resin, wall_mm=4.0).remedies}
    assert told["coats-2"].peak_c == approx(one.usual_c, abs=0.01)
    assert told["coats-2"].peak_high_c == approx(one.high_c, abs=0.01)


def test_a_groove_makes_a_wall_hotter_than_a_flat_one() -> None:
    # what a flat section, by which remedies were once reckoned, cannot see
    pours = Pours.of(calibrate(cup_test_of(load_shelf().resin("clear-urethane"))), MOULD, ROOM_C, ROOM_C)
    grids = Grids.of(PARTS["waisted"], MOULD.thickness_mm, 4.0, 6000)
    assert on_grid(grids.fine, pours.usual, wall_mm=4.0)[1].peak_c > in_section(SLAB, 4.0, pours.usual).peak_c + 3


@pytest.mark.parametrize("wall_mm", [1.5, 4.0])
def test_a_shell_on_cubes_is_the_shell_along_its_radius(wall_mm: float) -> None:
    usual = Pours.of(calibrate(cup_test_of(load_shelf().resin("clear-urethane"))), MOULD, ROOM_C, ROOM_C).usual
    layers = [
        Layer.of_resin(usual.resin, wall_mm, 30, ROOM_C),
        Layer(substance=MOULD.substance, thickness_mm=MOULD.thickness_mm, cells=40, start_c=ROOM_C),
    ]
    exact = follow(layered(SPHERE, layers, outside=usual.room, inner_radius_mm=20.0 - wall_mm), usual).peak_c
    grid = Grids.of(ball_depth(20.0, points=30_000), MOULD.thickness_mm, wall_mm, 16_000).fine
    assert on_grid(grid, usual, wall_mm=wall_mm)[1].peak_c == approx(exact, abs=SHELL_K)


def test_a_part_that_comes_out_solid_is_not_told_to_be_cast_hollow() -> None:
    told = planned(box_depth((30.0, 30.0, 7.0), points=20_000), "fast-urethane").remedies
    assert "hollow" not in [remedy.code for remedy in told]


def test_a_coat_of_paint_is_no_remedy() -> None:
    told = planned(PARTS["box"], "fast-urethane", wall_mm=0.9).remedies
    assert "coats-2" not in [remedy.code for remedy in told]


def test_lifts_are_never_promised() -> None:
    told = planned(PARTS["box"], "slow-urethane", limit_c=200.0).remedies
    assert {remedy.peak_high_c for remedy in told if remedy.code.startswith("lifts")} == {None}


@pytest.mark.parametrize(("part", "wall_mm"), [(PARTS["box"], None), (PARTS["waisted"], 4.0)], ids=PARTS)
def test_of_like_resins_the_slower_is_not_the_hotter(part: PartDepth, wall_mm: float | None) -> None:
    shelf = load_shelf()
    lives = [shelf.resin(key).pot_life_s for key in URETHANES]
    assert lives == sorted(lives)
    bands = [
        peak_band(
            part, calibrate(cup_test_of(shelf.resin(key))), MOULD, room_c=ROOM_C, wall_mm=wall_mm, resin_cells=CELLS
        )
        for key in URETHANES
    ]
    for ends in ([band.usual_c for band in bands], [band.high_c for band in bands]):
        assert ends == sorted(ends, reverse=True)


def test_the_rows_of_thickness_are_those_of_the_hottest_resin() -> None:
    plan = planned(PARTS["box"], "slow-urethane")
    for one in plan.sections:
        assert one.across_mm is not None and one.usual_across_mm is not None
        assert one.across_mm < one.usual_across_mm


@pytest.mark.parametrize("resin", RESINS)
def test_any_thickness_means_that_no_part_passes(resin: str) -> None:
    family = calibrate(cup_test_of(load_shelf().resin(resin)))
    ceiling = Pours.of(family, MOULD, ROOM_C, ROOM_C).ceiling_c
    for limit, any_thickness in ((ceiling + 1, True), (ceiling - 40, False)):
        plan = planned(PARTS["box"], resin, limit)
        assert all((one.across_mm is None) is any_thickness for one in plan.sections)
        assert plan.peak.high_c <= ceiling


def test_the_band_reaches_the_ceiling_of_the_end_with_more_heat() -> None:
    # a stated peak leaves the end that cooled more in the cup with more heat: in a large part it is the hotter one
    pours = Pours.of(calibrate(cup_test_of(load_shelf().resin("casting-polyester"))), MOULD, ROOM_C, ROOM_C)
    assert pours.ceiling_c == pours.cooler.adiabatic_c > pours.hotter.adiabatic_c
    large = band_of(165.0, (165.0, 180.0, 170.0), pours)
    assert large.high_c == approx(180.0)

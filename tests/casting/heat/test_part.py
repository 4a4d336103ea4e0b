"""A part on a grid against the same shape along one radius, against itself turned, and its own measures."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from pytest import approx

from moldvol.casting.heat.cells import W_PER_MM2_K, Film
from moldvol.casting.heat.depth import PartDepth, regrid
from moldvol.casting.heat.layers import SPHERE
from moldvol.casting.heat.part import Lift, Mould, part_cells
from moldvol.casting.heat.pour import Pour, in_part, in_section, on_grid
from moldvol.errors import RequestError
from moldvol.materials.chemistry.kinetics import CURE_CLASSES
from moldvol.materials.chemistry.thermal import MOULD_MATERIALS, RESIN_CLASSES
from tests.depths import ball_depth, box_depth

MOULD = Mould(substance=MOULD_MATERIALS["silicone"], thickness_mm=10, start_c=22)
ROOM = Film(air_c=22)
POUR = Pour(
    resin=RESIN_CLASSES["polyurethane"], law=CURE_CLASSES["polyurethane"].law.scaled(1e-3), mould=MOULD, room=ROOM,
    start_c=22,
)  # fmt: skip
RADIUS_MM = 20.0
VOLUME_REL = 4e-3  # of a ball at 10 cubes to the radius; quarters when they are halved
AREA_REL = (
    0.04  # of a staircase put right by its slope: measured 3 % under at 15 cubes to the radius, so on the hot side
)


@pytest.fixture(scope="module")
def ball():
    return regrid(ball_depth(RADIUS_MM), 2.0, MOULD.thickness_mm)


def cells_of(grid, **options):
    return part_cells(grid, POUR.resin, MOULD, ROOM, start_c=22, **options)


def test_heat_and_capacity_are_those_of_the_ball(ball):
    cells = cells_of(ball).cells
    volume = 4 / 3 * pi * RADIUS_MM**3
    whole = 4 / 3 * pi * (RADIUS_MM + 10) ** 3
    resin, rubber = POUR.resin.substance, MOULD.substance
    assert cells.heat_j.sum() == approx(volume * 1.1e-3 * 280, rel=VOLUME_REL)
    exact = volume * resin.capacity_j_mm3k + (whole - volume) * rubber.capacity_j_mm3k
    assert cells.capacity_j_k.sum() == approx(exact, rel=1e-2)  # the outside is a staircase


def test_film_has_the_area_of_the_ball_not_of_its_staircase(ball):
    # without the resistance of half a cell: a mould that leads heat at once
    metal = replace(MOULD, substance=replace(MOULD.substance, conductivity_w_mk=1e6))
    film = part_cells(ball, POUR.resin, metal, ROOM, start_c=22).cells.film_w_k
    area = film.sum() / (ROOM.coefficient_w_m2k * W_PER_MM2_K)
    assert area == approx(4 * pi * 30**2, rel=AREA_REL)


def test_exchange_is_symmetric_and_sums_to_zero(ball):
    matrix = cells_of(ball).cells.exchange_w_k
    assert abs(matrix - matrix.T).max() == 0
    assert np.abs(matrix.sum(axis=1)).max() < 1e-12


def test_ball_on_a_grid_is_the_ball_along_its_radius():
    _, course = in_part(ball_depth(RADIUS_MM), POUR, 1.25)
    exact = in_section(SPHERE, RADIUS_MM, POUR, cells=80)
    assert course.peak_c == approx(exact.peak_c, abs=1.0)
    assert course.core_gel_s == approx(exact.core_gel_s, rel=2e-3)
    assert course.skin_gel_s == approx(exact.skin_gel_s, rel=0.1)
    # the hottest of many faces of a staircase: on the hot side, measured +2 K
    assert -0.5 < course.face_peak_c - exact.face_peak_c < 3.5
    assert course.balance_error < 1e-9


def test_turning_a_box_changes_little():
    size = (30.0, 24.0, 18.0)
    straight = in_part(box_depth(size), POUR, 1.5)[1]
    for seed in (1, 2):
        turned = in_part(box_depth(size, turn=seed), POUR, 1.5)[1]
        assert turned.peak_c == approx(straight.peak_c, abs=1.5)
        assert turned.face_peak_c == approx(straight.face_peak_c, abs=3.0)
        assert turned.core_gel_s == approx(straight.core_gel_s, rel=5e-3)
        assert turned.released_j == approx(straight.released_j, rel=1e-2)


def test_halving_the_cubes_draws_closer_to_the_fine_answer():
    part = box_depth((20.0, 16.0, 12.0))
    peaks = [in_part(part, POUR, spacing)[1].peak_c for spacing in (3.0, 1.5, 1.0)]
    assert abs(peaks[1] - peaks[2]) < abs(peaks[0] - peaks[2])
    assert peaks[1] == approx(peaks[2], abs=1.0)


def test_depths_need_reach_only_one_step_outside():
    known, bare = box_depth((20, 20, 20)), box_depth((20, 20, 20), reach_mm=1.0)
    full = regrid(known, 2.0, 10.0).depth_mm
    rebuilt = regrid(bare, 2.0, 10.0).depth_mm
    near = full > -11
    # distances to the nearest crossing of a grid line of 0.5 mm
    assert np.abs(rebuilt - full)[near].max() < 0.15


def test_place_is_in_the_frame_of_the_part():
    part = box_depth((20.0, 16.0, 12.0))
    moved = PartDepth((part.origin_mm[0] + 100, part.origin_mm[1], part.origin_mm[2]), part.spacing_mm, part.depth_mm)
    placed, course = in_part(moved, POUR, 2.0)
    assert placed.place_mm(course.peak_cell) == approx((100, 0, 0), abs=1.5)


def test_a_thin_wall_is_cooler_than_the_solid(ball):
    shell, hollow = on_grid(ball, POUR, wall_mm=4.0)
    solid, filled = on_grid(ball, POUR)
    assert hollow.peak_c < filled.peak_c - 10
    # the ball's outer 4 mm
    share = 1 - (16 / 20) ** 3
    assert shell.cells.heat_j.sum() / solid.cells.heat_j.sum() == approx(share, rel=VOLUME_REL)


def test_a_lift_holds_only_its_layers_and_is_cooler(ball):
    levels = np.flatnonzero((ball.depth_mm > 0).any(axis=(0, 1)))
    middle = int(levels[0] + levels[-1] + 1) // 2
    lower = on_grid(ball, POUR, lift=Lift(0, middle))
    upper = on_grid(ball, POUR, lift=Lift(middle, ball.depth_mm.shape[2]))
    whole = on_grid(ball, POUR)[1]
    assert lower[1].released_j + upper[1].released_j == approx(whole.released_j, rel=0.03)
    assert max(lower[1].peak_c, upper[1].peak_c) < whole.peak_c


def test_no_point_inside_is_refused():
    empty = PartDepth((0, 0, 0), 1.0, np.full((4, 4, 4), -1.0))
    with pytest.raises(RequestError, match="No grid point lies inside"):
        regrid(empty, 1.0, 5.0)

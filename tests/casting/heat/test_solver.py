"""Conservation, limits and monotony of the coupled solver, beside the outside checks in tests/verification."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from moldvol.casting.heat.band import Pours
from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.conduction import Conductor
from moldvol.casting.heat.layers import SLAB, SPHERE
from moldvol.casting.heat.part import Mould
from moldvol.casting.heat.pour import Pour, in_section
from moldvol.casting.heat.runs import HeatBalanceError, check_balance
from moldvol.casting.heat.sections import largest_sections
from moldvol.errors import RequestError
from moldvol.materials.chemistry.kinetics import CURE_CLASSES, Kinetics
from moldvol.materials.chemistry.thermal import MOULD_MATERIALS, RESIN_CLASSES

MOULD = Mould(substance=MOULD_MATERIALS["silicone"], thickness_mm=10, start_c=22)
POURS = {
    kind: Pour(
        resin=RESIN_CLASSES[kind], law=CURE_CLASSES[kind].law.scaled(rate), mould=MOULD, room=Film(air_c=22), start_c=22
    )
    for kind, rate in (("polyurethane", 1e-3), ("polyester", 7e-4), ("epoxy", 2e-4))
}
FRONT_K = 3.0  # a cure front on coarse cells may pass full heat by this


@pytest.mark.parametrize("kind", POURS)
@pytest.mark.parametrize("half_mm", [1.0, 6.0, 30.0])
def test_heat_balances_and_stays_within_its_bounds(kind, half_mm):
    pour = POURS[kind]
    course = in_section(SLAB, half_mm, pour, cells=10)
    assert course.balance_error < 1e-9
    assert pour.floor_c <= course.peak_c <= pour.adiabatic_c + FRONT_K
    assert np.all(np.diff(course.mean_conversion) >= 0)
    assert course.mean_conversion[-1] <= 1
    assert np.isfinite(course.gel_s).all()


def test_loss_agrees_with_the_film_integrated_over_time():
    # the solver carries the loss as an unknown of its own; here it is integrated from the surface's history
    pour = replace(POURS["polyurethane"], mould=replace(MOULD, thickness_mm=0.0))
    course = in_section(SPHERE, 15.0, pour, cells=40)
    film_w_k = course.lost_j / np.trapezoid(course.face_c - 22, course.time_s)
    area_mm2 = 4 * np.pi * 15.0**2
    assert film_w_k == approx(area_mm2 * 10 * 1e-6, rel=0.01)


def test_long_steps_of_conduction_are_stable_and_damped():
    # a checkerboard is the fastest mode there is; about half of it is left after a step, whatever its length
    conductor = Conductor.of(_layered_slab())
    state = np.append(np.where(np.arange(len(conductor.source) - 1) % 2, 100.0, 0.0), 0.0)
    for roughest in (70, 50, 35):
        state = conductor.after(state, 200 * conductor.explicit_limit_s)
        assert state[:-1].min() >= -1e-9
        assert state[:-1].max() <= 100 + 1e-9
        assert np.abs(np.diff(state[:-1])).max() < roughest


def alike(pour):
    """A class without spread."""
    return Pours(pour, pour, pour)


def _layered_slab():
    from moldvol.casting.heat.cells import Layer
    from moldvol.casting.heat.layers import layered

    resin = Layer.of_resin(RESIN_CLASSES["epoxy"], 10, 30, 22)
    return layered(SLAB, [resin], outside=Film(air_c=22))


def test_thicker_is_hotter_and_the_largest_section_is_on_the_limit():
    pour = POURS["polyester"]
    plate, rod, ball = largest_sections(alike(pour), 100.0)
    assert plate.across_mm < rod.across_mm < ball.across_mm
    at_limit = in_section(SLAB, plate.across_mm / 2, pour).peak_c
    assert 94 < at_limit <= 101
    assert in_section(SLAB, plate.across_mm * 0.6, pour).peak_c > 100


def test_a_coat_thin_as_paint_is_followed_in_few_steps():
    # cells ever thinner would take hours; it stays as cool as the mould it lies on
    course = in_section(SLAB, 0.25, POURS["polyurethane"], cells=100)
    assert len(course.time_s) < 2000
    assert course.peak_c < POURS["polyurethane"].floor_c + 5


def test_a_limit_nothing_reaches_needs_no_section():
    pour = POURS["polyurethane"]
    assert [section.across_mm for section in largest_sections(alike(pour), pour.adiabatic_c + 1)] == [None] * 3


def test_a_limit_the_room_passes_leaves_no_section():
    assert {section.across_mm for section in largest_sections(alike(POURS["polyurethane"]), 21.0)} == {0.0}


def test_an_unbalanced_run_is_withheld():
    course = in_section(SLAB, 2.0, POURS["polyurethane"], cells=6)
    with pytest.raises(HeatBalanceError, match=r"off by .*%"):
        check_balance(replace(course, lost_j=course.lost_j + 0.05 * course.released_j))


@pytest.mark.parametrize("room_c", [-40.0, 500.0])
def test_a_room_beyond_reason_is_refused(room_c):
    with pytest.raises(RequestError, match="room"):
        replace(POURS["epoxy"], room=Film(air_c=room_c))


def test_a_mould_beyond_reason_is_refused():
    with pytest.raises(RequestError, match="mould -1 mm"):
        replace(POURS["epoxy"], mould=replace(MOULD, thickness_mm=-1.0))


def test_a_law_that_never_starts_is_refused():
    with pytest.raises(RequestError, match="never starts"):
        Kinetics(k1_per_s=0.0, k2_per_s=1.0).time_to_s(0.5, start_c=20)

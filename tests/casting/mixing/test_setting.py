"""One question, one answer: pot life and gel time of a resin whose catalyst hurries it, wherever they are told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from moldvol.casting.hollow import HollowRequest, plan_hollow
from moldvol.casting.hollow_part import HollowPart, field_of
from moldvol.casting.mixing.mix import haste_of, plan_mix
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mixing.setting import gel_time_s
from moldvol.casting.vessel import VesselRequest, plan_vessel
from moldvol.geometry.judging import solid_of
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.materials.shelf import load_shelf
from tests.shapes import box

COLD_C = 17.0  # below 20 °C polyester takes another per cent of catalyst


@pytest.fixture
def polyester() -> MixRequest:
    return MixRequest(resin=load_shelf().resin("casting-polyester"), bench_c=COLD_C)


def test_the_catalyst_counts_in_the_vessel_as_in_the_cup(polyester: MixRequest) -> None:
    density = polyester.resin.cured_density_g_ml
    cup = plan_mix(polyester.resin, mass_g=500 * density, bench_c=COLD_C)
    assert cup.catalyst is not None and cup.catalyst.haste == haste_of(polyester) == 2
    asked = VesselRequest(resin=polyester.resin, bench_c=COLD_C, liquid_ml=500, absolute_pa=3000)
    time = plan_vessel(asked).time
    assert time is not None and time.pot_life_s == pytest.approx(cup.one_cup_life_s, rel=1e-3)


def test_the_catalyst_counts_in_a_coat(polyester: MixRequest) -> None:
    slow = replace(polyester, catalyst_percent=1.0)
    assert gel_time_s(polyester) == pytest.approx(gel_time_s(slow) / 2)


def test_a_coat_is_turned_until_it_has_gelled(polyester: MixRequest) -> None:
    solid = solid_of(MeshFile("part.stl", "stl", (MeshPart("", box(60, 40, 20).mesh),), None, False, ()))
    part = HollowPart.of(solid, field_of(solid, interior_points=15_000), None)
    plan = plan_hollow(part, HollowRequest(mix=polyester, wall_mm=3))
    assert plan.coats[0].turn_until_s == pytest.approx(gel_time_s(polyester))


def test_without_a_gel_time_on_the_shelf_it_is_one_and_a_half_pot_lives() -> None:
    resin = replace(load_shelf().resin("slow-urethane"), gel_time_s=None)
    assert gel_time_s(MixRequest(resin=resin)) == pytest.approx(1.5 * resin.pot_life_s)


def test_a_resin_without_catalyst_has_no_haste() -> None:
    assert haste_of(MixRequest(resin=load_shelf().resin("fast-urethane"), bench_c=10)) == 1

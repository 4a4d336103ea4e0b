"""A hollow cast against the exact inner parallel bodies, and the promises a coat plan makes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import pi

import numpy as np
import pytest

from moldvol.casting.compare import plan_compare
from moldvol.casting.hollow import HollowRequest, coat_levels, plan_hollow, shell_curve_of, with_backfill
from moldvol.casting.hollow_part import HollowPart, field_of
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mixing.setting import gel_time_s
from moldvol.errors import RequestError
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.scales import Scale
from tests.shapes import ball, box, lathe, moved, together

SHELF = load_shelf()
MIX = MixRequest(resin=SHELF.resin("slow-urethane"))
DENSITY = SHELF.resin("slow-urethane").cured_density_g_ml


def part_of(mesh: Mesh, opening: object = None, points: int = 60_000) -> HollowPart:
    solid = solid_of(MeshFile("part.stl", "stl", (MeshPart("", mesh),), None, False, ()))
    return HollowPart.of(solid, field_of(solid, interior_points=points), opening)  # type: ignore[arg-type]


@cache
def block() -> HollowPart:
    return part_of(box(60, 40, 20).mesh)


@cache
def dumbbell() -> HollowPart:
    """Two balls of radius 15 joined by a round bar of radius 3, standing upright; resin enters at the lower ball."""
    angle = np.linspace(0, np.pi, 40)
    low = [(15 * np.sin(a), -15 * np.cos(a)) for a in angle if not (15 * np.sin(a) < 3 and a > np.pi / 2)]
    low.append((3.0, np.sqrt(15**2 - 3**2)))
    high = [(r, 50 - z) for r, z in reversed(low)]
    return part_of(lathe([*low, *high], sections=64), "bottom")


@cache
def stopper() -> HollowPart:
    """A ball of radius 15 on a round bar of radius 3 that ends in a ball of radius 5; resin enters at the small one."""
    angle = np.linspace(0, np.pi, 60)
    low = [(5 * np.sin(a), -5 * np.cos(a)) for a in angle if not (5 * np.sin(a) < 3 and a > np.pi / 2)]
    high = [(15 * np.sin(a), 35 - 15 * np.cos(a)) for a in angle if not (15 * np.sin(a) < 3 and a < np.pi / 2)]
    return part_of(lathe([*low, *high], sections=64), "bottom")


def codes(notices: object) -> set[str]:
    return {notice.code for notice in notices}  # type: ignore[attr-defined]


def test_a_box_with_a_wall_of_three_weighs_what_geometry_says() -> None:
    plan = plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3))
    exact = 60 * 40 * 20 - 54 * 34 * 14
    assert abs(plan.shell.volume_mm3 - exact) <= plan.shell.error_mm3
    assert plan.shell_mass_g == pytest.approx(exact / 1000 * DENSITY, rel=2e-3)
    assert plan.solid_mass_g == pytest.approx(48 * DENSITY)
    assert plan.core_volume_mm3 == pytest.approx(54 * 34 * 14, rel=2e-3)


def test_coats_add_up_to_the_shell_and_only_add() -> None:
    plan = plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=4, coats=4))
    assert [coat.wall_mm for coat in plan.coats] == pytest.approx([1, 2, 3, 4])
    assert sum(coat.mass_g for coat in plan.coats) == pytest.approx(plan.shell_mass_g, rel=1e-9)
    # A convex body has less surface the deeper it is, so each coat takes less than the one before.
    masses = [coat.mass_g for coat in plan.coats]
    assert masses == sorted(masses, reverse=True)
    starts = [coat.start_s for coat in plan.coats]
    assert starts == [pytest.approx(number * gel_time_s(MIX)) for number in range(4)]


def test_the_run_is_mixed_with_its_allowance() -> None:
    plan = plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3, copies=5, allowance=0.08))
    assert plan.mix.total_mass_g == pytest.approx(plan.shell_mass_g * 5 * 1.08, rel=1e-9)


@pytest.mark.parametrize(
    ("asked", "walls"),
    [
        ({"coats": 2}, [2, 4]),
        ({"coat_mm": 1.5}, [1.5, 3, 4]),
        ({}, [2, 4]),
    ],
)
def test_how_a_wall_is_split(asked: dict[str, float], walls: list[float]) -> None:
    assert coat_levels(HollowRequest(mix=MIX, wall_mm=4, **asked)) == pytest.approx(walls)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "asked",
    [
        {"coats": 0},
        {"coats": 51},
        {"coats": 2.5},
        {"coat_mm": 0.001},
        {"coat_mm": 0.0},
        {"coat_mm": float("nan")},
        {"coats": 2, "coat_mm": 1.0},
    ],
)
def test_coats_that_make_no_sense_are_refused(asked: dict[str, float]) -> None:
    with pytest.raises(RequestError, match=r"coat"):
        coat_levels(HollowRequest(mix=MIX, wall_mm=4, **asked))  # type: ignore[arg-type]


@pytest.mark.parametrize("asked", [{"copies": 0}, {"copies": 1.5}, {"mixing_s": -1.0}, {"pouring_s": float("nan")}])
def test_runs_that_make_no_sense_are_refused(asked: dict[str, float]) -> None:
    with pytest.raises(RequestError, match=r"^The (number of copies|time to (mix|pour) in s) is .*; give "):
        HollowRequest(mix=MIX, wall_mm=4, **asked)  # type: ignore[arg-type]


@pytest.mark.parametrize("wall", [0.0, -1.0, float("nan")])
def test_walls_that_make_no_sense_are_refused(wall: float) -> None:
    with pytest.raises(RequestError):
        plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=wall, coats=1))


def test_the_far_ball_keeps_the_wall_at_which_its_neck_closed() -> None:
    plan = plan_hollow(dumbbell(), HollowRequest(mix=MIX, wall_mm=5))
    (pocket,) = plan.closed_off
    assert pocket.closes_at_wall_mm == pytest.approx(3, rel=0.02)
    assert pocket.deepest_at_mm[2] == pytest.approx(50, abs=2)
    shut_in = 4 / 3 * pi * 12**3
    assert plan.shut_in_mm3 == pytest.approx(shut_in, rel=0.02)
    freely = plan_hollow(dumbbell(), HollowRequest(mix=MIX, wall_mm=2.5))
    assert not freely.closed_off


def test_back_fill_reaches_only_what_is_open() -> None:
    plan = with_backfill(plan_hollow(dumbbell(), HollowRequest(mix=MIX, wall_mm=5)), SHELF.resin("rigid-foam"))
    assert plan.foam is not None
    assert plan.foam.core_volume_mm3 == pytest.approx(4 / 3 * pi * 10**3, rel=0.03)
    assert plan.finished_mass_g == pytest.approx(plan.shell_mass_g + plan.foam.liquid_mass_g)


def test_back_fill_with_what_does_not_foam_is_refused() -> None:
    with pytest.raises(RequestError, match="does not foam"):
        plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3, backfill=SHELF.resin("fast-urethane")))


def test_a_plate_too_thin_to_hollow_comes_out_solid_and_says_so() -> None:
    plan = plan_hollow(part_of(box(40, 40, 4).mesh), HollowRequest(mix=MIX, wall_mm=3))
    assert plan.shell.volume_mm3 == pytest.approx(6400)
    assert "nothing-hollow" in codes(plan.notices)


def test_resins_that_cannot_be_turned_are_named() -> None:
    fast = HollowRequest(mix=MixRequest(resin=SHELF.resin("fast-urethane")), wall_mm=3)
    assert "snaps" in codes(plan_hollow(block(), fast).notices)
    hurried = replace(fast, mix=MixRequest(resin=SHELF.resin("fast-urethane"), bench_c=32), mixing_s=120)
    assert "no-time-to-turn" in codes(plan_hollow(block(), hurried).notices)
    assert not {"snaps", "no-time-to-turn"} & codes(plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3)).notices)


def test_what_is_said_of_a_mix_is_said_of_a_coat_not_of_all_of_them() -> None:
    plan = plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3, coats=2))
    many = plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3, coats=2, copies=20))
    assert "pot-life-mass" in codes(many.mix.notices)
    assert "pot-life-mass" not in codes(many.notices)  # a coat of one cast is a small cup

    hardest = plan.hardest_coat
    assert hardest.number == 2  # the second coat takes less, so a step of the scale is more of it
    (said,) = [notice.message for notice in plan.notices if notice.code.startswith("scale-")]
    weighed = min(component.mass_g for component in hardest.mix.components)
    assert f"{weighed:.3g} g of B" in said


def test_coats_that_find_nothing_open_are_left_out_and_told() -> None:
    plan = plan_hollow(stopper(), HollowRequest(mix=MIX, wall_mm=10, coats=5))
    (pocket,) = plan.closed_off
    assert pocket.closes_at_wall_mm == pytest.approx(3, abs=0.2)
    assert [coat.wall_mm for coat in plan.coats] == pytest.approx([2, 4])  # what is left of the small ball is a drop
    (said,) = [notice.message for notice in plan.notices if notice.code == "coats-left-out"]
    assert said.startswith("Of 5 coats only the first 2 are needed")
    assert "coats-left-out" not in codes(plan_hollow(stopper(), HollowRequest(mix=MIX, wall_mm=4, coats=2)).notices)


def test_a_last_coat_that_no_scale_shows_is_left_out() -> None:
    block_mix = replace(MIX, scale=Scale(readability_g=1.0))
    plan = plan_hollow(block(), HollowRequest(mix=block_mix, wall_mm=9.99, coats=50))
    assert all(coat.mix.total_mass_g >= 1.0 for coat in plan.coats)
    assert "coats-left-out" in codes(plan.notices)


def test_a_core_that_foam_cannot_reach_is_told() -> None:
    foam = SHELF.resin("rigid-foam")
    request = HollowRequest(mix=MIX, wall_mm=10, backfill=foam)
    assert "nothing-to-back-fill" in codes(plan_hollow(stopper(), request).notices)
    assert "nothing-to-back-fill" in codes(
        with_backfill(plan_hollow(stopper(), replace(request, backfill=None)), foam).notices
    )
    assert "nothing-to-back-fill" not in codes(plan_hollow(block(), replace(request, wall_mm=3)).notices)


def test_bodies_that_do_not_touch_are_told() -> None:
    two = part_of(together(moved(ball(15).mesh, (-20, 0, 0)), moved(ball(15).mesh, (20, 0, 0))))
    (said,) = [
        n.message for n in plan_hollow(two, HollowRequest(mix=MIX, wall_mm=3)).notices if n.code == "several-bodies"
    ]
    assert said.startswith("The part is 2 bodies that do not touch")
    assert "several-bodies" not in codes(plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3)).notices)


def test_a_comparison_tells_what_closes_off() -> None:
    ways = plan_compare(stopper(), [MIX], [2.0, 10.0]).ways
    closed = {way.wall_mm: codes(way.notices) for way in ways}
    assert "closes-off" in closed[10.0]
    assert "closes-off" not in closed[2.0]


def test_the_usual_allowance_is_that_of_a_cup_not_of_all_casts_together() -> None:
    """Twenty casts are forty cups: each loses as much as if there were no others."""
    one, twenty = (plan_hollow(block(), HollowRequest(mix=MIX, wall_mm=3, coats=2, copies=n)) for n in (1, 20))
    assert one.allowed.share == twenty.allowed.share == pytest.approx(0.1)
    assert [coat.mix.total_mass_g for coat in one.coats] == [coat.mix.total_mass_g for coat in twenty.coats]
    assert twenty.mix.total_mass_g == pytest.approx(20 * one.mix.total_mass_g)


def test_warmth_shortens_the_wait_between_coats() -> None:
    assert gel_time_s(replace(MIX, bench_c=33)) < gel_time_s(MIX) < gel_time_s(replace(MIX, bench_c=13))


def test_the_curve_rises_to_the_solid() -> None:
    walls, shells = shell_curve_of(block(), 10)
    volumes = [shell.volume_mm3 for shell in shells]
    assert walls[-1] == pytest.approx(10)
    assert all(later >= earlier - 1 for earlier, later in pairwise(volumes))
    assert volumes[-1] == pytest.approx(48_000, rel=1e-3)


class TestCompare:
    def test_a_comparison_of_nothing_is_refused(self) -> None:
        with pytest.raises(RequestError, match=r"no resin to compare ways in; name at least one\.$"):
            plan_compare(block(), [], [3])
        with pytest.raises(RequestError, match="number of copies is 0"):
            plan_compare(block(), [MIX], [], copies=0)

    def test_hollow_saves_what_it_leaves_out(self) -> None:
        plan = plan_compare(block(), [MIX], [3], copies=10, allowance=0.0)
        solid, hollow = plan.ways
        price = SHELF.resin("slow-urethane").price_per_kg or 0
        assert solid.cost == pytest.approx(48 * DENSITY * price / 1000)
        assert hollow.saving == pytest.approx(54 * 34 * 14 / 1e6 * DENSITY * price, rel=5e-3)
        assert hollow.run_saving == pytest.approx(10 * (hollow.saving or 0))
        assert solid.pours == 1 and hollow.pours == 2
        assert solid.section_mm == pytest.approx(20, rel=0.01) and hollow.section_mm == 3

    def test_a_thick_solid_cast_is_warned_of_with_its_ceiling(self) -> None:
        thick = part_of(ball(40, 3).mesh, points=20_000)
        plan = plan_compare(thick, [MIX], [3])
        (notice,) = [notice for notice in plan.notices if notice.code == "solid-runs-hot"]
        assert "cannot rise by more than" in notice.message

    def test_back_fill_is_its_own_way(self) -> None:
        plan = plan_compare(block(), [MIX], [3, 5], backfill=SHELF.resin("rigid-foam"))
        assert [way.name for way in plan.ways] == [
            "solid", "hollow 3 mm", "hollow 3 mm + foam", "hollow 5 mm", "hollow 5 mm + foam"
        ]  # fmt: skip

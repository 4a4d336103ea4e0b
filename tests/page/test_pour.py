from collections.abc import Callable
from typing import Any

import pytest

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.pour_book import PourBook
from moldvol.errors import RequestError
from moldvol.materials.mixtures.additions import Addition
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.scales import Scale
from moldvol.page.pour import PourJob

SHELF = load_shelf()
URETHANE = SHELF.resin("slow-urethane")  # A 100, B 90 by weight


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def mix(mass_g: float = 190.0, resin: Any = URETHANE, readability_g: float = 0.1) -> MixRequest:
    return MixRequest(resin=resin, mass_g=mass_g, scale=Scale(readability_g=readability_g))


def job(*cups: MixRequest, clock: Callable[[], float] | None = None) -> PourJob:
    cups = cups or (mix(),)
    planned = sum(cup.mass_g or 0.0 for cup in cups)
    return PourJob(title="test", mould="owl", planned_g=planned, net_g=180.0, cups=cups, clock=clock or Clock())


def readings(pour: PourJob) -> list[tuple[str, str, float]]:
    return [(step.name, step.state, round(step.reading_g, 6)) for step in pour.steps()]


def test_the_scale_counts_the_whole_cup() -> None:
    assert readings(job()) == [("A", "now", 100.0), ("B", "later", 190.0)]


def test_ticks_lead_from_part_to_part() -> None:
    pour = job()
    pour.tick()
    assert readings(pour) == [("A", "done", 100.0), ("B", "now", 190.0)]
    pour.tick()
    assert pour.current is None
    assert pour.in_cup_g == 190.0


def test_too_much_of_the_first_part_makes_the_second_more() -> None:
    pour = job()
    pour.pour_to(110.0)
    assert readings(pour) == [("A", "done", 110.0), ("B", "now", 209.0)]
    assert pour.plan.surplus_g == pytest.approx(19.0)


def test_too_much_of_the_second_part_brings_the_first_up_again() -> None:
    pour = job()
    pour.tick()
    pour.pour_to(199.0)  # 99 g of B want 110 g of A
    assert readings(pour) == [("A", "now", 209.0), ("B", "done", 99.0)]
    pour.tick()
    assert pour.current is None
    assert pour.in_cup_g == 209.0


def test_too_little_stays_at_the_same_part() -> None:
    pour = job()
    pour.pour_to(93.0)
    assert pour.current is not None
    assert (pour.current.name, pour.current.reading_g, pour.current.to_add_g) == ("A", 100.0, 7.0)


def test_a_reading_within_half_a_step_is_right() -> None:
    pour = job(mix(readability_g=1.0))
    pour.pour_to(99.6)
    assert pour.current is not None
    assert pour.current.name == "B"


def test_nothing_can_be_taken_out_again() -> None:
    pour = job()
    pour.tick()
    with pytest.raises(RequestError, match="less than the 100 g in the cup"):
        pour.pour_to(90.0)
    assert pour.in_cup_g == 100.0


@pytest.mark.parametrize("reading", [float("nan"), float("inf"), 1e9])
def test_what_no_display_shows_is_refused(reading: float) -> None:
    with pytest.raises(RequestError, match="no reading"):
        job().pour_to(reading)


def test_a_full_cup_takes_no_more() -> None:
    pour = job()
    pour.tick()
    pour.tick()
    with pytest.raises(RequestError, match="complete"):
        pour.pour_to(300.0)


def test_an_entry_can_be_taken_back() -> None:
    pour = job()
    pour.tick()
    pour.pour_to(250.0)
    pour.back()
    assert readings(pour) == [("A", "done", 100.0), ("B", "now", 190.0)]
    pour.back()
    assert not pour.can_go_back
    pour.back()
    assert pour.in_cup_g == 0


def test_the_clock_starts_when_the_parts_meet() -> None:
    clock = Clock()
    pour = job(clock=clock)
    pour.tick()
    assert pour.left_s() is None
    pour.tick()
    clock.now += 60
    assert pour.left_s() == pytest.approx(pour.plan.one_cup_life_s - 60)


def test_the_clock_can_be_started_by_hand_and_is_not_set_again() -> None:
    clock = Clock()
    pour = job(clock=clock)
    pour.tick()
    pour.start_clock()
    clock.now += 30
    pour.tick()
    assert pour.left_s() == pytest.approx(pour.plan.one_cup_life_s - 30)


def test_taking_the_second_part_back_stops_the_clock() -> None:
    pour = job()
    pour.tick()
    pour.tick()
    pour.back()
    assert pour.left_s() is None


def test_filler_stirred_into_one_part_starts_no_clock() -> None:
    chalk = Addition(filler=SHELF.filler("chalk"), by_weight=30)
    pour = job(MixRequest(resin=URETHANE, mass_g=200.0, additions=(chalk,), scale=Scale(readability_g=0.1)))
    pour.tick()
    pour.poured[pour.steps()[-1].name] = 10.0
    pour.pour_to(pour.in_cup_g)
    assert pour.mixed_at is None


def test_a_catalyst_below_half_a_step_is_not_taken_for_poured() -> None:
    pour = job(mix(30.0, SHELF.resin("casting-polyester"), readability_g=1.0))
    pour.tick()
    assert pour.current is not None
    assert pour.current.name == "catalyst"


def test_pots_follow_one_another_each_with_its_own_clock() -> None:
    clock = Clock()
    pour = job(mix(95.0), mix(95.0), clock=clock)
    pour.tick()
    pour.tick()
    clock.now += 100
    pour.empty_cup()
    assert (pour.cup, pour.in_cup_g, pour.left_s(), pour.finished) == (1, 0, None, False)
    assert readings(pour)[0] == ("A", "now", 50.0)
    pour.tick()
    pour.tick()
    pour.empty_cup()
    assert pour.finished
    assert pour.emptied_g == pytest.approx(190.0)


def test_what_was_poured_goes_into_the_book(tmp_path: Any) -> None:
    pour = job()
    pour.pour_to(104.0)
    pour.tick()
    pour.empty_cup()
    book = PourBook(tmp_path / "book.sqlite3")
    book.add(pour.for_the_book(left_over_g=5.0, result="short", note="low ear"))
    (entry,) = book.pours()
    assert (entry.resin, entry.mould, entry.planned_g, entry.net_g) == ("slow-urethane", "owl", 190.0, 180.0)
    assert entry.actual_g == pytest.approx(104 * 1.9 - 5, abs=0.1)
    assert (entry.result, entry.note) == ("short", "low ear")


@pytest.mark.parametrize("left", [-1.0, 500.0])
def test_more_cannot_be_left_than_was_poured(left: float) -> None:
    pour = job()
    pour.tick()
    with pytest.raises(RequestError, match="left over"):
        pour.for_the_book(left_over_g=left)

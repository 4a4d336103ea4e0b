import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

import numpy as np
import pytest

from moldvol.geometry.judging import read_solid
from moldvol.page.job import Job
from tests.files import CUBE_CORNERS, binary_stl
from tests.page.hands import SAMPLES, OwnHand, new_job, put, until

pytestmark = pytest.mark.usefixtures("coarse_grids")

HOLE = binary_stl(np.delete(CUBE_CORNERS, [0, 6, 5, 11], axis=0))  # a cube without its bottom and one side


def played(play: Callable[[Job, OwnHand], Awaitable[None]]) -> tuple[Job, OwnHand]:
    """A job after *play*, closed."""
    job, hand = new_job()

    async def run() -> None:
        try:
            await play(job, hand)
        finally:
            job.close()
            await asyncio.sleep(0)

    asyncio.run(run())
    return job, hand


def test_a_file_is_read_shown_and_told_and_is_gone_again() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        job.watch("screen", "solid")
        path = put(job, binary_stl())
        await job.load(path, "cube.stl")
        await until(lambda: "solid" in job.session.told)
        assert not path.exists()

    job, _ = played(play)
    assert job.session.part is not None
    assert job.session.part.name == "cube.stl"
    assert job.session.part.has_depth
    assert job.session.view is not None
    assert [legend.title for legend in job.session.view.legends] == ["wall", "depth"]
    assert job.session.work is None
    assert not job.folder.exists()


def test_a_broken_file_leaves_the_command_line_s_sentence() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, b"<html>not found</html>"), "owl.stl")

    job, _ = played(play)
    assert job.session.refused is not None
    with pytest.raises(Exception, match="owl") as told:
        read_solid(b"<html>not found</html>", name="owl.stl")
    assert job.session.refused.sentence == str(told.value)


def test_holes_can_be_accepted_after_the_refusal() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, HOLE), "open.stl")
        assert job.session.refused is not None
        assert job.session.refused.open_rims
        job.turn("accept_open", "yes")
        await until(lambda: job.session.part is not None and job.session.part.has_depth)

    job, _ = played(play)
    assert job.session.part is not None
    assert not job.session.part.closed
    assert job.session.refused is None


def test_another_unit_makes_the_part_anew_without_the_file() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        job.turn("unit", "in")
        await until(lambda: job.session.part is not None and job.session.part.unit == "in" and job.session.work is None)

    job, _ = played(play)
    assert job.session.part is not None
    assert job.session.part.size_mm == pytest.approx((508, 508, 508))


def test_a_size_asked_for_while_the_depth_is_measured_wins() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        loading = asyncio.create_task(job.load(put(job, binary_stl()), "cube.stl"))
        await until(lambda: job.session.part is not None)
        job.turn("scale", "2")
        await loading
        await until(lambda: job.session.part is not None and job.session.part.has_depth and job.session.work is None)

    job, _ = played(play)
    assert job.session.part is not None
    assert job.session.part.size_mm == pytest.approx((40, 40, 40))


def held(hand: OwnHand, what: str) -> tuple[list[asyncio.Future[None]], list[str]]:
    """Hold up every further question of the name *what* until its future is set; the second list tells of those that
    were called off meanwhile."""
    answered, holding, called_off = hand.ask, list[asyncio.Future[None]](), list[str]()

    async def ask(asked: str, *details: Any, progress: Any = None) -> Any:
        if asked == what:
            holding.append(asyncio.get_running_loop().create_future())
            try:
                await holding[-1]
            except asyncio.CancelledError:
                called_off.append(asked)
                raise
        return await answered(asked, *details, progress=progress)

    hand.ask = ask  # type: ignore[method-assign]
    return holding, called_off


def test_of_two_sizes_asked_for_the_first_is_called_off() -> None:
    called_off: list[str] = []

    async def play(job: Job, hand: OwnHand) -> None:
        nonlocal called_off
        job.watch("screen", "solid")
        await job.load(put(job, binary_stl()), "cube.stl")
        holding, called_off = held(hand, "remake")
        job.turn("scale", "2")
        await until(lambda: len(holding) == 1)
        job.turn("scale", "1")
        await until(lambda: len(holding) == 2)
        holding[1].set_result(None)
        await until(lambda: job.session.work is None and not job.session.is_stale("solid"))
        job.turn("copies", "2")
        await until(lambda: not job.session.is_stale("solid"))

    job, _ = played(play)
    assert called_off == ["remake"]
    assert job.session.part is not None
    assert job.session.part.size_mm == pytest.approx((20, 20, 20))
    (amount,) = job.session.told["solid"].amounts
    assert float(amount.value.split()[0]) == pytest.approx(2 * 8 * 1.08 * 1.1, rel=0.1)  # 8 ml each, the usual 10 %


def test_a_size_asked_for_while_the_first_file_is_read_holds_for_it() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        holding, _ = held(hand, "read")
        path = put(job, binary_stl())
        loading = asyncio.create_task(job.load(path, "cube.stl"))
        await until(lambda: len(holding) == 1)
        job.turn("scale", "2")
        await until(lambda: len(holding) == 2)
        holding[1].set_result(None)
        await loading
        await until(lambda: job.session.part is not None and job.session.work is None)
        assert not path.exists()

    job, _ = played(play)
    assert job.session.part is not None
    assert job.session.part.size_mm == pytest.approx((40, 40, 40))


def test_a_knob_turned_while_another_file_is_read_does_not_bring_back_the_one_before() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "small.stl")
        holding, _ = held(hand, "read")
        loading = asyncio.create_task(job.load(put(job, binary_stl(4 * CUBE_CORNERS)), "large.stl"))
        await until(lambda: len(holding) == 1)
        job.turn("unit", "cm")
        await until(lambda: len(holding) == 2)
        holding[1].set_result(None)
        await loading
        await until(lambda: job.session.work is None)

    job, _ = played(play)
    assert job.session.part is not None
    assert (job.session.part.name, job.session.part.unit) == ("large.stl", "cm")
    assert job.session.part.size_mm == pytest.approx((800, 800, 800))


def test_a_file_that_cannot_be_read_stays_refused_whatever_is_turned() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        await job.load(put(job, b"<html>not found</html>"), "owl.stl")
        job.turn("scale", "2")
        await until(lambda: not job._becoming)

    job, _ = played(play)
    assert job.session.part is None
    assert job.session.refused is not None
    assert job.session.refused.name == "owl.stl"
    assert "owl" in job.session.refused.sentence


def test_pictures_of_the_part_before_are_not_shown_of_another() -> None:
    called_off: list[str] = []

    async def play(job: Job, hand: OwnHand) -> None:
        nonlocal called_off
        job.watch("screen", "side")
        holding, called_off = held(hand, "plots")
        await job.load(put(job, binary_stl()), "cube.stl")
        await until(lambda: len(holding) == 1)
        loading = asyncio.create_task(job.load(put(job, binary_stl()), "cube.stl"))
        await until(lambda: bool(called_off))
        await loading

    played(play)
    assert called_off == ["plots"]


def test_only_what_is_looked_at_is_worked_out() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        job.watch("screen", "part")
        await job.load(put(job, binary_stl()), "cube.stl")
        await until(lambda: "part" in job.session.told)
        job.turn("copies", "2")
        await asyncio.sleep(0.05)

    _, hand = played(play)
    assert {details[0] for what, details in hand.asked if what == "tell"} == {"part"}


def test_the_last_setting_of_a_knob_wins() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        job.watch("screen", "solid")
        await job.load(put(job, binary_stl()), "cube.stl")
        await until(lambda: "solid" in job.session.told)
        hand.asked.clear()
        for copies in range(2, 40):
            job.turn("copies", str(copies))
        await until(lambda: not job.session.is_stale("solid"))

    job, hand = played(play)
    assert 39 in job.session.told_for["solid"]
    assert len([what for what, _ in hand.asked if what == "tell"]) <= 3


def test_a_wall_follows_at_once_and_comes_to_the_exact_figure() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        job.turn("wall", "3mm")
        job.watch("screen", "hollow")
        await job.load(put(job, binary_stl()), "cube.stl")
        await until(lambda: "hollow" in job.session.plots)
        hand.asked.clear()
        job.turn("wall", "4.1mm")
        await until(lambda: "4.1" in job.session.plots["hollow"][-1].told)

    job, hand = played(play)
    exactly = [details[-1] for what, details in hand.asked if what == "tell"]
    assert exactly == [False, True]
    assert job.session.core
    (amount,) = job.session.told["hollow"].amounts
    # 20³ − 11.8³ mm³ of 1.08 g/ml and the usual 10 %
    assert float(amount.value.split()[0]) == pytest.approx((8000 - 11.8**3) / 1000 * 1.08 * 1.1, rel=0.005)


def test_an_opening_off_the_part_is_refused_on_its_tab_only() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        job.watch("screen", "hollow")
        await job.load(put(job, binary_stl()), "cube.stl")
        await until(lambda: "hollow" in job.session.told)
        job.turn("opening", "500,0,0")
        await until(lambda: "hollow" in job.session.failed)
        job.watch("screen", "solid")
        await until(lambda: "solid" in job.session.told)

    job, _ = played(play)
    assert "off the part" in job.session.failed["hollow"]
    assert "solid" not in job.session.failed
    assert job.session.part is not None


def test_cancelling_stops_the_hand_and_clears_the_bench() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        job.cancel()
        assert hand.stopped == 1

    job, _ = played(play)
    assert job.session.part is None
    assert job.session.work is None


def test_pictures_left_behind_are_drawn_on_coming_back() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        job.watch("screen", "side")
        await until(lambda: "side" in job.session.told)
        job.watch("screen", "part")
        await asyncio.sleep(0.05)
        job.session.plots.clear()
        job.session.plots_for.clear()
        await until(lambda: not job._completed_now)
        job.watch("screen", "side")
        await until(lambda: not job.session.lacks_plots("side"))

    job, _ = played(play)
    assert "side" in job.session.plots


def test_a_slow_sheet_can_be_stopped_and_the_part_stays() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        never = asyncio.get_running_loop().create_future()
        answered, hand.ask = hand.ask, lambda what, *details, progress=None: never  # type: ignore[method-assign]
        job.watch("screen", "mould")
        await until(lambda: job.session.work is not None)
        job.stop()
        await until(lambda: job.session.work is None)
        assert "Stopped" in job.session.failed["mould"]
        hand.ask = answered  # type: ignore[method-assign]
        job.turn("rubber_wall", "10mm")
        await until(lambda: "mould" in job.session.told)
        assert hand.stopped == 0

    job, _ = played(play)
    assert job.session.part is not None


def test_a_slow_sheet_is_called_off_for_what_is_asked_now() -> None:
    called_off: list[str] = []

    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        answered = hand.ask

        asked: list[str] = []

        async def never(what: str, *details: Any, progress: Any = None) -> Any:
            asked.append(what)
            try:
                await asyncio.get_running_loop().create_future()
            except asyncio.CancelledError:
                called_off.append(what)
                raise

        hand.ask = never  # type: ignore[method-assign]
        job.watch("screen", "mould")
        await until(lambda: bool(asked))  # what is called off before it begins is never asked
        hand.ask = answered  # type: ignore[method-assign]
        job.turn("rubber_wall", "10mm")
        await until(lambda: "mould" in job.session.told)

    job, _ = played(play)
    assert called_off == ["tell"]
    assert not job.session.failed


def test_a_knob_of_another_tab_leaves_a_slow_sheet_alone() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, binary_stl()), "cube.stl")
        never = asyncio.get_running_loop().create_future()
        hand.ask = lambda what, *details, progress=None: never  # type: ignore[method-assign]
        job.watch("screen", "mould")
        await until(lambda: job.session.work is not None)
        job.turn("wall", "5mm")
        await asyncio.sleep(0.05)
        assert job.session.work is not None
        assert not never.cancelled()

    played(play)


def test_the_cut_is_seen_before_the_curve_is_known() -> None:
    seen: list[tuple[str, ...]] = []

    async def play(job: Job, hand: OwnHand) -> None:
        job.session.listeners.append(
            lambda _: seen.append(tuple(one.title for one in job.session.plots.get("hollow", ())))
        )
        job.watch("screen", "hollow")
        await job.load(put(job, binary_stl()), "cube.stl")
        await until(lambda: not job.session.lacks_plots("hollow") and "hollow" in job.session.told)

    played(play)
    assert list(dict.fromkeys(seen)) == [(), ("Cut, wall of 4 mm",), ("Cut, wall of 4 mm", "What each wall takes")]


def test_one_part_of_a_file_can_be_taken_alone() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, SAMPLES / "two_figures.3mf"), "two_figures.3mf")
        assert job.session.parts == ("rocking horse", "jester")
        job.turn("part", "2")
        await until(lambda: job.session.part is not None and job.session.part.triangles == 11_000)
        await until(lambda: job.session.work is None)

    job, _ = played(play)
    assert job.session.part is not None
    assert job.session.part.size_mm == pytest.approx((49.3, 46.9, 90.3), abs=0.1)
    assert job.session.parts == ("rocking horse", "jester")


def test_another_file_comes_in_its_own_unit_and_size() -> None:
    async def play(job: Job, hand: OwnHand) -> None:
        job.turn("scale", "2")
        await job.load(put(job, binary_stl()), "cube.stl")
        assert job.session.part is not None
        assert job.session.part.size_mm == pytest.approx((40, 40, 40))  # it was set for the first file to come
        await job.load(put(job, binary_stl()), "other.stl")

    job, _ = played(play)
    assert job.session.part is not None
    assert job.session.part.size_mm == pytest.approx((20, 20, 20))


def test_the_printed_sheet_is_the_command_line_s() -> None:
    sheets: list[str] = []

    async def play(job: Job, hand: OwnHand) -> None:
        job.turn("scale", "2")
        await job.load(put(job, SAMPLES / "puppet_hand.stl"), "hand.stl")
        sheets.append(await job.sheet("hollow"))

    played(play)
    (html,) = sheets
    assert "Surface" in html  # the page has this on another tab, paper has not
    assert "<dt>resize by</dt> <dd>2</dd>" in html
    assert "<dt>resin enters</dt> <dd>at the lowest flat face</dd>" in html
    assert "Cut, wall of 4 mm" in html
    assert "What each wall takes" not in html  # no room for what is not needed at the bench


def test_the_printed_sheet_is_a_page_of_its_own() -> None:
    sheets: list[str] = []

    async def play(job: Job, hand: OwnHand) -> None:
        await job.load(put(job, SAMPLES / "puppet_hand.stl"), "<b>hand</b>.stl")
        sheets.append(await job.sheet("solid"))

    played(play)
    assert "&lt;b&gt;hand" in sheets[0]
    assert "<b>hand" not in sheets[0]
    assert "slow-urethane" in sheets[0]

import asyncio
import os
import signal
import threading
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest

import moldvol.page.hand
from moldvol.errors import UnreadableMesh
from moldvol.page.hand import HandGone, ProcessHand
from moldvol.page.knobs import Asked
from tests.files import binary_stl
from tests.page.hands import PATIENCE_S, until


def worked(work: Callable[[ProcessHand], Awaitable[None]]) -> None:
    async def run() -> None:
        hand = ProcessHand()
        try:
            await work(hand)
        finally:
            hand.stop()

    asyncio.run(run())


def pid_of(hand: ProcessHand) -> int:
    pid = hand._process.pid
    assert isinstance(pid, int)
    return pid


def test_a_hand_reads_answers_refuses_leaves_off_and_stops(tmp_path: Path) -> None:
    """One process for all five, since each takes a second to start."""
    path = tmp_path / "upload"
    path.write_bytes(binary_stl())
    stages: list[str] = []

    async def work(hand: ProcessHand) -> None:
        summary = await hand.ask(
            "read", 1, str(path), "cube.stl", Asked(), progress=lambda stage, _: stages.append(stage)
        )
        assert summary.size_mm == pytest.approx((20, 20, 20))
        assert pid_of(hand) != os.getpid()
        told = await hand.ask("tell", "solid", Asked())
        assert told.amounts

        path.write_bytes(b"no mesh")
        with pytest.raises(UnreadableMesh, match=r"bad\.stl"):
            await hand.ask("read", 1, str(path), "bad.stl", Asked())

        called_off = asyncio.create_task(hand.ask("tell", "mould", Asked()))
        await asyncio.sleep(0.05)
        called_off.cancel()
        with pytest.raises(asyncio.CancelledError):
            await called_off
        assert (await hand.ask("tell", "solid", Asked(copies=2))).amounts  # the part is still there

        waiting = asyncio.create_task(hand.ask("measure_depth"))
        await asyncio.sleep(0)
        hand.stop()
        with pytest.raises(HandGone):
            await waiting

        starting = asyncio.create_task(hand.ask("tell", "solid", Asked()))
        await asyncio.sleep(0)
        hand.stop()
        with pytest.raises(HandGone, match="stopped"):
            await starting

    worked(work)
    assert "Looking for holes and flaws" in stages


@pytest.mark.parametrize("fault", [EOFError("unexpected EOF"), OSError("no room"), RuntimeError("no thread")])
def test_a_worker_that_could_not_be_started_is_started_by_the_next_question(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, fault: Exception
) -> None:
    """The process that workers are forked from can end while one is asked of it: that is an EOFError."""
    path = tmp_path / "upload"
    path.write_bytes(binary_stl())
    started = moldvol.page.hand._new_worker

    def fail(shelves: tuple[Path, ...]) -> Any:
        monkeypatch.setattr("moldvol.page.hand._new_worker", started)
        raise fault

    monkeypatch.setattr("moldvol.page.hand._new_worker", fail)

    async def work(hand: ProcessHand) -> None:
        with pytest.raises(HandGone, match="stopped"):
            await hand.ask("read", 1, str(path), "cube.stl", Asked())
        assert (await hand.ask("read", 1, str(path), "cube.stl", Asked())).name == "cube.stl"

    worked(work)


def test_where_nothing_can_be_forked_a_worker_is_started_afresh(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def worker(method: str, shelves: tuple[Path, ...]) -> Any:
        asked.append(method)
        if method == "forkserver":
            raise EOFError
        return "process", "connection"

    monkeypatch.setattr("moldvol.page.hand.FORKING", True)
    monkeypatch.setattr("moldvol.page.hand._worker_by", worker)
    assert moldvol.page.hand._new_worker(()) == ("process", "connection")
    assert asked == ["forkserver", "spawn"]


def test_a_start_that_fails_late_does_not_undo_a_newer_one(monkeypatch: pytest.MonkeyPatch) -> None:
    held = [threading.Event(), threading.Event()]
    begun = iter(held)
    at_work: list[threading.Event] = []

    def fail(shelves: tuple[Path, ...]) -> Any:
        mine = next(begun)
        at_work.append(mine)
        mine.wait(PATIENCE_S)
        raise EOFError

    monkeypatch.setattr("moldvol.page.hand._new_worker", fail)

    async def work(hand: ProcessHand) -> None:
        first = asyncio.create_task(hand.ask("view"))
        await until(lambda: len(at_work) == 1)
        hand.stop()
        second = asyncio.create_task(hand.ask("view"))
        await until(lambda: len(at_work) == 2)
        newer = hand._starting
        held[0].set()
        with pytest.raises(HandGone):
            await first
        assert hand._starting is newer is not None
        held[1].set()
        with pytest.raises(HandGone):
            await second

    worked(work)


def test_a_worker_that_dies_is_told_of_and_replaced(tmp_path: Path) -> None:
    path = tmp_path / "upload"
    path.write_bytes(binary_stl())

    async def work(hand: ProcessHand) -> None:
        reading = asyncio.create_task(hand.ask("read", 1, str(path), "cube.stl", Asked()))
        await until(lambda: hand._process is not None)
        os.kill(pid_of(hand), signal.SIGKILL)
        with pytest.raises(HandGone, match="ended before it was done"):
            await reading
        assert (await hand.ask("read", 1, str(path), "cube.stl", Asked())).name == "cube.stl"

    worked(work)

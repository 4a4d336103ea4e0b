"""The worker's side of the hand, in this process: what is called off stops, and nothing else does."""

import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from moldvol.errors import RequestError
from moldvol.page.answering import SIDE_BY_SIDE, SWITCH_S, Answering
from moldvol.page.workbench import Workbench
from moldvol.quantities import parse_share

PATIENCE_S = 60.0


class Slow(Workbench):
    """Answers ``sum`` only when it is let; ``running`` is set meanwhile, ``ended`` when it has come to an end."""

    def __init__(self) -> None:
        super().__init__()
        self.running, self.let, self.ended = threading.Event(), threading.Event(), threading.Event()

    def answer(self, what: str, details: tuple[Any, ...], progress: Callable[[str, float], None]) -> Any:
        if what == "refuse":
            raise RequestError("Not this.")
        if what == "fail":
            raise ZeroDivisionError("fault")
        if what == "sum":
            progress("Summing", 0.5)
            self.running.set()
            try:
                while not self.let.wait(0.01):  # a library between two steps of ours
                    parse_share("10%")
            finally:
                self.ended.set()
        return what, *details


@pytest.fixture
def bench() -> Slow:
    return Slow()


class Heard:
    """What is said, and a way to wait for the next answer."""

    def __init__(self) -> None:
        self.said: list[tuple[Any, ...]] = []
        self._answered = threading.Semaphore(0)

    def __call__(self, *message: Any) -> None:
        self.said.append(message)
        if message[1] != "progress":
            self._answered.release()

    def next(self) -> tuple[Any, ...]:
        assert self._answered.acquire(timeout=PATIENCE_S)
        return self.said[-1]


def test_each_question_gets_its_answer_and_its_progress(bench: Slow) -> None:
    heard = Heard()
    bench.let.set()
    Answering(bench, heard).begin(7, "sum", (1, 2))
    assert heard.next() == (7, "answer", ("sum", 1, 2))
    assert heard.said[0] == (7, "progress", ("Summing", 0.5))


def test_a_refusal_and_a_fault_of_ours_are_both_told(bench: Slow) -> None:
    heard = Heard()
    answering = Answering(bench, heard)
    answering.begin(1, "refuse", ())
    number, kind, error = heard.next()
    assert (number, kind, error.message) == (1, "error", "Not this.")
    answering.begin(2, "fail", ())
    assert "ZeroDivisionError: fault" in heard.next()[2].message


def test_a_sum_that_is_called_off_ends_without_an_answer_and_others_go_on(bench: Slow) -> None:
    heard = Heard()
    answering = Answering(bench, heard)
    answering.begin(1, "sum", ())
    assert bench.running.wait(PATIENCE_S)
    answering.call_off(1)
    assert bench.ended.wait(PATIENCE_S)
    assert not bench.let.is_set()
    answering.begin(2, "quick", ())
    assert heard.next() == (2, "answer", ("quick",))
    assert [message for message in heard.said if message[0] == 1] == [(1, "progress", ("Summing", 0.5))]


def test_to_call_off_what_is_answered_or_was_never_asked_harms_nobody(bench: Slow) -> None:
    heard = Heard()
    answering = Answering(bench, heard)
    answering.begin(1, "quick", ())
    assert heard.next()[0] == 1
    answering.call_off(1)
    answering.call_off(99)
    answering.begin(2, "quick", ())
    assert heard.next() == (2, "answer", ("quick",))


class Held(threading.Semaphore):
    """Places of which the next to be taken or given up is *held* on the way, in Python, until it is let go on."""

    def __init__(self, held: str) -> None:
        super().__init__(SIDE_BY_SIDE)
        self.held, self.reached, self.go_on = held, threading.Event(), threading.Event()

    def acquire(self, blocking: bool = True, timeout: float | None = None) -> bool:
        taken = super().acquire(blocking, timeout)
        self._hold("taken")
        return taken

    __enter__ = acquire

    def __exit__(self, *error: object) -> None:
        self.release()

    def release(self, n: int = 1) -> None:
        self._hold("given up")
        super().release(n)

    def _hold(self, at: str) -> None:
        if at == self.held and not self.reached.is_set():
            self.reached.set()
            while not self.go_on.wait(0.001):  # many steps at which it could be called off
                pass


@pytest.mark.parametrize("held", ["taken", "given up"])
def test_a_place_is_not_lost_when_its_question_is_called_off_on_the_way_to_it_or_from_it(
    bench: Slow, held: str
) -> None:
    heard, places = Heard(), Held(held)
    bench.let.set()
    answering = Answering(bench, heard, _places=places)
    before = set(threading.enumerate())
    answering.begin(1, "sum", ())
    assert places.reached.wait(PATIENCE_S)
    answering.call_off(1)
    places.go_on.set()
    for thread in set(threading.enumerate()) - before:
        thread.join(PATIENCE_S)
    assert [places.acquire(timeout=PATIENCE_S) for _ in range(SIDE_BY_SIDE)] == [True] * SIDE_BY_SIDE
    assert bench.ended.is_set() is (held == "given up")  # before it has begun it is left out altogether


class Sending:
    """A line to the page that stands still half way through a message, until it is let go on."""

    def __init__(self) -> None:
        self.half, self.go_on, self.whole = threading.Event(), threading.Event(), threading.Event()

    def say(self, *message: Any) -> None:
        self.half.set()
        while not self.go_on.wait(0.001):
            pass
        self.whole.set()


def test_an_answer_is_sent_whole_though_it_is_called_off_then(bench: Slow) -> None:
    sending = Sending()
    answering = Answering(bench, sending.say)
    answering.begin(1, "quick", ())
    assert sending.half.wait(PATIENCE_S)
    answering.call_off(1)
    sending.go_on.set()
    assert sending.whole.wait(PATIENCE_S)


def test_progress_is_sent_whole_before_the_question_is_called_off(bench: Slow) -> None:
    sending = Sending()
    answering = Answering(bench, sending.say)
    answering.begin(1, "sum", ())
    assert sending.half.wait(PATIENCE_S)
    answering.call_off(1)
    sending.go_on.set()
    assert sending.whole.wait(PATIENCE_S)
    assert bench.ended.wait(PATIENCE_S)
    assert not bench.let.is_set()


class Careful(Slow):
    """Goes through what must not be left half done, as a library would, before it comes to a step of ours."""

    def __init__(self) -> None:
        super().__init__()
        self.half_done, self.done, self.went_on = threading.Event(), threading.Event(), threading.Event()

    def answer(self, what: str, details: tuple[Any, ...], progress: Callable[[str, float], None]) -> Any:
        self.half_done.set()
        while not self.let.wait(0.001):
            pass
        self.done.set()
        parse_share("10%")
        self.went_on.set()


def test_a_library_ends_what_it_has_begun_before_its_sum_is_called_off() -> None:
    bench = Careful()
    answering = Answering(bench, Heard())
    before = set(threading.enumerate())
    answering.begin(1, "sum", ())
    assert bench.half_done.wait(PATIENCE_S)
    answering.call_off(1)
    bench.let.set()
    for thread in set(threading.enumerate()) - before:
        thread.join(PATIENCE_S)
    assert bench.done.is_set()
    assert not bench.went_on.is_set()


class Keeping(Slow):
    """Takes whatever is raised for a trouble of its own, as some libraries do."""

    def answer(self, what: str, details: tuple[Any, ...], progress: Callable[[str, float], None]) -> Any:
        try:
            return super().answer(what, details, progress)
        except BaseException:  # noqa: BLE001  that is what it is about
            return "kept"


def test_an_answer_in_place_of_what_a_library_kept_to_itself_is_not_sent() -> None:
    bench, heard = Keeping(), Heard()
    answering = Answering(bench, heard)
    before = set(threading.enumerate())
    answering.begin(1, "sum", ())
    assert bench.running.wait(PATIENCE_S)
    answering.call_off(1)
    for thread in set(threading.enumerate()) - before:
        thread.join(PATIENCE_S)
    assert bench.ended.is_set()
    assert [message[1] for message in heard.said] == ["progress"]


class Brief(Workbench):
    """Answers after some steps, as its name says in threads of its own or without."""

    def answer(self, what: str, details: tuple[Any, ...], progress: Callable[[str, float], None]) -> Any:
        progress("Summing", 0.5)
        if what == "alone":
            return sum(parse_share(f"{share}%") for share in range(100))
        with ThreadPoolExecutor(2) as pool:
            return sum(pool.map(parse_share, ["10%"] * 20))


@pytest.fixture
def taking_turns() -> Iterator[None]:
    usual = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_S / 100)
    yield
    sys.setswitchinterval(usual)


@pytest.mark.usefixtures("taking_turns")
@pytest.mark.parametrize(("what", "questions"), [("alone", 1200), ("with threads", 240)])
def test_after_many_questions_called_off_at_any_step_all_places_are_there(what: str, questions: int) -> None:
    heard = Heard()
    answering = Answering(Brief(), heard)
    before = set(threading.enumerate())
    for first in range(0, questions, 12):
        for number in range(first, first + 12):
            answering.begin(number, what, ())
        for number in range(first, first + 12):
            answering.call_off(number)
    for thread in set(threading.enumerate()) - before:
        thread.join(PATIENCE_S)
    assert set(threading.enumerate()) <= before
    assert [answering._places.acquire(timeout=0) for _ in range(SIDE_BY_SIDE)] == [True] * SIDE_BY_SIDE
    assert not answering._wanted

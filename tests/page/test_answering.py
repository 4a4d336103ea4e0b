"""The worker's side of the hand, in this process: what is called off stops, and nothing else does."""

import threading
from collections.abc import Callable
from typing import Any

import pytest

from moldvol.errors import RequestError
from moldvol.page.answering import Answering
from moldvol.page.workbench import Workbench

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
                while not self.let.wait(0.01):  # a sum in Python, with a library between its steps
                    pass
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

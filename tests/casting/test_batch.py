"""Many files through real worker processes: every one gets its answer, whatever happens to a worker."""

from __future__ import annotations

import os
import signal

import pytest

from moldvol.casting.batch import Answer, Work, answers
from moldvol.casting.crew import affordable_workers, cluster_crew, free_memory_bytes, local_crew
from moldvol.errors import RequestError, UnsoundMesh

GIGABYTE = 1 << 30


def shouting() -> Work:
    """Work that does to a file what its name says; a function within another, so that workers need not import it."""

    def shout(file: str) -> str:
        match file:
            case "kill":
                os.kill(os.getpid(), signal.SIGKILL)
            case "segv":
                os.kill(os.getpid(), signal.SIGSEGV)
            case "exit":
                os._exit(3)
            case "open":
                raise UnsoundMesh("It leaks; close it.", code="open")
            case "memory":
                raise MemoryError
            case "system":
                raise OSError(5, "Input/output error")
            case "fault":
                raise ZeroDivisionError("division\nby zero")
        return file.upper()

    return shout


def asked(*files: str, workers: int = 2) -> dict[str, Answer]:
    numbered = dict(enumerate(files))
    found = list(answers(shouting(), numbered, local_crew(workers)))
    assert sorted(answer.number for answer in found) == list(numbered)
    return {numbered[answer.number]: answer for answer in found}


class TestAnswers:
    @pytest.mark.parametrize("workers", [1, 2, 3])
    def test_each_file_once(self, workers: int) -> None:
        found = asked("a", "b", "c", "d", "e", workers=workers)
        assert [answer.made for answer in found.values()] != [] and all(
            answer.made == file.upper() and answer.error is None for file, answer in found.items()
        )

    def test_nothing_to_do(self) -> None:
        assert list(answers(shouting(), {}, local_crew(2))) == []

    def test_an_error_is_an_answer(self) -> None:
        found = asked("a", "open", "memory", "system", "fault", "b")
        assert found["a"].made == "A" and found["b"].made == "B"
        kinds = {file: answer.error.kind for file, answer in found.items() if answer.error}
        assert kinds == {"open": "open", "memory": "memory", "system": "system", "fault": "fault"}
        for file, answer in found.items():
            if answer.error:
                assert answer.error.file == file and "\n" not in str(answer.error)

    @pytest.mark.parametrize("end", ["kill", "segv", "exit"])
    def test_a_worker_that_dies_takes_only_its_file_along(self, end: str, capfd: pytest.CaptureFixture[str]) -> None:
        found = asked("a", "b", end, "c", "d")
        assert {file: answer.made for file, answer in found.items()} == {
            "a": "A", "b": "B", end: None, "c": "C", "d": "D",
        }  # fmt: skip
        error = found[end].error
        assert error is not None and (error.kind, error.exit_status, error.file) == ("broke-reader", 1, end)
        assert str(error).startswith(f"{end} broke the reader: ") and str(error).endswith(".")
        assert "Fatal Python error" not in capfd.readouterr().err

    def test_several_of_them_at_once_and_a_single_worker(self) -> None:
        found = asked("kill", "segv", "a", "kill ", workers=1)
        assert [file for file, answer in found.items() if answer.error] == ["kill", "segv"]

    def test_the_rest_need_not_be_waited_for(self) -> None:
        running = answers(shouting(), dict(enumerate(["a"] * 50)), local_crew(2))
        assert next(running).made == "A"
        running.close()
        assert asked("b")["b"].made == "B"


class TestHowMany:
    def test_one_for_each_core_where_memory_is_plenty(self) -> None:
        files = {f"{number}.stl": 1000 for number in range(100)}
        assert affordable_workers(files, cores=8, memory_bytes=64 * GIGABYTE) == 8

    def test_no_more_than_there_are_files(self) -> None:
        assert affordable_workers({"a.stl": 1000, "b.stl": 1000}, cores=8, memory_bytes=64 * GIGABYTE) == 2

    def test_the_neediest_file_decides(self) -> None:
        files = {f"{number}.stl": 1000 for number in range(100)}
        assert affordable_workers({**files, "big.stl": 100_000_000}, cores=8, memory_bytes=8 * GIGABYTE) == 3
        assert affordable_workers({**files, "big.3mf": 100_000_000}, cores=8, memory_bytes=8 * GIGABYTE) == 1

    def test_one_at_least(self) -> None:
        assert affordable_workers({"a.stl": 10 * GIGABYTE}, cores=8, memory_bytes=GIGABYTE) == 1

    def test_this_machine_tells_its_memory(self) -> None:
        assert free_memory_bytes() > 10_000_000


class TestCluster:
    @pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nowhere"])
    def test_an_address_where_nothing_answers(self, address: str, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("moldvol.casting.crew.CONNECTING_S", 0.5)
        with pytest.raises(RequestError, match=f"No Dask scheduler answers at '{address}'"), cluster_crew(address):
            pass

    def test_dask_is_not_there(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setitem(__import__("sys").modules, "distributed", None)
        with pytest.raises(RequestError, match=r"install it in moldvol's folder with pip install '\.\[cluster\]'\."):
            cluster_crew("tcp://127.0.0.1:8786").__enter__()

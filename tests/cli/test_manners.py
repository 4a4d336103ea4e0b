"""How the program behaves in a terminal: pipes, signals, odd names, poor surroundings, and every refusal."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from moldvol.cli import COMMANDS
from tests.cli.command_line import answered, cube, moldvol, refused
from tests.files import binary_stl

# A sentence: from a capital, a number, or the name of a file or option, to a full stop; one question is asked at times.
SENTENCE = re.compile(r"^\S.*[.?]$")
ROOT = Path(__file__).parents[2]


def environment(**changes: str) -> dict[str, str]:
    """The bare surroundings of a program: a path to the interpreter, our sources, and *changes*."""
    kept = {key: os.environ[key] for key in ("PATH", "SYSTEMROOT") if key in os.environ}
    return {**kept, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", **changes}


def program(*arguments: object, folder: Path, **surroundings: object) -> subprocess.CompletedProcess[bytes]:
    """Run ``moldvol`` as its own process in *folder*."""
    changes = {key: str(value) for key, value in surroundings.items()}
    return subprocess.run(
        [sys.executable, "-m", "moldvol", *map(os.fspath, map(str, arguments))],
        cwd=folder,
        env=environment(**changes),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=60,
        check=False,
    )


class TestPipes:
    def test_no_colour_and_no_cursor_tricks_in_a_pipe(self, tmp_path: Path) -> None:
        cube(tmp_path)
        ran = program("measure", "cube.stl", folder=tmp_path, TERM="xterm-256color", COLORTERM="truecolor")
        assert ran.returncode == 0 and ran.stderr == b""
        assert b"\x1b" not in ran.stdout and b"\r" not in ran.stdout.replace(b"\r\n", b"\n")

    @pytest.mark.parametrize("arguments", [("resins",), ("measure", "cube.stl"), ("measure", "cube.stl", "--json")])
    def test_a_reader_that_has_left_is_no_error(self, tmp_path: Path, arguments: tuple[str, ...]) -> None:
        """As in ``moldvol … | head -1``, with the reader gone before the first word."""
        cube(tmp_path)
        read, write = os.pipe()
        os.close(read)
        ran = subprocess.run(
            [sys.executable, "-m", "moldvol", *arguments],
            cwd=tmp_path,
            env=environment(),
            stdout=write,
            stderr=subprocess.PIPE,
            timeout=60,
            check=False,
        )
        os.close(write)
        assert ran.stderr == b"" and ran.returncode == 0

    def test_ctrl_c_while_waiting_for_a_slow_pipe(self, tmp_path: Path) -> None:
        with subprocess.Popen(
            [sys.executable, "-m", "moldvol", "measure", "-"],
            cwd=tmp_path,
            env=environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as running:
            assert running.stdin is not None
            running.stdin.write(binary_stl()[:200])
            running.stdin.flush()
            wait_until_it_reads(running.pid)
            running.send_signal(signal.SIGINT)
            out, err = running.communicate(timeout=30)
        assert running.returncode == 130
        assert out == b"" and err.split(b"\n") == [b"", b"Interrupted.", b""]
        assert list(tmp_path.iterdir()) == []


def wait_until_it_reads(process: int) -> None:
    """Until the process sits in a read, as far as this system tells; a moment longer where it does not."""
    state = Path(f"/proc/{process}/wchan")
    for _ in range(200):
        time.sleep(0.1)
        if not state.exists():
            time.sleep(3)
            return
        if "pipe" in state.read_text(encoding="ascii", errors="replace"):
            return


ODD_NAMES = [
    "Büste – Größe 2.stl",
    "🦉.stl",
    "-part.stl",
    "a b 'c' \"d\".stl",
    "CUBE.STL",
    "cube",
    "two\nlines.stl",
    "\x1b[31mred.stl",
]


class TestNames:
    @pytest.mark.parametrize("name", ODD_NAMES)
    def test_an_odd_name_is_read_and_told(self, tmp_path: Path, name: str) -> None:
        path = cube(tmp_path, name)
        assert answered("measure", path)["volume_mm3"] == pytest.approx(8000)
        told = moldvol("measure", path)
        assert told.status == 0 and "Closed solid, 1 body. 8 ml." in told.out.splitlines()
        assert "lines.stl" not in told.out.splitlines() and "\x1b" not in told.out

    def test_a_leading_dash_after_two_dashes(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        cube(tmp_path, "-part.stl")
        monkeypatch.chdir(tmp_path)
        assert answered("measure", "./-part.stl")["file"].endswith("-part.stl")
        assert moldvol("measure", "--", "-part.stl").status == 0

    def test_a_name_with_a_line_break_stays_one_line_of_error(self, tmp_path: Path) -> None:
        path = tmp_path / "two\nlines.stl"
        path.write_bytes(b"")
        told = moldvol("measure", path)
        assert told.status == 1 and len(told.err.splitlines()) == 1

    def test_a_name_that_is_no_text(self, tmp_path: Path) -> None:
        """Latin-1 bytes on a UTF-8 system: read, and told with a mark in place of what cannot be shown."""
        path = os.fsencode(tmp_path) + b"/caf\xe9.stl"
        Path(os.fsdecode(path)).write_bytes(binary_stl())
        for extra in ([], [b"--json"]):
            ran = subprocess.run(
                [sys.executable.encode(), b"-m", b"moldvol", b"measure", path, *extra],
                env=environment(PYTHONIOENCODING="utf-8:strict"),
                capture_output=True,
                timeout=60,
                check=False,
            )
            assert ran.returncode == 0 and ran.stderr == b"" and b"caf" in ran.stdout

    @pytest.mark.parametrize("make", ["folder", "loop", "missing", "locked"])
    def test_what_is_no_file(self, tmp_path: Path, make: str) -> None:
        path = tmp_path / "part.stl"
        match make:
            case "folder":
                path.mkdir()
            case "loop":
                path.symlink_to(path)
            case "locked":
                path = Path("/proc/self/mem") if Path("/proc/self/mem").exists() else tmp_path
        said = refused("measure", path, status=1)
        assert SENTENCE.match(said) and "Traceback" not in said


class TestSurroundings:
    @pytest.mark.parametrize(
        "locale",
        [
            {"LANG": "C"},
            {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
            {"PYTHONIOENCODING": "ascii"},
        ],
        ids=["LANG=C", "a real POSIX locale", "an ASCII stdout"],
    )
    def test_a_locale_without_letters(self, tmp_path: Path, locale: dict[str, str]) -> None:
        """What the terminal cannot show is replaced; the answer comes all the same."""
        cube(tmp_path, "Größe.stl")
        ran = program("measure", tmp_path / "Größe.stl", folder=tmp_path, **locale)
        assert ran.returncode == 0 and ran.stderr == b"" and b"8 ml" in ran.stdout
        as_json = program("measure", tmp_path / "Größe.stl", "--json", folder=tmp_path, **locale)
        assert json.loads(as_json.stdout.decode("utf-8", "replace"))["volume_mm3"] == pytest.approx(8000)

    def test_a_folder_nothing_may_be_written_to_and_no_home(self, tmp_path: Path) -> None:
        cube(tmp_path)
        before = sorted(tmp_path.iterdir())
        tmp_path.chmod(0o555)
        try:
            ran = program("cast", "cube.stl", "--resin", "fast-urethane", folder=tmp_path)
        finally:
            tmp_path.chmod(0o755)
        assert ran.returncode == 0 and ran.stderr == b""
        assert sorted(tmp_path.iterdir()) == before

    def test_measuring_leaves_nothing_behind(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        path = cube(tmp_path)
        monkeypatch.chdir(tmp_path)
        assert moldvol("measure", path).status == 0
        assert list(tmp_path.iterdir()) == [path]


WRONG_USES = [
    ("measure",),
    ("meazure", "cube.stl"),
    ("measure", "cube.stl", "--furl"),
    ("measure", "cube.stl", "-x"),
    ("measure", "cube.stl", "--unit", "furlong"),
    ("measure", "cube.stl", "--as", "sphere"),
    ("measure", "cube.stl", "--thin", "nan"),
    ("measure", "cube.stl", "--part", "7"),
    ("measure", "cube.stl", "--as", "cavity"),
    ("cast", "cube.stl"),
    ("cast", "cube.stl", "--resin", "fast-uretane"),
    ("cast", "cube.stl", "--resin", "fast-urethane", "--copies", "0"),
    ("resins", "plaster-of-rome"),
    ("resins", "one", "two"),
]
UNUSABLE = {
    "empty": b"",
    "a web page": b"<!doctype html><html><body>Not found</body></html>",
    "cut short": binary_stl()[:-75],
    "no triangles": binary_stl()[:80] + b"\0\0\0\0",
    "a sheet": binary_stl(np.array([[(0, 0, 0), (9, 0, 0), (9, 9, 0)], [(0, 0, 0), (9, 9, 0), (0, 9, 0)]])),
}


class TestRefusals:
    @pytest.mark.parametrize("arguments", WRONG_USES, ids=" ".join)
    def test_a_wrong_use_ends_in_one_sentence_and_status_two(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...]
    ) -> None:
        cube(tmp_path)
        monkeypatch.chdir(tmp_path)
        said = refused(*arguments)
        assert SENTENCE.match(said) and (said[0].isupper() or said.split()[0].endswith(".stl"))
        error = moldvol(*arguments, "--json").document["error"]
        assert set(error) == {"code", "message", "file"} and error["code"]

    @pytest.mark.parametrize("content", UNUSABLE.values(), ids=UNUSABLE)
    def test_an_unusable_file_ends_in_one_sentence_and_status_one(self, tmp_path: Path, content: bytes) -> None:
        path = tmp_path / "part.stl"
        path.write_bytes(content)
        said = refused("measure", path, status=1)
        assert SENTENCE.match(said) and "part.stl" in said
        error = moldvol("measure", path, "--json").document["error"]
        assert error["file"] and error["code"] in ("unreadable", "unsound", "open", "sheet")

    def test_options_without_their_value_and_unknown_shells(self, tmp_path: Path) -> None:
        for arguments in (("measure", cube(tmp_path), "--unit"), ("completion", "tcsh")):
            told = moldvol(*arguments)
            assert told.status == 2 and told.out == "" and SENTENCE.match(told.sentence)

    def test_the_reason_stands_in_the_last_line(self, tmp_path: Path) -> None:
        assert moldvol("measure", cube(tmp_path), "--furl").err.splitlines()[-1].startswith("Error: ")


class TestHelp:
    @pytest.mark.parametrize("name", COMMANDS)
    def test_every_command_explains_itself(self, name: str) -> None:
        told = moldvol(name, "--help")
        assert told.status == 0 and told.err == "" and "Usage: moldvol" in told.out
        assert max(map(len, told.out.splitlines())) <= 100

    @pytest.mark.parametrize("name", ["cast", "compare", "heat", "hollow", "leftover", "mould"])
    def test_who_names_no_resin_is_told_where_the_names_stand(self, tmp_path: Path, name: str) -> None:
        words = ("18g", "--into", cube(tmp_path)) if name == "leftover" else (cube(tmp_path), "--wall", "3mm")
        said = refused(name, *(words if name in ("compare", "hollow", "leftover") else words[:1]))
        assert said.startswith("Missing option '--") and said.endswith("'moldvol resins' lists the shelf.")

    @pytest.mark.parametrize("name", ["hollow", "compare"])
    def test_no_option_is_passed_over_without_a_word(self, tmp_path: Path, name: str) -> None:
        options = ("--resin", "slow-urethane", "--wall", "3mm", "--pot", "250ml")
        assert "No such option" in refused(name, cube(tmp_path), *options)

    def test_the_command_alone_shows_the_commands(self) -> None:
        told = moldvol("--help")
        assert told.status == 0 and all(name in told.out for name in COMMANDS)

    def test_the_version(self) -> None:
        assert re.fullmatch(r"moldvol \d+\.\d+\.\d+\n", moldvol("--version").out)

    @pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
    def test_the_completion_script(self, shell: str) -> None:
        told = moldvol("completion", shell)
        assert told.status == 0 and "_MOLDVOL_COMPLETE" in told.out

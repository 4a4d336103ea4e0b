"""More of how the program behaves in a terminal: exit statuses, closed and full streams, errors as JSON, --strict."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from moldvol import __version__, errors
from moldvol.cli import COMMANDS, commands, meshes
from moldvol.cli.options import MeshOptions
from moldvol.cli.running import INTERRUPTED, run
from moldvol.geometry.reading import MeshFile
from tests.cli.command_line import answered, cube, moldvol
from tests.cli.test_manners import SENTENCE, environment, program
from tests.files import CUBE_CORNERS, binary_stl
from tests.shapes import ball

ROOT = Path(__file__).parents[2]
FULL_DISK = Path("/dev/full")
RESIN = ("--resin", "fast-urethane")
ERRORS = [error for error in vars(errors).values() if isinstance(error, type) and issubclass(error, Exception)]


def failing(trouble: BaseException) -> click.Command:
    """A command that runs into *trouble*."""

    @click.command("measure")
    @click.option("--json", is_flag=True)
    def command(json: bool) -> None:
        raise trouble

    return command


def shell(line: str, folder: Path, **changes: str) -> subprocess.CompletedProcess[bytes]:
    """Run *line* with ``moldvol`` standing for our program, as bash does."""
    script = f'moldvol() {{ "{sys.executable}" -m moldvol "$@"; }}; {line}'
    return subprocess.run(
        ["bash", "-c", script], cwd=folder, env=environment(**changes), capture_output=True, timeout=60, check=False
    )


def calm(text: bytes) -> bool:
    return b"Traceback" not in text and b"Exception ignored" not in text


class TestExitStatus:
    @pytest.mark.parametrize("error", ERRORS)
    def test_every_error_of_ours_has_its_status_and_its_json(
        self, error: type[errors.MoldvolError], capsys: pytest.CaptureFixture[str]
    ) -> None:
        status = 2 if error is errors.RequestError else 1
        raised = error("The owl leaks; close it.", file="owl.stl")
        assert run(failing(raised), []) == status
        assert capsys.readouterr() == ("", "Error: The owl leaks; close it.\n")
        assert run(failing(raised), ["--json"]) == status
        told = json.loads(capsys.readouterr().out)
        assert told["error"] == {"code": raised.kind, "message": "The owl leaks; close it.", "file": "owl.stl"}

    @pytest.mark.parametrize(
        ("trouble", "status", "code"),
        [
            (MemoryError(), 1, "memory"),
            (PermissionError(13, "Permission denied", "there"), 1, "system"),
            (OSError("what"), 1, "system"),
            (click.FileError("there", "no"), 2, "usage"),
            (click.BadParameter("It is bad"), 2, "usage"),
            (KeyboardInterrupt(), 130, "interrupted"),
            (click.Abort(), 130, "interrupted"),
        ],
    )
    def test_other_trouble(
        self, trouble: BaseException, status: int, code: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run(failing(trouble), ["--json"]) == status
        out, err = capsys.readouterr()
        error = json.loads(out)["error"]
        assert error["code"] == code and SENTENCE.match(error["message"])
        assert error["message"] in err

    def test_a_fault_of_ours_is_not_hidden(self) -> None:
        with pytest.raises(ZeroDivisionError):
            run(failing(ZeroDivisionError()), [])

    def test_the_help_page_tells_the_statuses_and_so_does_the_manual(self) -> None:
        words = " ".join(moldvol("--help").out.split())
        assert "Exit status: 0 the amounts were given; 1 a file cannot be used" in words
        manual = (ROOT / "docs" / "exit-status.md").read_text(encoding="utf-8")
        for status in ("0", "1", "2", "130"):
            assert re.search(rf"^\| `{status}` \|", manual, re.MULTILINE)
        for code in ("--strict", "--json", "interrupted", "broke-reader", "memory", "system"):
            assert code in manual

    def test_the_manual_shows_what_happens(self, tmp_path: Path) -> None:
        manual = (ROOT / "docs" / "exit-status.md").read_text(encoding="utf-8")
        transcripts = re.findall(r"^```console\n\$ (.*)\n((?:.*\n)*?)```", manual, re.MULTILINE)
        assert len(transcripts) == 3
        for line, shown in transcripts:
            ran = shell(f"({line}) 2>&1", tmp_path)
            assert ran.stdout.decode() == shown

    @pytest.mark.parametrize("shown", ["--help", "-h"])
    def test_help_is_no_error(self, shown: str) -> None:
        assert all(moldvol(name, shown).status == 0 for name in COMMANDS)


class TestVersion:
    @pytest.mark.parametrize("order", [("--version", "--json"), ("--json", "--version")])
    def test_as_json(self, order: tuple[str, str]) -> None:
        told = moldvol(*order)
        assert (told.status, told.err) == (0, "")
        assert told.document == {"schema_version": 1, "ok": True, "name": "moldvol", "version": __version__}

    def test_json_without_a_command(self) -> None:
        for arguments in (("--json",), ("--json", "resins")):
            told = moldvol(*arguments)
            assert told.status == 2 and told.document["error"]["message"] == told.sentence


class TestStrict:
    @pytest.fixture
    def doubtful(self, tmp_path: Path) -> Path:
        path = tmp_path / "small.stl"
        path.write_bytes(binary_stl(CUBE_CORNERS / 1000))
        return path

    def test_warnings_make_it_three_and_the_answer_stays_whole(self, doubtful: Path) -> None:
        plain, strict = moldvol("measure", doubtful), moldvol("measure", doubtful, "--strict")
        assert (plain.status, strict.status) == (0, 3)
        assert strict.out == plain.out and strict.err == ""
        as_json = moldvol("measure", doubtful, "--strict", "--json")
        assert as_json.status == 3 and as_json.document["warnings"]

    def test_no_warning_no_matter(self, tmp_path: Path) -> None:
        assert moldvol("measure", cube(tmp_path), "--strict").status == 0

    def test_one_of_several(self, tmp_path: Path, doubtful: Path) -> None:
        files = (cube(tmp_path), doubtful)
        assert [moldvol("measure", *files, *strict).status for strict in ((), ("--strict",))] == [0, 3]

    def test_without_a_mesh(self) -> None:
        """Twenty grams cannot be split well on a scale of whole grams."""
        assert answered("mix", "20g", *RESIN)["warnings"]
        assert [moldvol("mix", "20g", *RESIN, *strict).status for strict in ((), ("--strict",))] == [0, 3]

    def test_quiet_or_not(self, doubtful: Path) -> None:
        assert moldvol("measure", doubtful, "--strict", "-q").status == 3

    def test_every_command_that_answers_takes_it(self) -> None:
        for name in sorted(set(COMMANDS) - {"bench", "log", "completion"}):
            command = commands.get_command(click.Context(commands), name)
            assert command is not None
            assert any("--strict" in parameter.opts for parameter in command.params), name


class TestStreams:
    @pytest.mark.parametrize("arguments", ["measure cube.stl", "resins --json", "--help"])
    def test_a_full_disk(self, tmp_path: Path, arguments: str) -> None:
        assert FULL_DISK.exists()
        cube(tmp_path)
        ran = shell(f"moldvol {arguments} > {FULL_DISK}", tmp_path)
        assert ran.returncode == 1 and ran.stderr.count(b"\n") == 1
        assert b"no space left on device" in ran.stderr

    def test_a_full_disk_for_errors(self, tmp_path: Path) -> None:
        ran = shell(f"moldvol measure none.stl --json 2> {FULL_DISK}", tmp_path)
        assert ran.returncode == 1 and json.loads(ran.stdout)["error"]["code"] == "unreadable"

    @pytest.mark.parametrize(
        ("line", "status"),
        [
            ("moldvol measure - <&-", 1),
            ("moldvol log add - --actual 3g --json <&-", 2),
            ("moldvol resins >&-", 0),
            ("moldvol resins nothing 2>&-", 2),
            ("moldvol measure cube.stl <&- >&- 2>&-", 0),
            ("moldvol resins nothing --json >&- 2>&-", 2),
        ],
    )
    def test_closed_streams(self, tmp_path: Path, line: str, status: int) -> None:
        cube(tmp_path)
        ran = shell(line, tmp_path)
        assert ran.returncode == status and calm(ran.stderr) and calm(ran.stdout)

    @pytest.mark.parametrize(
        "line",
        [
            "moldvol resins | head -1",
            "moldvol resins --json | head -c 10",
            "moldvol --help | head -1",
            "moldvol resins nothing 2>&1 | head -c 0",
            "moldvol resins nothing --json 2>&1 | head -c 1",
            "moldvol nonsense 2>&1 | head -1",
        ],
    )
    def test_a_reader_that_leaves_early(self, tmp_path: Path, line: str) -> None:
        ran = shell(f"{line}; exit 0", tmp_path)
        assert ran.stderr == b"" and calm(ran.stdout)

    @pytest.mark.parametrize("extra", [{"FORCE_COLOR": "1", "NO_COLOR": "1"}, {"TERM": "dumb"}, {"CI": "true"}])
    def test_no_colour_for_a_file_or_where_it_is_not_wanted(self, tmp_path: Path, extra: dict[str, str]) -> None:
        ran = program("resins", folder=tmp_path, **extra)
        assert ran.returncode == 0 and ran.stderr == b"" and not re.search(rb"\x1b\[[0-9;]*3[0-9]m", ran.stdout)

    def test_json_is_the_same_however_loud(self, tmp_path: Path) -> None:
        path = cube(tmp_path)
        texts = {moldvol("measure", path, "--json", *extra).out for extra in ((), ("-q",), ("--no-progress",))}
        assert len(texts) == 1

    def test_a_terminal_for_errors_gets_no_bar_into_the_answer(self, tmp_path: Path) -> None:
        """Stderr on a pseudo-terminal: whatever is drawn there, stdout holds the answer only."""
        cube(tmp_path)
        leader, follower = os.openpty()
        try:
            with subprocess.Popen(
                [sys.executable, "-m", "moldvol", "hollow", "cube.stl", "--wall", "3mm", *RESIN, "--json"],
                cwd=tmp_path, env=environment(TERM="xterm"), stdout=subprocess.PIPE, stderr=follower,
            ) as running:  # fmt: skip
                out, _ = running.communicate(timeout=60)
        finally:
            os.close(follower)
            os.close(leader)
        assert running.returncode == 0 and b"\x1b" not in out
        assert json.loads(out)["hollow"]["wall_mm"] == 3


class TestTyping:
    @pytest.mark.parametrize("typed", [("--bench", "-5c"), ("--bench=-5c",)])
    def test_a_negative_value_is_a_value(self, tmp_path: Path, typed: tuple[str, ...]) -> None:
        assert answered("cast", cube(tmp_path), *RESIN, *typed)["mix"]["bench_c"] == -5

    def test_an_argument_behind_two_dashes(self) -> None:
        told = moldvol("mix", *RESIN, "--", "-250g")
        assert told.status == 2 and "'-250g'" in told.sentence

    @pytest.mark.parametrize("typed", ["1,5", "1.5"])
    def test_a_decimal_comma_is_a_decimal_point(self, tmp_path: Path, typed: str) -> None:
        path = cube(tmp_path)
        assert answered("measure", path, "--height", f"{typed}cm")["size_mm"][2] == pytest.approx(15)
        assert answered("mix", f"100{typed[1:]}g", *RESIN)["total_mass_g"] == pytest.approx(100.5)

    @pytest.mark.parametrize("typed", ["3 furlong", "3mmm", "", " ", "mm", "1e", "--", "0x10", "3mm\n4mm", "1/0in"])
    def test_a_length_that_is_none_is_refused_in_its_own_words(self, tmp_path: Path, typed: str) -> None:
        told = moldvol("measure", cube(tmp_path), f"--thin={typed}")
        assert told.status == 2 and len(told.err.strip().split("\n\n")[-1].splitlines()) == 1
        assert "Traceback" not in told.err and "--thin" in told.sentence


PLACES: dict[str, Callable[[Path], Path]] = {
    "a read-only place": lambda folder: Path("/proc/job.html"),
    "a file for a folder": lambda folder: cube(folder, "file") / "job.html",
    "a name too long": lambda folder: folder / f"{'x' * 300}.html",
    "a full disk": lambda folder: (folder / "job.html").symlink_to(FULL_DISK) or folder / "job.html",
}


class TestWrites:
    @pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
    def test_what_cannot_be_written_is_one_sentence(self, tmp_path: Path, place: Callable[[Path], Path]) -> None:
        told = moldvol("mix", "205g", *RESIN, "--sheet", place(tmp_path), "--force")
        assert told.status in (1, 2) and SENTENCE.match(told.sentence) and "Traceback" not in told.err

    def test_rows_where_nothing_can_be_written(self, tmp_path: Path) -> None:
        told = moldvol("measure", cube(tmp_path), "--csv", "--out", "/proc/rows.csv")
        assert told.status == 2 and "/proc/rows.csv" in told.sentence
        full = moldvol("measure", tmp_path / "cube.stl", "--csv", "--out", FULL_DISK, "--force")
        assert full.status == 1 and "no space left" in full.sentence

    def test_a_folder_that_was_deleted_under_our_feet(self, tmp_path: Path) -> None:
        path = cube(tmp_path)
        gone = tmp_path / "gone"
        gone.mkdir()
        for line, status in (("moldvol resins", 0), (f"moldvol measure {path.name}", 1)):
            gone.mkdir(exist_ok=True)
            ran = shell(f"rmdir {gone}; {line}", gone)
            assert ran.returncode == status and calm(ran.stderr)

    def test_a_home_that_is_not_there(self, tmp_path: Path) -> None:
        """The pour book has its usual place there; what does not need it works."""
        ran = program("cast", cube(tmp_path), *RESIN, folder=tmp_path, HOME="/nonexistent", XDG_DATA_HOME="/proc/x")
        assert ran.returncode == 0 and ran.stderr == b""
        log = program("log", "add", "--mould", "owl", *RESIN, "--planned", "9g", "--actual", "9g", "--json",
                      folder=tmp_path, HOME="/nonexistent", XDG_DATA_HOME="/proc/x")  # fmt: skip
        assert log.returncode == 1 and json.loads(log.stdout)["error"]["code"] == "shelf" and calm(log.stderr)


class TestSignals:
    def test_ctrl_c_in_the_middle_of_work(self, tmp_path: Path) -> None:
        """A mesh that takes a while, and no half of a sheet."""
        path = tmp_path / "ball.stl"
        path.write_bytes(binary_stl(ball(20, 7).mesh.corners()))
        with subprocess.Popen(
            [sys.executable, "-c", BEGINNING, "cast", str(path), *RESIN, "--json", "--sheet", str(tmp_path / "a.html")],
            cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        ) as running:  # fmt: skip
            wait_for(tmp_path / "begun", running)
            running.send_signal(signal.SIGINT)
            out, err = running.communicate(timeout=60)
        assert running.returncode == INTERRUPTED and calm(err)
        assert err.splitlines()[-1] == b"Interrupted."
        assert json.loads(out)["error"]["code"] == "interrupted"
        assert sorted(entry.name for entry in tmp_path.iterdir()) == ["ball.stl", "begun"]

    @pytest.mark.parametrize(("names", "told"), [("ab", "{0}/a.html"), ("abcde", "4 files")])
    def test_ctrl_c_names_what_had_been_written(
        self, tmp_path: Path, names: str, told: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Of several files all but the last get their sheets; then Ctrl-C comes while the last mesh is read."""
        files = [tmp_path / f"{name}.stl" for name in names]
        for file in files:
            file.write_bytes(binary_stl(CUBE_CORNERS))
        read = meshes.read

        def interrupted_at_the_last(file: str, options: MeshOptions) -> MeshFile:
            if file == str(files[-1]):
                raise KeyboardInterrupt
            return read(file, options)

        monkeypatch.setattr(meshes, "read", interrupted_at_the_last)
        asked = ["cast", *map(str, files), *RESIN, "--json", "--sheet", str(tmp_path)]
        assert run(commands, asked) == INTERRUPTED
        out, err = capsys.readouterr()
        sentence = err.splitlines()[-1]
        assert sentence.startswith(f"Interrupted; {told.format(tmp_path)} had been written")
        assert json.loads(out)["error"]["message"] == sentence
        assert sorted(path.stem for path in tmp_path.glob("*.html")) == list(names[:-1])

    def test_a_hang_up_leaves_nothing_behind(self, tmp_path: Path) -> None:
        path = tmp_path / "ball.stl"
        path.write_bytes(binary_stl(ball(20, 7).mesh.corners()))
        with subprocess.Popen(
            [sys.executable, "-c", BEGINNING, "cast", str(path), *RESIN, "--sheet", str(tmp_path / "a.html")],
            cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        ) as running:  # fmt: skip
            wait_for(tmp_path / "begun", running)
            running.send_signal(signal.SIGTERM)
            out, err = running.communicate(timeout=60)
        assert running.returncode == -signal.SIGTERM and (out, err) == (b"", b"")
        assert sorted(entry.name for entry in tmp_path.iterdir()) == ["ball.stl", "begun"]


def wait_for(file: Path, running: subprocess.Popen[bytes]) -> None:
    """Until the program has made *file*."""
    while not file.exists():
        assert running.poll() is None
        time.sleep(0.02)


# Our program, which makes a file when the wall begins to be felt.
BEGINNING = """
from pathlib import Path
import sys
from moldvol.cli import main
from moldvol.geometry.wall import caliper
felt = caliper.feel_wall
def feel_wall(*arguments, **options):
    Path("begun").write_bytes(b"now")
    return felt(*arguments, **options)
caliper.feel_wall = feel_wall
main()
"""


class TestSameAgain:
    def test_the_digits_do_not_depend_on_threads(self, tmp_path: Path) -> None:
        (tmp_path / "ball.stl").write_bytes(binary_stl(ball(20, 3).mesh.corners()))
        told = {
            program("measure", "ball.stl", "--json", folder=tmp_path, OMP_NUM_THREADS=threads).stdout
            for threads in ("1", "2")
        }
        assert len(told) == 1

    def test_completion_knows_commands_and_options(self, tmp_path: Path) -> None:
        for words, cword, wanted in (("moldvol me", "1", b"measure"), ("moldvol measure --js", "2", b"--json-lines")):
            ran = program(folder=tmp_path, _MOLDVOL_COMPLETE="bash_complete", COMP_WORDS=words, COMP_CWORD=cword)
            assert ran.returncode == 0 and wanted in ran.stdout and calm(ran.stderr)


def test_nothing_is_said_on_leaving_after_a_sheet(tmp_path: Path) -> None:
    """A library of trees told of leaks, hundreds of lines, where a ring of garbage still held one."""
    ran = program(
        *(
            "hollow",
            ROOT / "sample_meshes/puppet_hand.stl",
            "--resin",
            "fast-urethane",
            "--wall",
            "2mm",
            "--detail",
            "2k",
        ),
        *("--sheet", tmp_path / "sheet.html"),
        folder=tmp_path,
    )
    assert (ran.returncode, ran.stderr.decode().splitlines()) == (0, [f"Wrote {tmp_path / 'sheet.html'}."])

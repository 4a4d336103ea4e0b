"""Batches from the command line: rows in a stable order, one bad file among good ones, going on where one stopped."""

from __future__ import annotations

import csv
import io
import json
import logging
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import click
import dask
import pytest
from distributed import LocalCluster

from moldvol.casting.crew import Crew
from moldvol.cli.batch import BatchOptions, batch_options, tell_many
from moldvol.cli.meshes import load
from moldvol.cli.options import MeshOptions, OutputOptions, files_argument, mesh_options, output_options
from moldvol.cli.running import run
from moldvol.cli.telling import Telling
from moldvol.geometry.wall.caliper import feel_wall
from moldvol.present import measure
from moldvol.present.batch import MEASURE_COLUMNS
from tests.cli.command_line import Outcome, answered, cube, moldvol
from tests.files import CUBE_CORNERS, ascii_stl, binary_stl, good_files
from tests.shapes import ball, box

ROOT = Path(__file__).parents[2]
RESIN = ("--resin", "fast-urethane", "--readability", "0.1g")
INTERRUPTED = re.compile(r"Interrupted; (\d+) of 10 files are done; their rows are in \S+, go on with --resume\.")
ODD_NAMES = ["Größe 2.stl", "🦉.stl", "a b 'c' \"d\",e.stl", "two\nlines.stl", "carriage\rreturn.stl", "=1+1.stl"]


def folder_of(place: Path, *names: str) -> Path:
    """A folder with a cube under each of *names*; what is called bad is a page of the web."""
    for name in names:
        path = place / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"<html>not found</html>" if "bad" in name else binary_stl())
    return place


def from_csv(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def from_lines(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.split("\n") if line]


def batch(*arguments: object, status: int = 0) -> list[dict[str, Any]]:
    """The rows of `measure … --json-lines` on standard output."""
    told = moldvol("measure", *arguments, "--json-lines")
    assert told.status == status, told.err
    return from_lines(told.out)


def names(rows: list[dict[str, Any]], folder: Path) -> list[str]:
    return [os.path.relpath(row["file"], folder) for row in rows]


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Threads for processes and the wall of one cube for all: for tests of which rows are made and where they go."""
    wall = feel_wall(box(20, 20, 20).mesh)
    monkeypatch.setattr("moldvol.casting.crew.local_crew", lambda workers: Crew("threading", 2, ()))
    for module in ("casting.measure", "geometry.wall.caliper"):
        monkeypatch.setattr(f"moldvol.{module}.feel_wall", lambda mesh, **_: wall)


class TestRows:
    def test_a_row_is_the_document_of_its_file(self, tmp_path: Path) -> None:
        path = cube(tmp_path)
        (row,) = batch(path)
        told = answered("measure", path)
        assert row.items() >= {key: told[key] for key in told.keys() - {"version", "settings"}}.items()  # 'job' is both
        assert (row["file"], row["status"], row["size_bytes"]) == (str(path), "ok", path.stat().st_size)
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}\+00:00", row["modified_at"])
        assert re.fullmatch(r"[0-9a-f]{12}", row["job"])

    @pytest.mark.usefixtures("quick")
    def test_a_table_of_casts(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path, "a.stl", "bad.stl", "c.stl")
        told = moldvol("cast", folder, *RESIN, "--add", "chalk=30%", "--copies", 3, "--csv")
        assert told.status == 1
        first, bad, last = from_csv(told.out)
        one = answered("cast", folder / "a.stl", *RESIN, "--add", "chalk=30%", "--copies", 3)
        assert float(first["total_mass_g"]) == pytest.approx(one["cast"]["total_mass_g"], rel=1e-8)
        for component in one["mix"]["components"]:
            assert float(first[f"{component['name']}_g"]) == pytest.approx(component["mass_g"], rel=1e-8)
        assert float(first["size_x_mm"]) == 20 and first["closed"] == "yes" and first["copies"] == "3"
        assert {**last, "file": "", "modified_at": ""} == {**first, "file": "", "modified_at": ""}
        assert (bad["status"], bad["error_code"], bad["volume_mm3"]) == ("failed", "unreadable", "")
        assert "bad.stl" in bad["error_message"]

    @pytest.mark.usefixtures("quick")
    def test_one_bad_file_does_not_stop_it_and_all_are_counted(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path, "a.stl", "bad 1.stl", "bad 2.stl")
        (tmp_path / "small.stl").write_bytes(binary_stl(CUBE_CORNERS / 1000))  # in metres
        told = moldvol("measure", folder, "--json-lines")
        assert told.status == 1
        assert [row["status"] for row in from_lines(told.out)] == ["ok", "failed", "failed", "warned"]
        lines = told.err.splitlines()
        assert lines[0] == "4 files: 1 ok, 1 warned, 2 failed."
        assert "unit-improbable (1)" in lines[1]
        assert sum(line.startswith("Failed: ") and "bad" in line for line in lines) == 2
        error = from_lines(told.out)[1]["error"]
        assert set(error) == {"code", "message", "file"} and error["file"] == str(folder / "bad 1.stl")

    def test_the_order_is_that_of_the_names_however_many_work(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path, *(f"{number:02}.stl" for number in range(6)))
        (folder / "00.stl").write_bytes(binary_stl(ball(20, 4).mesh.corners()))  # done last
        assert names(batch(folder, "--workers", 3), folder) == [f"{number:02}.stl" for number in range(6)]

    def test_names_start_where_the_user_stands(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        folder_of(tmp_path, "m/a.stl")
        monkeypatch.chdir(tmp_path)
        assert [row["file"] for row in batch("m")] == ["m/a.stl"]

    @pytest.mark.usefixtures("quick")
    def test_quiet_says_only_what_failed(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path, "a.stl", "bad.stl")
        told = moldvol("measure", folder, "--csv", "-q")
        assert told.status == 1 and "bad.stl" in told.sentence and len(told.err.splitlines()) == 1
        assert moldvol("measure", folder / "a.stl", "--csv", "-q").err == ""

    @pytest.mark.usefixtures("quick")
    def test_strict(self, tmp_path: Path) -> None:
        path = tmp_path / "small.stl"
        path.write_bytes(binary_stl(CUBE_CORNERS / 1000))
        assert [moldvol("measure", path, "--csv", *strict).status for strict in ((), ("--strict",))] == [0, 3]

    def test_fail_fast_ends_at_the_first_that_fails(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path, "0 bad.stl", *(f"{number}.stl" for number in range(1, 30)))
        told = moldvol("measure", folder, "--json-lines", "--fail-fast", "--workers", 1)
        assert told.status == 1 and "not done" in told.err
        assert from_lines(told.out)[0]["status"] == "failed" and len(from_lines(told.out)) < 30

    @pytest.mark.usefixtures("quick")
    def test_a_fault_on_one_file_costs_that_file_only(self, tmp_path: Path) -> None:
        """A part that this file does not have is no reason to leave the others."""
        folder = folder_of(tmp_path, "a.stl", "b.stl")
        rows = batch(folder, "--part", "7", status=1)
        assert [row["error"]["code"] for row in rows] == ["usage", "usage"]


@pytest.mark.usefixtures("quick")
class TestNames:
    @pytest.mark.parametrize("form", ["--csv", "--json-lines"])
    def test_odd_names_come_back_whole(self, tmp_path: Path, form: str) -> None:
        folder = folder_of(tmp_path, *ODD_NAMES)
        told = moldvol("measure", folder, form)
        assert told.status == 0, told.err
        rows = from_csv(told.out) if form == "--csv" else from_lines(told.out)
        assert sorted(Path(row["file"]).name for row in rows) == sorted(ODD_NAMES)

    @pytest.mark.parametrize("ending", ["csv", "jsonl"])
    def test_odd_names_are_gone_on_with(self, tmp_path: Path, ending: str) -> None:
        meshes = folder_of(tmp_path / "meshes", *ODD_NAMES)
        (meshes / os.fsdecode(b"caf\xe9.stl")).write_bytes(binary_stl())
        out = tmp_path / f"rows.{ending}"
        assert moldvol("measure", meshes, "--out", out).status == 0
        before = out.read_bytes()
        told = moldvol("measure", meshes, "--out", out, "--resume")
        assert told.status == 0 and "7 of them were done before" in told.err
        assert out.read_bytes() == before
        before.decode("utf-8")

    def test_which_files_are_meshes(self, tmp_path: Path) -> None:
        meshes = folder_of(tmp_path / "m", "a.stl", "B.STL", "deep/er/c.Ply", "notes.txt", ".hidden.stl", ".git/x.stl")
        (meshes / "deep/er/c.Ply").write_bytes(good_files()["ascii.ply"])
        (meshes / "folder.stl").mkdir()
        (meshes / "gone.stl").symlink_to(meshes / "nothing")
        (meshes / "loop.stl").symlink_to(meshes / "loop.stl")
        (meshes / "deep" / "up").symlink_to(meshes)
        (meshes / "linked.stl").symlink_to(meshes / "a.stl")
        os.mkfifo(meshes / "pipe.stl")
        assert names(batch(meshes), meshes) == ["B.STL", "a.stl", "linked.stl"]
        assert names(batch(meshes, "--recursive"), meshes) == ["B.STL", "a.stl", "deep/er/c.Ply", "linked.stl"]

    def test_a_file_that_is_named_is_read_whatever_it_is_called(self, tmp_path: Path) -> None:
        meshes = folder_of(tmp_path / "m", "cube", ".hidden.stl", "notes.txt")
        rows = batch(meshes / "notes.txt", meshes / ".hidden.stl", meshes / "cube", tmp_path / "none.stl", status=1)
        assert [row["status"] for row in rows] == ["ok", "ok", "ok", "failed"]
        assert rows[-1]["size_bytes"] is None and rows[-1]["error"]["code"] == "unreadable"

    def test_a_file_is_told_once(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        folder_of(tmp_path, "m/a.stl", "m/b.stl")
        monkeypatch.chdir(tmp_path)
        assert [row["file"] for row in batch("m/b.stl", "m", "./m/a.stl")] == ["m/b.stl", "m/a.stl"]

    def test_a_folder_without_a_mesh(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path / "m", "notes.txt", "deep/a.stl")
        assert "--recursive" in moldvol("measure", folder, "--csv").sentence
        assert moldvol("measure", folder, "--csv").status == 2
        assert "--recursive" not in moldvol("measure", folder_of(tmp_path / "n", "x.txt"), "--csv", "-r").sentence


@pytest.mark.usefixtures("quick")
class TestGoingOn:
    @pytest.fixture(params=["csv", "jsonl"])
    def out(self, request: pytest.FixtureRequest, tmp_path: Path) -> Path:
        return tmp_path / f"rows.{request.param}"

    @pytest.fixture
    def meshes(self, tmp_path: Path) -> Path:
        return folder_of(tmp_path / "meshes", "a.stl", "bad.stl", "c.stl", "two\nlines.stl")

    def go(self, meshes: Path, out: Path, *options: object) -> Outcome:
        return moldvol("measure", meshes, "--out", out, *options)

    def test_rows_are_kept_where_the_file_has_not_changed(self, meshes: Path, out: Path) -> None:
        told = self.go(meshes, out)
        assert told.out == "" and told.err.startswith("4 files: 3 ok, 0 warned, 1 failed.")
        before = out.read_bytes()
        again = self.go(meshes, out, "--resume")
        assert again.status == 1
        assert again.err.startswith("4 files: 3 ok, 0 warned, 1 failed; 4 of them were done before.")
        assert "Failed: " in again.err and out.read_bytes() == before

    def test_a_changed_file_and_a_new_one_are_done_in_their_place(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        (meshes / "c.stl").write_bytes(ascii_stl().encode())
        folder_of(meshes, "b.stl")
        told = self.go(meshes, out, "--resume")
        assert "5 files: 4 ok" in told.err and "3 of them were done before" in told.err
        resumed = out.read_bytes()
        self.go(meshes, out, "--force")
        assert resumed == out.read_bytes()

    def test_the_same_size_at_another_time_is_another_file(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        os.utime(meshes / "c.stl", (1, 1))
        assert "3 of them were done before" in self.go(meshes, out, "--resume").err

    def test_a_row_cut_off_at_the_end_is_made_again(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        whole = out.read_bytes()
        last = whole.rstrip(b"\n").rfind(b"meshes")  # within the row of the name that has two lines
        for cut in {last + 3, last + 10, last + 25, len(whole) - 1}:
            out.write_bytes(whole[:cut])
            told = self.go(meshes, out, "--resume")
            assert "3 of them were done before" in told.err, told.err
            assert out.read_bytes() == whole

    def test_cut_within_the_first_line(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        whole = out.read_bytes()
        for cut in (0, 1, 10):
            out.write_bytes(whole[:cut])
            assert "done before" not in self.go(meshes, out, "--resume").err
            assert out.read_bytes() == whole

    def test_rows_of_other_files_are_left(self, meshes: Path, out: Path, tmp_path: Path) -> None:
        self.go(meshes, out)
        before = out.read_bytes()
        self.go(folder_of(tmp_path / "more", "z.stl"), out, "--resume")
        assert out.read_bytes().startswith(before) and len(out.read_bytes()) > len(before)

    def test_other_options_are_another_job(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        before = out.read_bytes()
        told = self.go(meshes, out, "--resume", "--unit", "in")
        assert told.status == 2 and "other options" in told.sentence and "--force" in told.sentence
        assert out.read_bytes() == before
        # How it is told and by how many does not matter.
        assert self.go(meshes, out, "--resume", "-q", "--workers", 1, "--no-progress", "--strict").status == 1
        assert out.read_bytes() == before

    def test_a_file_that_is_there_is_kept(self, meshes: Path, out: Path) -> None:
        out.write_text("mine", encoding="utf-8")
        for options in ((), ("--resume",)):
            told = self.go(meshes, out, *options)
            assert told.status == 2 and str(out) in told.sentence
            assert out.read_text(encoding="utf-8") == "mine"

    @pytest.mark.parametrize("content", [b"\xff\n", b"mine\nand yours\n", b"[1]\n", b'{"file": 3}\n', b'"\n', b"1\n"])
    def test_what_is_no_table_of_ours_is_not_touched(self, meshes: Path, out: Path, content: bytes) -> None:
        out.write_bytes(content)
        told = self.go(meshes, out, "--resume")
        assert told.status == 2 and "other things" in told.sentence and out.read_bytes() == content

    def test_a_row_of_another_shape(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        first, _, rest = out.read_bytes().partition(b"\n")
        broken = first + b"\n" + b"a,b,c\n" + rest
        out.write_bytes(broken)
        assert self.go(meshes, out, "--resume").status == 2 and out.read_bytes() == broken

    def test_a_shelf_that_has_changed_is_another_job(self, meshes: Path, out: Path, tmp_path: Path) -> None:
        shelf = tmp_path / "mine.toml"
        shelf.write_text('[filler.own]\nname = "own"\ndensity_g_ml = 2.0\n', encoding="utf-8")
        command = ("cast", meshes, *RESIN, "--shelf", shelf, "--out", out)
        moldvol(*command)
        assert "done before" in moldvol(*command, "--resume").err
        shelf.write_text('[filler.own]\nname = "own"\ndensity_g_ml = 2.1\n', encoding="utf-8")
        assert "other options" in moldvol(*command, "--resume").sentence

    def test_what_the_machine_may_be_to_blame_for_is_tried_again(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        whole = out.read_text(encoding="utf-8")
        for code in ("broke-reader", "memory", "system"):
            out.write_text(whole.replace("unreadable", code), encoding="utf-8")
            assert "3 of them were done before" in self.go(meshes, out, "--resume").err
            assert out.read_text(encoding="utf-8") == whole

    def test_failing_fast_is_about_new_failures(self, meshes: Path, out: Path) -> None:
        self.go(meshes, out)
        folder_of(meshes, "x.stl", "y.stl")
        told = self.go(meshes, out, "--resume", "--fail-fast")
        assert told.status == 1 and told.err.startswith("6 files: 5 ok, 0 warned, 1 failed; 4 of them were done")

    @pytest.mark.parametrize("when", [-1e10, 0, 2**33, 1e14])
    def test_a_file_from_another_age(self, meshes: Path, out: Path, when: float) -> None:
        """Where the time cannot be told the file is done again rather than taken for unchanged."""
        with suppress(OverflowError, OSError):  # where the system has no such time
            os.utime(meshes / "a.stl", (when, when))
        self.go(meshes, out)
        assert re.search("[34] of them were done before", self.go(meshes, out, "--resume").err)

    def test_links_are_followed_and_stay_links(self, meshes: Path, out: Path, tmp_path: Path) -> None:
        link = tmp_path / f"link{out.suffix}"
        link.symlink_to(out)
        assert self.go(meshes, link).status == 1
        assert link.is_symlink() and out.is_file()


class TestRefusals:
    @pytest.mark.parametrize(
        ("options", "word"),
        [
            (("--out", "rows.txt"), "--csv or --json-lines"),
            (("--resume", "--csv"), "--out"),
            (("--fail-fast",), "--fail-fast goes with a batch"),
            (("--cluster", "tcp://127.0.0.1:9"), "--cluster goes with a batch"),
            (("--csv", "--workers", "0"), "--workers"),
            (("--csv", "-"), "standard input"),
            (("--csv", "--out", "gone/rows.csv"), "no folder gone"),
            (("--csv", "--out", "."), "is a folder"),
        ],
    )  # fmt: skip
    def test_options_that_do_not_go_together(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...], word: str
    ) -> None:
        cube(tmp_path)
        monkeypatch.chdir(tmp_path)
        told = moldvol("measure", "cube.stl", *options)
        assert (told.status, told.out) == (2, "") and word in told.sentence

    @pytest.mark.parametrize("two", [("--csv", "--json"), ("--csv", "--json-lines"), ("--json-lines", "--json")])
    def test_two_forms_at_once(self, tmp_path: Path, two: tuple[str, str]) -> None:
        told = moldvol("measure", cube(tmp_path), *two)
        assert told.status == 2 and "--json-lines" in told.sentence
        assert told.document["error"]["message"] == told.sentence

    def test_sheets_and_pictures(self, tmp_path: Path) -> None:
        told = moldvol("cast", cube(tmp_path), *RESIN, "--csv", "--sheet", tmp_path)
        assert told.status == 2 and "no sheets" in told.sentence

    def test_an_error_of_json_lines_is_json(self, tmp_path: Path) -> None:
        told = moldvol("measure", tmp_path, "--json-lines")
        assert told.status == 2 and told.document["error"]["message"] == told.sentence

    def test_a_wrong_resin_is_known_before_any_work(self, tmp_path: Path) -> None:
        told = moldvol("cast", cube(tmp_path), "--resin", "fast-uretane", "--csv")
        assert told.status == 2 and told.out == ""

    def test_a_cluster_has_no_pour_book(self, tmp_path: Path) -> None:
        told = moldvol("cast", cube(tmp_path), *RESIN, "--csv", "--cluster", "x:1", "--allowance", "learned")
        assert told.status == 2 and "pour book" in told.sentence

    def test_a_cluster_that_is_not_there_leaves_the_rows(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("moldvol.casting.crew.CONNECTING_S", 0.5)
        told = moldvol("measure", cube(tmp_path), "--out", tmp_path / "a.csv", "--cluster", "tcp://127.0.0.1:9")
        assert told.status == 2 and "No Dask scheduler" in told.sentence


# A copy of `measure` whose native reader falls over on some files.
@click.command("measure")
@files_argument
@mesh_options
@batch_options
@output_options
def falling_over(files: tuple[str, ...], mesh: MeshOptions, batch: BatchOptions, output: OutputOptions) -> int:
    """Kills its own process on files named so."""
    from moldvol.casting.measure import plan_measure

    def tell(file: str) -> Telling:
        if "killer" in file:
            os.kill(os.getpid(), signal.SIGKILL)
        plan = plan_measure(load(file, mesh))
        return Telling(lambda units: measure.report(plan, units), lambda: measure.document(plan))

    return tell_many(files, output, batch, tell, columns=lambda: MEASURE_COLUMNS)


class TestStruckDown:
    def test_a_file_that_breaks_the_reader_costs_that_file_only(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        folder = folder_of(tmp_path / "m", "a.stl", "b.stl", "killer.stl", "x.stl", "y.stl")
        out = tmp_path / "rows.jsonl"
        assert run(falling_over, [str(folder), "--out", str(out), "--workers", "2"]) == 1
        rows = from_lines(out.read_text(encoding="utf-8"))
        assert [row["status"] for row in rows] == ["ok", "ok", "failed", "ok", "ok"]
        assert rows[2]["error"]["code"] == "broke-reader"
        assert "killer.stl broke the reader" in capsys.readouterr().err

    @pytest.mark.usefixtures("quick")
    @pytest.mark.parametrize("blow", [signal.SIGINT, signal.SIGKILL])
    def test_what_was_done_is_kept_and_gone_on_with(self, tmp_path: Path, blow: signal.Signals) -> None:
        """Ctrl-C goes to all processes of the terminal; a kill to the one that leads, whose workers must not stay."""
        folder, out = tmp_path / "m", tmp_path / "rows.csv"
        folder_of(folder, "0.stl", "1.stl", "2.stl")
        for number in range(3, 10):
            (folder / f"{number}.stl").write_bytes(binary_stl(ball(20, 5).mesh.corners()))
        command = [sys.executable, "-m", "moldvol", "measure", str(folder), "--out", str(out)]
        surroundings = {**os.environ, "PYTHONPATH": str(ROOT)}
        with subprocess.Popen(
            command, env=surroundings, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
        ) as running:
            while not out.exists() or out.read_bytes().count(b"\n") < 4:
                assert running.poll() is None
                time.sleep(0.02)
            (os.killpg if blow == signal.SIGINT else os.kill)(running.pid, blow)
            told, err = running.communicate(timeout=60)
        done = from_csv(out.read_text(encoding="utf-8"))
        assert told == b"" and 3 <= len(done) < 10
        assert running.returncode == (130 if blow == signal.SIGINT else -blow)
        if blow == signal.SIGINT:
            said = INTERRUPTED.fullmatch(err.decode().splitlines()[-1])
            # Ctrl-C may come when a row is written, but not yet counted.
            assert said is not None and len(done) - int(said[1]) in (0, 1)
        again = moldvol("measure", folder, "--out", out, "--resume")
        assert f"{len(done)} of them were done before" in again.err
        rows = from_csv(out.read_text(encoding="utf-8"))
        assert [Path(row["file"]).name for row in rows] == [f"{number}.stl" for number in range(10)]
        assert len({row["volume_mm3"] for row in rows}) == 2

    def test_a_reader_of_rows_that_has_left_is_no_error(self, tmp_path: Path) -> None:
        folder = folder_of(tmp_path, *(f"{number}.stl" for number in range(9)))
        ran = subprocess.run(
            f"{sys.executable} -m moldvol measure {folder} --csv --quiet | head -1",
            shell=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            timeout=60,
            check=True,
        )
        assert ran.stdout.startswith(b"file,status,") and ran.stderr == b""


@pytest.fixture(scope="class")
def cluster() -> Iterator[LocalCluster]:
    """Two worker processes that stand in another folder than the user; one that dies is not given a second try."""
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    options = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None, "silence_logs": logging.CRITICAL}
    with dask.config.set({"distributed.scheduler.allowed-failures": 0}), LocalCluster(**options) as started:
        yield started


class TestCluster:
    def test_the_rows_are_those_of_this_machine(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cluster: LocalCluster
    ) -> None:
        folder_of(tmp_path / "m", "a.stl", "bad.stl", "c.stl", "two\nlines.stl")
        monkeypatch.chdir(tmp_path)
        here = moldvol("cast", "m", *RESIN, "--csv")
        there = moldvol("cast", "m", *RESIN, "--csv", "--cluster", cluster.scheduler_address)
        assert here.status == there.status == 1
        assert there.out == here.out.replace("m/bad.stl is", f"{tmp_path / 'm/bad.stl'} is")
        assert [row["file"] for row in from_csv(there.out)][:2] == ["m/a.stl", "m/bad.stl"]

    def test_a_file_that_kills_its_worker(self, tmp_path: Path, cluster: LocalCluster) -> None:
        folder = folder_of(tmp_path / "m", "a.stl", "killer.stl", "z.stl")
        out = tmp_path / "rows.jsonl"
        assert run(falling_over, [str(folder), "-q", "--out", str(out), "--cluster", cluster.scheduler_address]) == 1
        rows = from_lines(out.read_text(encoding="utf-8"))
        assert [row["error"]["code"] if row["status"] == "failed" else "" for row in rows] == ["", "broke-reader", ""]


def test_the_manual_shows_what_happens(tmp_path: Path) -> None:
    (tmp_path / "sample_meshes").symlink_to(ROOT / "sample_meshes")
    (transcript,) = re.findall(r"^```console\n(.*?)^```", (ROOT / "docs/batch.md").read_text("utf-8"), re.M | re.S)
    for line, shown in re.findall(r"^\$ (.*)\n((?:[^$].*\n)*)", transcript, re.MULTILINE):
        ran = subprocess.run(
            ["bash", "-c", f'moldvol() {{ "{sys.executable}" -m moldvol "$@"; }}; ({line}) 2>&1'],
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            timeout=120,
            check=True,
        )
        assert ran.stdout.decode() == shown

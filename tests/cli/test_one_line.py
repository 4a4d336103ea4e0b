"""How much is printed and how: ``-q`` one line, ``--no-remarks`` the figures, ``--colour`` where it is wanted."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from moldvol.cli import COMMANDS
from tests.cli.command_line import Outcome, answered, cube, moldvol, refused
from tests.cli.test_manners import environment, program
from tests.files import CUBE_CORNERS, binary_stl
from tests.shapes import box, moved, together

RESIN = ("--resin", "fast-urethane")
COARSE = ("--detail", "15k")
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")
COLOUR = re.compile(r"\x1b\[[0-9;]*3[0-7]m")

# Each command that answers, with the figures its line must hold; FILE is a cube of 20 mm.
ANSWERS = [
    (("measure", "FILE"), ("Closed solid, 1 body. 8 ml.", "20 × 20 × 20 mm")),
    (("cast", "FILE", *RESIN, "--copies", "20"), ("Mix 186.8 g: 98 g A, 89 g B.",)),
    (("cast", "FILE", *RESIN, "--copies", "20", "--pot", "150ml"), ("in 2 pots: (50 g A, 45 g B), (49 g A, 45 g B).",)),
    (("hollow", "FILE", "--wall", "3mm", *RESIN, *COARSE), ("A wall of 3 mm weighs 5.6", "2 coats for each cast: ")),
    (("compare", "FILE", "--wall", "3mm", *RESIN, *COARSE), ("Lightest and cheapest: hollow 3 mm, weighs 5.6",)),
    (("mould", "FILE", "--style", "block", "--rubber", "tin-silicone"), ("Block mould: mix ", "g base, ")),
    (("fill", "FILE"), ("It holds 8 ml",)),
    (("heat", "FILE", *RESIN, *COARSE), (" °C",)),
    (("mix", "205g", *RESIN), ("Mix 205 g: 108 g A, 97 g B.",)),
    (("mix", "205g", *RESIN, "--poured", "A=110g"), ("Add 99 g of B (until the scale shows 209 g).",)),
    (("leftover", "18g", *RESIN, "--into", "FILE"), ("Fill ", "cube.stl")),
    (("vessel", "--pressure", "60psi"), ("bubbles keep 20 % of their volume",)),
    (("vessel", "--degas", "500ml", "--vacuum", "29inhg"), ("froths up 4.25 ×",)),
    (("shrink", "120mm", *RESIN), ("by 1.00402 (0.4 % larger", "120.48 mm for 120.00 mm")),
    (("laminate", "--area", "0.5m2", "--mat", "2x450"), ("Cut 0.575 m² of every mat", "session 1: 2 × 450 g/m²")),
    (("plaster", "3l"), ("Sift 2799 g", "into 1959 g of water")),
    (("foam", "300ml"), ("Mix 22.08 g: 10 g A, 12 g B.",)),
    (("resins",), ("fast-urethane slow-urethane", "pottery-plaster")),
    (("resins", "fast-urethane"), ("100:90 by weight, 1.07 g/ml, pot life 3 min.",)),
    (("resins", "chalk"), ("2.71 g/ml",)),
    (("resins", "pottery-plaster"), ("70 of water to 100",)),
]  # fmt: skip


def asked(words: tuple[str, ...], file: Path, *more: str) -> Outcome:
    return moldvol(*(file if word == "FILE" else word for word in words), *more)


class TestQuiet:
    @pytest.mark.parametrize(("words", "figures"), ANSWERS, ids=[" ".join(words[:3]) for words, _ in ANSWERS])
    def test_the_answer_is_one_line(self, tmp_path: Path, words: tuple[str, ...], figures: tuple[str, ...]) -> None:
        told = asked(words, cube(tmp_path), "-q")
        assert (told.status, told.err) == (0, "")
        assert told.out.count("\n") == 1 and told.out.endswith("\n") and told.out.strip() == told.out.rstrip("\n")
        for figure in figures:
            assert figure in told.out

    def test_every_command_that_answers_is_asked_above(self) -> None:
        assert {words[0] for words, _ in ANSWERS} == COMMANDS.keys() - {"bench", "completion", "log"}

    def test_the_pour_book(self, tmp_path: Path) -> None:
        book = ("--book", tmp_path / "book.sqlite3")
        assert "Nothing is entered" in moldvol("log", "show", *book, "-q").out
        pour = ("--mould", "owl", *RESIN, "--net", "90g", "--planned", "99g", "--actual", "96g")
        assert moldvol("log", "add", *pour, *book, "-q").out == "Pour 1 is in the book.\n"
        assert moldvol("log", "show", *book, "-q").out == f"1 pour in {book[1]}.\n"
        exported = tmp_path / "pours.csv"
        assert moldvol("log", "export", "csv", exported, *book, "-q").out == f"1 pour written to {exported}.\n"

    def test_a_line_for_each_of_several_files_and_an_error_for_the_rest(self, tmp_path: Path) -> None:
        told = moldvol("measure", cube(tmp_path, "a.stl"), tmp_path / "gone.stl", cube(tmp_path, "b.stl"), "-q")
        assert [line.partition(": ")[0][-5:] for line in told.out.splitlines()] == ["a.stl", "b.stl"]
        assert told.status == 1 and len(told.err.splitlines()) == 1 and "gone.stl" in told.sentence

    def test_a_name_with_a_line_break_stays_on_its_line(self, tmp_path: Path) -> None:
        assert moldvol("measure", cube(tmp_path, "two\nlines.stl"), "-q").out.count("\n") == 1

    def test_what_must_be_read_is_in_the_line(self, tmp_path: Path) -> None:
        """No remarks are wanted; a scale that cannot weigh this, or a part of 0.02 mm, would cost a mould."""
        assert "Do not weigh 3.79 g of B on a scale that shows steps of 1 g" in moldvol("mix", "8g", *RESIN, "-q").out
        path = tmp_path / "small.stl"
        path.write_bytes(binary_stl(CUBE_CORNERS / 1000))
        assert "The largest side is 0.02 mm, an unlikely size" in moldvol("measure", path, "-q").out
        assert "80 °C is hot" in moldvol("mix", "205g", *RESIN, "--bench", "80", "-q").out

    def test_a_limb_that_closes_up_is_in_the_line(self, dumbbell: Path) -> None:
        told = moldvol("hollow", dumbbell, "--wall", "3mm", *RESIN, *COARSE, "-q")
        assert "A neck closes at 2 mm" in told.out and "the wall gets no thicker than that" in told.out

    def test_a_wall_that_leaves_nothing_hollow_is_told_first(self, tmp_path: Path) -> None:
        hollow = ("hollow", cube(tmp_path), "--wall", "12mm", *RESIN, *COARSE)
        for less in ("-q", "--no-remarks"):
            assert "At this wall it comes out solid" in moldvol(*hollow, less).words

    def test_pots_too_small_for_the_scale(self) -> None:
        """The whole could be weighed, the pots cannot: that is what is weighed."""
        split = moldvol("mix", "250g", *RESIN, "--pot", "40ml", "-q")
        assert "Do not weigh" in split.out and "Do not weigh" not in moldvol("mix", "250g", *RESIN, "-q").out

    def test_writes_are_not_told(self, tmp_path: Path) -> None:
        told = moldvol("mix", "205g", *RESIN, "--sheet", tmp_path / "a.html", "-q")
        assert told.err == "" and told.out.count("\n") == 1 and (tmp_path / "a.html").exists()

    @pytest.fixture
    def dumbbell(self, tmp_path: Path) -> Path:
        cubes = (moved(box(20, 20, 20).mesh, (side, 0, 0)) for side in (-20, 20))
        path = tmp_path / "dumbbell.stl"
        path.write_bytes(binary_stl(together(*cubes, box(30, 4, 4).mesh).corners()))
        return path


class TestWithoutRemarks:
    @pytest.mark.parametrize("words", [("cast", "FILE", *RESIN), ("mix", "405g", *RESIN), ("foam", "3l")])
    def test_the_figures_stay(self, tmp_path: Path, words: tuple[str, ...]) -> None:
        path = cube(tmp_path)
        whole, bare = asked(words, path).out, asked(words, path, "--no-remarks").out
        assert "Cautions" in whole and "Cautions" not in bare
        for line in bare.splitlines():
            assert line in whole
        assert "scale shows" in bare and asked(words, path, "--remarks").out == whole

    def test_what_would_spoil_the_pour_stays_and_nothing_else(self) -> None:
        assert "Mind" not in moldvol("mix", "405g", *RESIN, "--no-remarks").out
        spoilt = moldvol("mix", "20g", *RESIN, "--no-remarks").words
        assert "Mind • Do not weigh" in spoilt and "Cautions" not in spoilt


class TestSeveralFiles:
    def test_how_many_went_well_is_told_at_the_end(self, tmp_path: Path) -> None:
        doubtful = tmp_path / "small.stl"
        doubtful.write_bytes(binary_stl(CUBE_CORNERS / 1000))
        told = moldvol("measure", cube(tmp_path), doubtful, tmp_path / "gone.stl")
        assert told.status == 1 and told.out.count("Closed solid") == 2
        assert "3 files: 1 ok, 1 warned, 1 failed." in told.err
        assert told.err.splitlines()[-1] == f"Failed: {tmp_path}/gone.stl is not there; check the name and try again."

    def test_a_folder_stands_for_the_meshes_in_it(self, tmp_path: Path) -> None:
        (tmp_path / "deep").mkdir()
        names = ["b.stl", "a.stl", "notes.txt", "deep/c.stl"]
        for name in names:
            cube(tmp_path, name)
        flat, deep = (moldvol("measure", tmp_path, "-q", *more) for more in ((), ("--recursive",)))
        assert [line.partition(": ")[0] for line in flat.out.splitlines()] == [
            f"{tmp_path}/{n}" for n in ("a.stl", "b.stl")
        ]
        assert len(deep.out.splitlines()) == 3 and (flat.status, deep.status) == (0, 0)
        assert "2 files: 0 ok, 2 warned, 0 failed." in moldvol("cast", tmp_path, *RESIN).err

    def test_a_folder_is_a_list_even_of_one(self, tmp_path: Path) -> None:
        path = cube(tmp_path)
        (only,) = answered("measure", tmp_path)["results"]
        assert only["file"] == str(path)

    def test_a_file_that_cannot_be_asked_this_does_not_stop_the_others(self, tmp_path: Path) -> None:
        """Too little for the scale is wrong with one file, not with the request."""
        for name, factor in (("a.stl", 1.0), ("small.stl", 0.2), ("z.stl", 1.0)):
            (tmp_path / name).write_bytes(binary_stl(CUBE_CORNERS * factor))
        told = moldvol("cast", tmp_path, *RESIN, "-q")
        assert told.status == 1 and len(told.out.splitlines()) == 2
        assert f"{tmp_path}/small.stl: 0.075 g in all do not show" in told.sentence
        results = moldvol("cast", tmp_path, *RESIN, "--json").document["results"]
        assert ["error" in one for one in results] == [False, True, False]

    def test_what_is_wrong_with_every_file_is_told_no_more_than_twice(self, tmp_path: Path) -> None:
        files = [cube(tmp_path, f"{number}.stl") for number in range(9)]
        told = moldvol("hollow", *files, "--wall", "1mm", "--coats", "51", *RESIN, *COARSE, "-q")
        assert told.status == 2 and told.out == ""
        assert sum(line.startswith("Error: ") for line in told.err.splitlines()) == 2

    def test_an_empty_folder(self, tmp_path: Path) -> None:
        assert "no mesh in" in refused("measure", tmp_path, status=1)


class TestColour:
    def test_always_even_in_a_pipe_that_wants_none(self, tmp_path: Path) -> None:
        for said in ("--colour", "--color"):
            ran = program("mix", "205g", *RESIN, f"{said}=always", folder=tmp_path, NO_COLOR=1, TERM="dumb")
            assert ran.returncode == 0 and COLOUR.search(ran.stdout.decode())

    def test_only_the_colour_is_added(self, tmp_path: Path) -> None:
        plain, coloured = (program("mix", "205g", *RESIN, *more, folder=tmp_path).stdout.decode()
                           for more in ((), ("--colour", "always")))  # fmt: skip
        assert "\x1b" not in plain
        assert [line.rstrip() for line in ESCAPE.sub("", coloured).splitlines()] == plain.splitlines()

    @pytest.mark.parametrize(
        ("wish", "colour", "escapes"),
        [(("--colour", "auto"), True, True), ((), True, True), (("--colour", "never"), False, False)],
    )
    def test_a_terminal(self, tmp_path: Path, wish: tuple[str, ...], colour: bool, escapes: bool) -> None:
        shown = on_a_terminal("mix", "205g", *RESIN, *wish, folder=tmp_path)
        assert "Weigh out" in shown
        assert bool(COLOUR.search(shown)) is colour and ("\x1b" in shown) is escapes

    def test_json_and_the_line_are_never_coloured(self, tmp_path: Path) -> None:
        for plain in ("--json", "-q"):
            ran = program("mix", "205g", *RESIN, "--colour", "always", plain, folder=tmp_path)
            assert ran.returncode == 0 and b"\x1b" not in ran.stdout

    def test_another_word_is_answered_with_the_three(self) -> None:
        said = refused("mix", "205g", *RESIN, "--colour", "red")
        assert all(word in said for word in ("auto", "always", "never"))


class TestSettings:
    """What was asked for stands in the JSON, so that whoever reads it can ask again."""

    def test_in_house_units_by_the_name_of_the_option(self, tmp_path: Path) -> None:
        told = answered("cast", cube(tmp_path), *RESIN, "--copies", "3", "--height", "2in", "--readability", "0.1g")
        settings = told["settings"]
        assert told["version"] and (settings["copies"], settings["resin_key"]) == (3, "fast-urethane")
        assert settings["height_mm"] == pytest.approx(50.8) and settings["readability_g"] == 0.1
        assert settings["bench_c"] is None

    def test_how_it_is_told_is_no_setting(self, tmp_path: Path) -> None:
        found = answered("measure", cube(tmp_path), "--strict", "--no-progress", "--units", "us")["settings"]
        assert found.keys().isdisjoint(
            {"strict", "progress", "units", "as_json", "quiet", "colour", "remarks", "files"}
        )

    def test_once_for_several_files(self, tmp_path: Path) -> None:
        told = answered("measure", cube(tmp_path, "a.stl"), cube(tmp_path, "b.stl"), "--unit", "in")
        assert told["settings"]["unit"] == "in" and not any("settings" in one for one in told["results"])


def on_a_terminal(*arguments: str, folder: Path) -> str:
    """What ``moldvol`` shows on a pseudo-terminal."""
    leader, follower = os.openpty()
    try:
        with subprocess.Popen(
            [sys.executable, "-m", "moldvol", *arguments],
            cwd=folder, env=environment(TERM="xterm-256color"), stdout=follower, stderr=follower,
        ) as running:  # fmt: skip
            os.close(follower)
            shown = b""
            while chunk := _read(leader):
                shown += chunk
        assert running.returncode == 0
    finally:
        os.close(leader)
    return shown.decode()


def _read(leader: int) -> bytes:
    try:
        return os.read(leader, 65536)
    except OSError:  # Linux ends a terminal that nobody writes to any more with an error
        return b""

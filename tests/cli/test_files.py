"""Sheets and pictures from the command line: written whole, where they were asked for, and never over another file."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from html import unescape
from pathlib import Path

import pytest

from moldvol.cli.options import FileOptions
from moldvol.cli.paper import Place, places_for
from moldvol.errors import RequestError
from tests.cli.command_line import answered, cube, moldvol, refused
from tests.files import binary_stl

pytestmark = pytest.mark.usefixtures("coarse_grids")

ROOT = Path(__file__).parents[2]
CAST = ("--resin", "fast-urethane", "--readability", "0.1g")
MIX = ("mix", "205g", "--resin", "fast-urethane")
# Run like a user's command, but struck down by the system: the new file empty, half full or about to be renamed.
STRUCK_DOWN = """
import os, signal, sys
from moldvol import safe_files
from moldvol.cli import commands
from moldvol.cli.running import run

when, create = sys.argv.pop(1), safe_files._create

def killed(*_, **__):
    os.kill(os.getpid(), signal.SIGKILL)

def half(path):
    os.truncate(path, path.stat().st_size // 2)
    killed()

if when == "empty":
    safe_files._create = lambda beside, like: (create(beside, like=like), killed())
else:
    safe_files._flush = half if when == "half" else killed
run(commands, sys.argv[1:])
"""


def words_of(sheet: Path) -> str:
    body = sheet.read_text(encoding="utf-8").partition("</style>")[2]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", body)).split())


class TestSheet:
    def test_a_cast_writes_its_sheet_and_still_tells_it(self, tmp_path: Path) -> None:
        sheet = tmp_path / "job.html"
        told = moldvol("cast", cube(tmp_path), *CAST, "--copies", 3, "--sheet", sheet)
        assert (told.status, told.err) == (0, f"Wrote {sheet}.\n")
        plain = moldvol("cast", tmp_path / "cube.stl", *CAST, "--copies", 3)
        assert told.out == plain.out
        text = words_of(sheet)
        assert text.startswith("3 solid casts cube.stl To mix 28.25 g")
        for amount in (
            "Closed solid, 1 body. 8 ml.",
            "One cast 8.56 g",
            "scale shows",
            "From three sides",
            "copies 3",
            "readability 0.1g",
        ):
            assert amount in text
        assert sheet.read_text(encoding="utf-8").count("data:image/png;base64,") == 1

    def test_every_amount_of_the_json_is_on_the_sheet(self, tmp_path: Path) -> None:
        sheet = tmp_path / "job.html"
        options = ("cast", cube(tmp_path), *CAST, "--copies", 60, "--pot", "100ml", "--sheet", sheet)
        document = answered(*options)
        text = words_of(sheet)
        for pot in document["pots"]["pots"]:
            readings = " ".join(f"{component['reading_g']:.1f} g" for component in pot["components"])
            assert f"{readings} {pot['mass_g']:.1f} g" in text
        for caution in document["cautions"]:
            assert caution in text
        for warning in document["warnings"]:
            assert warning["message"] in text

    def test_a_mix_has_a_sheet_without_pictures(self, tmp_path: Path) -> None:
        sheet = tmp_path / "mix.html"
        mix = answered(*MIX, "--sheet", sheet)
        text = words_of(sheet)
        assert text.startswith("Mix 205 g of fast polyurethane casting resin")
        assert all(f"{one['scale_reading_g']:.0f} g" in text for one in mix["components"])
        assert "<img" not in sheet.read_text(encoding="utf-8")

    def test_a_hollow_cast_shows_its_cut_and_each_coat(self, tmp_path: Path) -> None:
        sheet, picture = tmp_path / "hollow.html", tmp_path / "hollow.svg"
        options = ("--wall", "4mm", "--coats", 2, "--detail", "20k", "--backfill", "rigid-foam")
        files = ("--sheet", sheet, "--picture", picture)
        document = answered("hollow", cube(tmp_path), *CAST, *options, *files)
        text = words_of(sheet)
        assert text.startswith("Hollow cast cube.stl")
        assert "From three sides Cut, wall of 4 mm" in text
        for number, coat in enumerate(document["hollow"]["coats"], 1):
            readings = " ".join(f"{component['reading_g']:.1f} g" for component in coat["components"])
            in_all = coat["components"][-1]["scale_reading_g"]
            assert f"{number} {2 * number} mm {readings} {in_all:.1f} g" in text
        assert "After that" in text and "Back-fill with rigid" in text
        html = sheet.read_text(encoding="utf-8")
        assert [html.count(f"data:image/{kind};base64,") for kind in ("png", "svg+xml")] == [1, 1]
        assert b"<svg" in picture.read_bytes()

    def test_american_units_reach_the_sheet(self, tmp_path: Path) -> None:
        moldvol("cast", cube(tmp_path), *CAST, "--units", "us", "--sheet", tmp_path / "us.html")
        assert "in³" in words_of(tmp_path / "us.html")

    def test_settings_stand_in_the_words_they_were_typed_in(self, tmp_path: Path) -> None:
        options = ("--unit", "in", "--add", "chalk=30%", "--add", "bronze-powder=10%v", "--keep-voids", "--no-mend")
        moldvol("cast", cube(tmp_path), *CAST, *options, "--sheet", tmp_path / "a.html")
        text = words_of(tmp_path / "a.html")
        asked = text[text.index("Asked for") : text.index("moldvol 0")]
        for setting in ("unit in", "add chalk=30%, bronze-powder=10%v", "keep voids yes", "mend no"):
            assert setting in asked
        assert "usable 70%, the default" in asked
        assert not re.search(r"\b(sheet|force|quiet|json|progress|picture)\b", asked)

    def test_a_nasty_file_name_is_only_a_name(self, tmp_path: Path) -> None:
        mesh = tmp_path / "<img src=x onerror=alert(1)>.stl"
        mesh.write_bytes(binary_stl())
        assert moldvol("cast", mesh, *CAST, "--sheet", tmp_path / "a.html").status == 0
        html = (tmp_path / "a.html").read_text(encoding="utf-8")
        assert "<img src=x" not in html
        assert "&lt;img src=x onerror=alert(1)&gt;.stl" in html

    def test_quiet_says_nothing_of_the_file(self, tmp_path: Path) -> None:
        told = moldvol(*MIX, "-q", "--sheet", tmp_path / "a.html")
        assert (told.status, told.err) == (0, "")
        assert (tmp_path / "a.html").is_file()


class TestPicture:
    @pytest.mark.parametrize(("ending", "start"), [("png", b"\x89PNG\r\n"), ("svg", b"<?xml"), ("PNG", b"\x89PNG")])
    def test_the_ending_decides(self, tmp_path: Path, ending: str, start: bytes) -> None:
        picture = tmp_path / f"cube.{ending}"
        assert moldvol("cast", cube(tmp_path), *CAST, "--picture", picture).status == 0
        assert picture.read_bytes().startswith(start)

    @pytest.mark.parametrize("name", ["cube.jpg", "cube", "cube.stl"])
    def test_an_unknown_ending_is_refused_with_the_known_ones(self, tmp_path: Path, name: str) -> None:
        mesh = cube(tmp_path)
        before = mesh.read_bytes()
        said = refused("cast", mesh, *CAST, "--force", "--picture", tmp_path / name)
        assert said == (
            f"{tmp_path / name} is no picture that can be written; give a name that ends in .png or .svg, or a folder "
            "that is there."
        )
        assert mesh.read_bytes() == before

    def test_a_mix_has_nothing_to_draw(self, tmp_path: Path) -> None:
        assert "No such option" in moldvol(*MIX, "--picture", tmp_path / "a.png").err


class TestPlaces:
    def test_the_ending_of_a_sheet(self, tmp_path: Path) -> None:
        assert refused(*MIX, "--sheet", tmp_path / "mix.pdf") == (
            f"{tmp_path / 'mix.pdf'} is no sheet that can be written; give a name that ends in .html or .htm, or a "
            "folder that is there."
        )

    @pytest.mark.parametrize("option", ["--sheet", "--picture"])
    def test_a_folder_that_is_not_there(self, tmp_path: Path, option: str) -> None:
        wanted = tmp_path / "gone" / ("a.html" if option == "--sheet" else "a.png")
        said = refused("cast", cube(tmp_path), *CAST, option, wanted)
        assert said == f"There is no folder {wanted.parent}; make it first, or write elsewhere."

    def test_a_file_that_exists_is_kept_and_replaced_only_by_force(self, tmp_path: Path) -> None:
        sheet = tmp_path / "mix.html"
        sheet.write_text("last week", encoding="utf-8")
        said = refused(*MIX, "--sheet", sheet)
        assert said == f"{sheet} exists already; choose another name, or pass --force to replace it."
        assert sheet.read_text(encoding="utf-8") == "last week"
        assert moldvol(*MIX, "--sheet", sheet, "--force").status == 0
        assert "205 g" in words_of(sheet)

    def test_what_cannot_be_written_is_refused_before_any_mesh_is_read(self, tmp_path: Path) -> None:
        assert "gone" in refused("cast", tmp_path / "no_such.stl", *CAST, "--sheet", tmp_path / "gone" / "a.html")

    def test_if_the_picture_cannot_be_written_neither_is_the_sheet(self, tmp_path: Path) -> None:
        (tmp_path / "a.png").write_bytes(b"old")
        refused("cast", cube(tmp_path), *CAST, "--sheet", tmp_path / "a.html", "--picture", tmp_path / "a.png")
        assert not (tmp_path / "a.html").exists()

    def test_several_meshes_need_a_folder(self, tmp_path: Path) -> None:
        one, two = cube(tmp_path), tmp_path / "two.stl"
        two.write_bytes(one.read_bytes())
        wanted = tmp_path / "all.html"
        assert refused("cast", one, two, *CAST, "--sheet", wanted) == (
            f"2 results do not go into one sheet {wanted}; make a folder and give its name."
        )

    def test_a_folder_gets_a_file_for_each_good_mesh(self, tmp_path: Path) -> None:
        one, broken, out = cube(tmp_path), tmp_path / "broken.stl", tmp_path / "out"
        broken.write_bytes(b"solid nothing")
        out.mkdir()
        told = moldvol("cast", one, broken, *CAST, "--sheet", out, "--picture", out)
        assert told.status == 1
        assert sorted(path.name for path in out.iterdir()) == ["cube.html", "cube.png"]

    def test_meshes_of_one_name_are_numbered(self, tmp_path: Path) -> None:
        places = places_for(FileOptions(sheet=tmp_path), ["a/owl.stl", "b/Owl.ply", "owl-2.obj", "-"])
        assert [place.sheet and place.sheet.name for place in places] == [
            "owl.html",
            "Owl-2.html",
            "owl-2-2.html",
            "standard-input.html",
        ]

    def test_nothing_is_asked_for_nothing_is_written(self) -> None:
        assert places_for(FileOptions(), ["a.stl", "b.stl"]) == (Place(), Place())

    def test_a_folder_whose_file_is_there_already(self, tmp_path: Path) -> None:
        (tmp_path / "owl.png").write_bytes(b"old")
        with pytest.raises(RequestError, match=r"owl\.png exists already"):
            places_for(FileOptions(picture=tmp_path), ["owl.stl"])


class TestStruckDown:
    @pytest.mark.parametrize("before", [None, "last week"])
    @pytest.mark.parametrize("when", ["empty", "half", "whole"])
    def test_a_sheet_is_whole_or_as_it_was(self, tmp_path: Path, when: str, before: str | None) -> None:
        sheet = tmp_path / "mix.html"
        _struck_down(when, sheet, before, *MIX, "--sheet", str(sheet), "--force")
        assert moldvol(*MIX, "--sheet", sheet, "--force").status == 0  # what is left over is in nobody's way

    @pytest.mark.parametrize("before", [None, "last week"])
    def test_so_is_a_picture(self, tmp_path: Path, before: str | None) -> None:
        picture = tmp_path / "cube.svg"
        wanted = ("hollow", str(cube(tmp_path)), "--wall", "4mm", *CAST, "--detail", "5k", "--picture", str(picture))
        _struck_down("half", picture, before, *wanted, "--force")

    @pytest.mark.parametrize("before", [None, "last week"])
    def test_so_is_an_export_of_the_pour_book(self, tmp_path: Path, before: str | None) -> None:
        book, target = tmp_path / "pours.sqlite3", tmp_path / "pours.csv"
        pour = ("--resin", "fast-urethane", "--mould", "owl", "--planned", "100g", "--actual", "104g")
        answered("log", "add", *pour, "--book", book)
        _struck_down("half", target, before, "log", "export", "csv", str(target), "--book", str(book), "--force")
        assert len(answered("log", "show", "--book", book)["pours"]) == 1


def _struck_down(when: str, target: Path, before: str | None, *arguments: str) -> None:
    """Run a command that writes *target* until it is killed; the file must be as it was, with nothing but a hidden
    file beside it."""
    if before is not None:
        target.write_text(before, encoding="utf-8")
    known = set(target.parent.iterdir())
    ran = subprocess.run(
        [sys.executable, "-c", STRUCK_DOWN, when, *arguments],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == -signal.SIGKILL
    assert (target.read_text(encoding="utf-8") if target.exists() else None) == before
    assert all(path.name.startswith(".") for path in set(target.parent.iterdir()) - known)

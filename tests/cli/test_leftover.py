"""What is left in the cup goes into small moulds: of meshes, of the shelf, or both."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, refused, sheet, written

RESIN = ("--resin", "fast-urethane")  # 1.07 g/ml cured, so that the cube of 8 ml takes 8.56 g
SHELF = """
[small_mould.star]
volume_ml = 10
[small_mould.knob]
volume_ml = 3
count = 4
"""


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    return written(tmp_path, "mine.toml", SHELF)


def test_the_moulds_of_the_shelf(shelf: Path) -> None:
    plan = answered("leftover", "18g", *RESIN, "--shelf", shelf)["leftover"]
    assert [(filling["name"], filling["count"]) for filling in plan["fillings"]] == [("star", 1), ("knob", 2)]
    assert plan["used_g"] == pytest.approx(16 * 1.07)
    assert plan["used_g"] + plan["wasted_g"] == pytest.approx(18)


def test_the_sheet_says_what_to_fill_first(shelf: Path) -> None:
    text = sheet("leftover", "18g", *RESIN, "--shelf", shelf)
    assert "Fill star and 2 × knob." in text
    assert "within 3 min from when its parts met, at 23 °C; common practice" in text
    assert "isocyanates" in text


def test_what_is_wasted_is_explained(tmp_path: Path) -> None:
    both = ("leftover", "20g", *RESIN, "--into", cube(tmp_path), "--each")
    assert "Wasted 2.88 g every mould is full" in sheet(*both, 2)
    assert "Wasted 2.88 g too little for any mould that is still empty" in sheet(*both, 3)


def test_meshes_are_measured_once_each(tmp_path: Path) -> None:
    one, two = cube(tmp_path, "one.stl"), cube(tmp_path, "two.stl")
    plan = answered("leftover", "20g", *RESIN, "--into", one, two, one)["leftover"]
    assert [filling["mass_g"] for filling in plan["fillings"]] == [pytest.approx(8.56)] * 2


def test_several_of_a_mould_may_stand_ready(tmp_path: Path) -> None:
    plan = answered("leftover", "30g", *RESIN, "--into", cube(tmp_path), "--each", 5)["leftover"]
    assert plan["fillings"][0]["count"] == 3


def test_the_shelf_joins_in_when_asked(tmp_path: Path, shelf: Path) -> None:
    options = ("leftover", "11g", *RESIN, "--into", cube(tmp_path), "--shelf", shelf)
    assert [one["name"][-8:] for one in answered(*options)["leftover"]["fillings"]] == ["cube.stl"]
    assert [one["name"] for one in answered(*options, "--into-shelf")["leftover"]["fillings"]] == ["star"]


def test_what_is_left_may_be_read_off_the_cup(shelf: Path) -> None:
    plan = answered("leftover", "10ml", *RESIN, "--shelf", shelf)["leftover"]
    assert plan["leftover_g"] == pytest.approx(10.7)


def test_a_filled_mix_is_heavier(shelf: Path) -> None:
    plan = answered("leftover", "20g", *RESIN, "--shelf", shelf, "--add", "chalk=100%")["leftover"]
    density = 2 / (1 / 1.07 + 1 / 2.71)
    assert [mould["mass_g"] for mould in plan["moulds"]] == pytest.approx([10 * density, 3 * density])


def test_nothing_fits(shelf: Path) -> None:
    text = sheet("leftover", "1g", *RESIN, "--shelf", shelf)
    assert "It fills none: the smallest, knob, takes 3.21 g." in text


def test_nothing_is_wasted(shelf: Path) -> None:
    assert "Wasted nothing" in sheet("leftover", "10.7g", *RESIN, "--shelf", shelf)


def test_no_moulds_to_choose_from() -> None:
    assert refused("leftover", "18g", *RESIN) == (
        "There is no small mould to choose from; name meshes with --into, or a shelf that lists [small_mould.…]."
    )


@pytest.mark.parametrize("amount", ["0g", "-3g"])
def test_nothing_left(amount: str) -> None:
    assert "is nothing to work with" in refused("leftover", *RESIN, "--", amount)


def test_a_file_that_is_no_mesh(tmp_path: Path) -> None:
    page = written(tmp_path, "page.stl", "<html>not found</html>")
    assert "page.stl" in refused("leftover", "18g", *RESIN, "--into", page, status=1)

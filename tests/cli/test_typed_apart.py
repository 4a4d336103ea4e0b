"""What is typed with gloves on: blanks before units, amounts among files, files among amounts."""

from __future__ import annotations

from pathlib import Path

import pytest

from moldvol.cli.typed_apart import joined
from tests.cli.command_line import answered, cube, refused

FAST = ("--resin", "fast-urethane")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("200 g", "200g"),
        ("2 lb", "2lb"),
        ("1/2 us pint", "1/2uspint"),
        ("--wall 3 mm --pot 250 ml", "--wall 3mm --pot 250ml"),
        ("--bench 22 °C", "--bench 22°C"),
        ("--poured A=104.1 g", "--poured A=104.1g"),
        ("--copies 3 owl.stl", "--copies 3 owl.stl"),
        ("120 80 mm", "120 80mm"),
        ("owl.stl g", "owl.stl g"),
        ("200", "200"),
    ],
)
def test_a_unit_behind_a_blank_belongs_to_its_number(typed: str, meant: str) -> None:
    assert joined(typed.split()) == meant.split()


def test_whole_numbers_and_fractions_stay_together() -> None:
    assert joined(["1", "1/2", "lb"]) == ["1 1/2lb"]


def test_a_file_may_be_called_like_a_unit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("g").touch()
    assert joined(["--copies", "3", "g"]) == ["--copies", "3", "g"]


def test_mixing_with_a_blank_is_mixing_without() -> None:
    assert answered("mix", "200", "g", *FAST)["components"] == answered("mix", "200g", *FAST)["components"]


@pytest.mark.parametrize("command", ["cast", "hollow", "compare", "measure"])
def test_an_amount_is_no_mesh(command: str) -> None:
    more = FAST if command != "measure" else ()
    said = "200g is no mesh file; an amount is mixed without one: 'moldvol mix 200g --resin NAME'."
    assert refused(command, "200g", *more) == said


def test_a_mesh_called_like_an_amount_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    cube(tmp_path, "200g")
    assert answered("measure", "200g")["volume_mm3"] == pytest.approx(8000)


def test_a_table_is_no_mesh(tmp_path: Path) -> None:
    said = "rows.csv is no mesh file; where rows are to go is said with --out rows.csv."
    assert refused("measure", cube(tmp_path), "--csv", "rows.csv") == said


@pytest.mark.parametrize(
    ("typed", "ml"),
    [("1 us gal", 3785.412), ("1usqt", 946.353), ("1uspt", 473.176), ("1impgal", 4546.09), ("1impqt", 1136.523),
     ("1imppt", 568.261)],
)  # fmt: skip
def test_short_names_of_gallons_and_their_parts(typed: str, ml: float) -> None:
    from moldvol.quantities import parse_volume_ml

    assert parse_volume_ml(typed) == pytest.approx(ml, abs=1e-3)


def test_a_gallon_asks_for_a_name_that_is_taken() -> None:
    assert refused("mix", "1gal", *FAST) == "'1gal' could be US or imperial; say which: usgal or impgal."

"""The pour book at the command line: entries by option and by pipe, pages, export, and what they teach a cast."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from tests.cli import command_line
from tests.cli.command_line import answered, moldvol, refused, sheet

NETS_G = (100.0,) * 5
TOOK_G = (104, 106, 103, 108, 105)
OWN_RESIN = """
[resin.workshop-mix]
kind = "polyurethane"
parts = [ {name = "A", by_weight = 100, density_g_ml = 1.03}, {name = "B", by_weight = 90, density_g_ml = 1.22} ]
cured_density_g_ml = 1.10
pot_life_min = 4
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "book.sqlite3"


@pytest.fixture
def cube(tmp_path: Path) -> Path:
    return command_line.cube(tmp_path)


def enter(book: Path, *more: object, actual: float = 105, mould: str = "owl") -> dict[str, object]:
    options = ("--resin", "fast-urethane", "--mould", mould, "--planned", "108g", "--actual", f"{actual}g")
    return answered("log", "add", *options, "--book", book, *more)


def full(book: Path, mould: str = "owl") -> Path:
    for took in TOOK_G:
        enter(book, "--net", "100g", actual=took, mould=mould)
    return book


def test_an_entry_is_told_back(book: Path) -> None:
    told = enter(
        book, "--net", "100g", "--room", "70f", "--result", "short", "--note", "leaked", "--when", "2025-03-01"
    )
    pour = told["pour"]
    assert isinstance(pour, dict)
    assert (pour["number"], pour["mould"], pour["result"], pour["note"]) == (1, "owl", "short", "leaked")
    assert pour["room_c"] == pytest.approx(21.1, abs=0.05)
    assert pour["poured_at"].startswith(("2025-02-28", "2025-03-01"))  # midnight here may be yesterday in UTC


def test_an_entry_without_net_says_that_nothing_is_learned(book: Path) -> None:
    options = ("--resin", "r", "--mould", "m", "--planned", "100g", "--actual", "104g", "--book", book)
    assert "no net mass stated, so nothing is learned from it" in sheet("log", "add", *options)


def test_five_pours_teach_an_allowance(book: Path) -> None:
    learned = answered("log", "show", "--mould", "owl", "--book", full(book))["learned"]
    assert learned["allowance_percent"] == pytest.approx(8)
    assert "--allowance learned" in sheet("log", "show", "--resin", "fast-urethane", "--book", book)


def test_pages_keep_moulds_apart(book: Path) -> None:
    enter(book)
    enter(book, mould="mask")
    text = sheet("log", "show", "--book", book)
    assert "owl in fast-urethane" in text and "mask in fast-urethane" in text
    assert len(answered("log", "show", "--mould", "MASK", "--book", book)["pours"]) == 1


def test_an_empty_book_is_not_made_by_reading(book: Path) -> None:
    assert "moldvol log add" in sheet("log", "show", "--book", book)
    assert answered("log", "show", "--book", book)["pours"] == []
    assert not book.exists()


def test_the_usual_place_is_the_users_data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "data")
    answered("log", "add", "--resin", "r", "--mould", "m", "--planned", "10g", "--actual", "11g")
    assert answered("log", "show")["book"] == str(tmp_path / "data" / "pours.sqlite3")


def test_export_is_csv_and_replaces_nothing_unasked(book: Path, tmp_path: Path) -> None:
    enter(book, "--note", 'a "note", with a comma')
    target = tmp_path / "pours.csv"
    assert answered("log", "export", "csv", target, "--book", book)["pours"] == 1
    (row,) = csv.DictReader(io.StringIO(target.read_text(encoding="utf-8")))
    assert (row["mould"], row["note"]) == ("owl", 'a "note", with a comma')
    assert "--force" in refused("log", "export", "csv", target, "--book", book)
    assert sheet("log", "export", "csv", target, "--book", book, "--force").startswith("1 pour written to")


def test_a_cast_can_be_logged_from_its_json(cube: Path, book: Path) -> None:
    cast = moldvol("cast", cube, "--resin", "fast-urethane", "--json")
    pour = answered("log", "add", "-", "--actual", "9.5g", "--book", book, stdin=cast.out)["pour"]
    assert (pour["mould"], pour["resin"]) == ("cube", "fast-urethane")
    assert pour["net_g"] == pytest.approx(cast.document["cast"]["net_mass_g"])
    assert pour["planned_g"] == pytest.approx(cast.document["cast"]["total_mass_g"])


def test_pots_are_planned_with_what_stays_in_them(cube: Path, book: Path) -> None:
    cast = moldvol("cast", cube, "--resin", "tin-silicone", "--copies", 9, "--pot", "60ml", "--json")
    pour = answered("log", "add", "-", "--actual", "90g", "--book", book, stdin=cast.out)["pour"]
    assert pour["planned_g"] == pytest.approx(cast.document["pots"]["mixed_g"])


def test_a_hollow_cast_counts_all_its_copies(book: Path) -> None:
    hollow = {
        "file": "masters/owl.stl",
        "hollow": {"shell_mass_g": 72.0, "copies": 3},
        "mix": {"resin": "slow-urethane", "total_mass_g": 235.0},
    }
    pour = answered("log", "add", "-", "--actual", "230g", "--book", book, stdin=json.dumps(hollow))["pour"]
    assert (pour["mould"], pour["net_g"], pour["planned_g"]) == ("owl", 216, 235)


def test_the_rubber_of_a_mould_is_not_taken_for_a_cast_in_it(book: Path) -> None:
    mould = {
        "file": "masters/owl.stl",
        "mould": {"rubber_mass_g": 788.0},
        "mix": {"resin": "tin-silicone", "total_mass_g": 828.0},
    }
    pour = answered("log", "add", "-", "--actual", "810g", "--book", book, stdin=json.dumps(mould))["pour"]
    assert (pour["mould"], pour["net_g"]) == ("owl, the mould itself", 788)
    assert answered("log", "show", "--mould", "owl", "--book", book)["pours"] == []


def test_a_mix_names_no_mould(book: Path) -> None:
    mix = moldvol("mix", "205g", "--resin", "fast-urethane", "--json").out
    assert "--mould" in refused("log", "add", "-", "--actual", "210g", "--book", book, stdin=mix)
    pour = answered("log", "add", "-", "--actual", "210g", "--mould", "owl", "--book", book, stdin=mix)["pour"]
    assert (pour["planned_g"], pour["net_g"]) == (pytest.approx(205), None)


@pytest.mark.parametrize(
    ("stdin", "said"),
    [
        ("nonsense", "Standard input held no JSON; pipe in another command's --json, like 'moldvol cast … --json'."),
        ("[1]", "The JSON on standard input is no result of a command; pipe in 'moldvol cast … --json'."),
        (
            json.dumps({"error": {"message": "No such file."}}),
            "The command before the pipe gave no result (No such file.); put that right first.",
        ),
        (
            json.dumps({"results": []}),
            "The JSON on standard input holds several results; pipe in one file's at a time.",
        ),
        ("{}", "The pour names no resin; add --resin."),
    ],
)
def test_pipes_that_hold_no_pour(stdin: str, said: str, book: Path) -> None:
    assert refused("log", "add", "-", "--actual", "2g", "--book", book, stdin=stdin) == said
    assert not book.exists()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--mould", "m", "--planned", "9g"), "The pour names no resin; add --resin."),
        (("--resin", "r", "--planned", "9g", "--mould", " "), "The pour names no mould; add --mould."),
        (
            ("--resin", "r", "--mould", "m"),
            "The pour does not say what was planned; add --planned, e.g. --planned 205g.",
        ),
        (
            ("--resin", "r", "--mould", "m", "--planned", "9g", "--when", "yesterday"),
            "'yesterday' is no date; write it like 2025-03-01 or 2025-03-01T14:30.",
        ),
        (
            ("--resin", "r", "--mould", "m", "--planned", "9g", "--room", "400c"),
            "The room temperature in °C is 400; give a number from -40 to 60.",
        ),
        (("pour.json",), "'pour.json' is not understood; give the pour by options, or - for JSON from a pipe."),
    ],
)
def test_entries_that_lack_something(options: tuple[str, ...], said: str, book: Path) -> None:
    assert refused("log", "add", *options, "--actual", "9g", "--book", book) == said


def test_a_file_that_is_no_book(tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("not a database, but long enough to look at" * 20, encoding="utf-8")
    assert "notes.txt" in refused("log", "show", "--book", other, status=1)


def test_a_cast_takes_the_learned_allowance(cube: Path, book: Path) -> None:
    full(book, mould="cube")
    options = ("cast", cube, "--resin", "fast-urethane", "--allowance", "learned", "--book", book)
    cast = answered(*options)["cast"]
    assert (cast["allowance_source"], cast["allowance_percent"]) == ("learned", pytest.approx(8))
    text = sheet(*options)
    assert "learned from 5 pours of mould cube" in text
    assert "would have covered 5 of 5 pours of mould cube" in text


def test_a_cast_learns_from_the_resin_where_the_mould_is_new(cube: Path, book: Path) -> None:
    options = ("--resin", "fast-urethane", "--allowance", "learned", "--book", full(book, mould="owl"))
    assert "learned from 5 pours of resin fast-urethane" in sheet("cast", cube, *options)


def test_too_few_pours_fall_back_to_the_usual(cube: Path, book: Path) -> None:
    enter(book, "--net", "100g", mould="cube")
    told = answered("cast", cube, "--resin", "fast-urethane", "--allowance", "learned", "--book", book)
    assert (told["cast"]["allowance_source"], told["cast"]["allowance_percent"]) == ("usual", pytest.approx(10))
    (notice,) = [one["message"] for one in told["warnings"] if one["code"] == "allowance-not-learned"]
    assert notice == (
        "The book has 1 usable pour of mould cube and 5 are needed to learn from; log more pours with their net mass, "
        "or give an allowance. Until then the usual 10 % are taken."
    )


def test_what_stays_in_pots_is_not_counted_twice(cube: Path, book: Path) -> None:
    full(book, mould="cube")
    options = ("cast", cube, "--resin", "fast-urethane", "--copies", 9, "--pot", "60ml", "--book", book)
    assert answered(*options, "--allowance", "learned")["pots"]["lost_g"] == 0
    assert answered(*options, "--allowance", "8%")["pots"]["lost_g"] > 0


def test_an_allowance_is_a_share_or_learned(cube: Path) -> None:
    assert refused("cast", cube, "--resin", "fast-urethane", "--allowance", "lots").endswith(
        "'lots' is not a share; write it like 8%."
    )


def test_a_comparison_takes_the_learned_allowance_of_each_resin(cube: Path, book: Path) -> None:
    full(book, mould="owl")
    options = ("compare", cube, "--resin", "fast-urethane,casting-epoxy", "--wall", "3mm", "--book", book)
    told = answered(*options, "--allowance", "learned")
    usual = answered(*options)
    learned_8, epoxy = ([way["mass_g"] for way in told["ways"]][place] for place in (0, 2))
    assert learned_8 == pytest.approx(usual["ways"][0]["mass_g"] * 1.08 / 1.10)
    assert epoxy == pytest.approx(usual["ways"][2]["mass_g"])
    assert {"allowance-learned", "allowance-not-learned"} <= {warning["code"] for warning in told["warnings"]}


def test_a_pour_that_cannot_have_filled_the_mould_teaches_nothing(book: Path) -> None:
    full(book)
    slipped = enter(book, "--net", "125g", actual=50)
    assert [warning["message"] for warning in slipped["warnings"]] == [
        "50 g is 60 % less than the 125 g the mould holds, so nothing is learned from this pour. If a figure is wrong, "
        "take it back with 'moldvol log remove 6' and enter it anew."
    ]
    learned = answered("log", "show", "--mould", "owl", "--book", book)
    assert learned["learned"]["pours"] == 5
    assert [warning["code"] for warning in learned["warnings"]] == ["pours-not-counted"]
    assert "Pour 6 is not counted: it took over 5 % less" in sheet("log", "show", "--mould", "owl", "--book", book)
    quiet = ("--resin", "fast-urethane", "--mould", "owl", "--planned", "108g", "--actual", "50g", "--net", "125g")
    assert "It took less than the mould holds" in moldvol("log", "add", "--book", book, *quiet, "-q").out


def test_a_pour_a_little_below_net_is_learned_from(book: Path) -> None:
    assert enter(book, "--net", "110g", actual=105)["warnings"] == []
    assert answered("log", "show", "--mould", "owl", "--book", book)["learned"]["pours"] == 1


def test_a_name_that_is_on_no_shelf_is_remarked_once(book: Path, tmp_path: Path) -> None:
    asked = ("log", "add", "--mould", "owl", "--planned", "108g", "--actual", "105g", "--book", book, "--resin")
    (warning,) = answered(*asked, "fast-urethan")["warnings"]
    assert warning["message"] == (
        "'fast-urethan' is not on the shelf; did you mean fast-urethane? If not, always write it alike."
    )
    assert answered(*asked, "fast-urethan")["warnings"] == []
    own = command_line.written(tmp_path, "mine.toml", OWN_RESIN)
    assert answered(*asked, "workshop-mix", "--shelf", own)["warnings"] == []
    (warning,) = answered(*asked, "xyzzy")["warnings"]
    assert warning["message"] == ("'xyzzy' is not on the shelf; if it is a name of your own, always write it alike.")


def test_a_pour_is_taken_back_and_the_others_keep_their_numbers(book: Path) -> None:
    full(book)
    assert answered("log", "remove", "2", "--book", book)["removed"]["actual_g"] == 106
    assert [pour["number"] for pour in answered("log", "show", "--book", book)["pours"]] == [1, 3, 4, 5]
    assert "Pour 5 is taken back" in sheet("log", "remove", "#5", "--book", book)
    assert enter(book)["pour"]["number"] == 6


@pytest.mark.parametrize("number", ["7", "0", "999999999999999999"])
def test_a_pour_that_is_not_there_cannot_be_taken_back(number: str, book: Path) -> None:
    said = f"There is no pour {number} in {book}; 'moldvol log show' lists them with their numbers."
    assert refused("log", "remove", number, "--book", book) == said
    assert not book.exists()
    enter(book)
    assert refused("log", "remove", number, "--book", book) == said


@pytest.mark.parametrize("number", ["x", "1.5", "9" * 30, "²"])
def test_what_is_no_number_of_a_pour(number: str, book: Path) -> None:
    assert refused("log", "remove", number, "--book", book).startswith(f"'{number}' is no number of a pour;")

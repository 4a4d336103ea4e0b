"""``moldvol heat``: advice first, a band always, strict JSON, and pictures that show something."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.cli.command_line import answered, cube, moldvol, refused, sheet

pytestmark = pytest.mark.usefixtures("coarse_heat")

SAMPLES = Path(__file__).parents[2] / "sample_meshes"
HAND = str(SAMPLES / "puppet_hand.stl")
QUICK = ("--detail", "10k")


@pytest.fixture(scope="module")
def told() -> dict:
    outcome = moldvol("heat", HAND, "--resin", "fast-urethane", "--pot", "250ml", *QUICK, "--json")
    assert outcome.status == 0, outcome.err
    return outcome.document


def test_the_peak_is_a_band_between_the_room_and_no_loss_at_all(told: dict) -> None:
    heat = told["heat"]
    peak = heat["peak_c"]
    assert heat["room_c"] < peak["low"] <= peak["usual"] <= peak["high"]
    assert peak["usual"] <= heat["adiabatic_c"] + 1
    assert abs(heat["balance_error"]) < 0.01
    assert heat["face_c"]["usual"] <= peak["usual"]
    assert heat["pot_life_s"]["low"] <= heat["pot_life_s"]["usual"] <= heat["pot_life_s"]["high"]


def test_hollow_is_cooler_than_solid(told: dict) -> None:
    hollow = moldvol("heat", HAND, "--resin", "fast-urethane", "--wall", "2mm", *QUICK, "--json").document
    assert hollow["heat"]["peak_c"]["usual"] < told["heat"]["peak_c"]["usual"]


def test_the_sheet_says_estimate_and_never_none(tmp_path: Path) -> None:
    picture = tmp_path / "heat.png"
    outcome = moldvol("heat", HAND, "--resin", "fast-urethane", *QUICK, "--picture", str(picture))
    assert outcome.status == 0, outcome.err
    assert "How hot" in outcome.out and "an estimate between" in outcome.out and "None" not in outcome.out
    drawn = np.asarray(Image.open(picture).convert("L"))
    assert drawn.std() > 10 and drawn.min() < 60


@pytest.mark.parametrize(
    ("asked", "status", "said"),
    [
        (["--resin", "tin-silicone"], 1, "silicone"),
        (["--resin", "fast-urethane", "--mould", "cheese:3mm"], 2, "mould material"),
        (["--resin", "fast-urethane", "--mould", "silicone"], 2, "states no thickness"),
        (["--resin", "fast-urethane", "--limit", "10c"], 2, "below the room's"),
    ],
)
def test_refusals_in_one_sentence(asked: list[str], status: int, said: str) -> None:
    outcome = moldvol("heat", HAND, *QUICK, *asked)
    assert outcome.status == status and outcome.out == ""
    assert said in outcome.err.splitlines()[-1]


def test_compare_estimates_the_peak_of_each_way_on_request() -> None:
    asked = ("compare", HAND, "--resin", "slow-urethane,tin-silicone", "--wall", "2mm", *QUICK, "--json")
    solid, hollow, *rubber = moldvol(*asked, "--heat").document["ways"]
    assert hollow["peak_c"]["usual"] < solid["peak_c"]["usual"]
    assert all(way["peak_c"] is None for way in rubber)
    assert all(way["peak_c"] is None for way in moldvol(*asked).document["ways"])


def test_the_first_line_says_what_to_do(tmp_path: Path) -> None:
    told = sheet("heat", cube(tmp_path), "--resin", "laminating-polyester")
    # What comes first is the file's path, which is folded where it is longer than a line.
    path, advice = told.split(" It will probably pass ", 1)
    assert path.replace(" ", "") == str(cube(tmp_path)) and advice.startswith("120 °C. About ")
    assert "should bear it" in told and "even at the hot end" in told


def test_a_refusal_is_one_sentence_in_json_too(tmp_path: Path) -> None:
    said = refused("heat", cube(tmp_path), "--resin", "tin-silicone", status=1)
    assert said.endswith("whose heat is not known; it can be told for epoxy, polyester, polyurethane.")


def test_a_resin_of_ones_own_needs_only_its_cup(tmp_path: Path) -> None:
    shelf = tmp_path / "own.toml"
    shelf.write_text(
        "[resin.own]\nkind = 'epoxy'\nname = 'own epoxy'\ncured_density_g_ml = 1.1\npot_life_min = 40\n"
        "pot_life_mass_g = 200\npeak_c = 150\npeak_mass_g = 200\n"
        "parts = [{name = 'A', by_weight = 100}, {name = 'B', by_weight = 45}]\n",
        encoding="utf-8",
    )
    found = answered("heat", cube(tmp_path), "--resin", "own", "--shelf", shelf)["heat"]
    origins = {figure["name"]: figure["origin"] for figure in found["figures"]}
    assert origins["heat of reaction"] == "fitted"
    assert origins["conductivity"] == "class"


def test_a_sheet_and_an_svg(tmp_path: Path) -> None:
    page, picture = tmp_path / "heat.html", tmp_path / "heat.svg"
    asked = ("heat", cube(tmp_path), "--resin", "fast-urethane", "--wall", "2mm", "--sheet", page, "--picture", picture)
    assert moldvol(*asked).status == 0
    written = page.read_text(encoding="utf-8")
    assert "Temperature over time" in written and "How hot each place gets" in written and "A hot cast fumes" in written
    assert picture.read_text(encoding="utf-8").startswith("<?xml")


@pytest.mark.parametrize(
    ("option", "typed"),
    [
        ("--wall", "0mm"),
        ("--wall", "0.1mm"),
        ("--room", "warm"),
        ("--room", "200c"),
        ("--pot", "-5ml"),
        ("--limit", "1"),
    ],
)
def test_impossible_quantities_are_refused(tmp_path: Path, option: str, typed: str) -> None:
    refused("heat", cube(tmp_path), "--resin", "fast-urethane", f"{option}={typed}")

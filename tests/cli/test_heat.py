"""``moldvol heat``: advice first, a band always, strict JSON, and pictures that show something."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.cli.command_line import moldvol

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

"""Plaster at the command line. The figures behind it are checked in tests/materials/mixtures/test_plaster.py."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, refused, sheet


def test_a_volume_of_slurry() -> None:
    mix = answered("plaster", "3l", "--consistency", 70)["plaster"]
    assert (mix["plaster_reading_g"], mix["water_reading_g"]) == (2799, 1959)  # 100/2.70 + 70/0.998 cm³ hold 100 g
    assert mix["slurry_volume_mm3"] == pytest.approx(3e6)


def test_the_powder_at_hand() -> None:
    mix = answered("plaster", "2kg", "--plaster", "model-plaster")["plaster"]
    assert (mix["plaster_g"], mix["water_g"], mix["consistency"]) == (2000, pytest.approx(900), 45)


def test_as_much_as_a_mesh_holds(tmp_path: Path) -> None:
    mix = answered("plaster", "--of", cube(tmp_path), "--allowance", "10%", "--readability", "0.1g")["plaster"]
    assert mix["slurry_volume_mm3"] == pytest.approx(8800)
    assert mix["plaster_reading_g"] == pytest.approx(mix["plaster_g"], abs=0.05)


def test_the_sheet_goes_water_first() -> None:
    text = sheet("plaster", "3l")
    assert text.index("1. Water 1959 g") < text.index("2. Plaster 2799 g")
    assert "70 of water to 100 of plaster by weight; published" in text
    assert "never enclose a hand or limb in it" in text
    assert "none; add --allowance 10%" in text


def test_an_unusual_consistency_is_remarked() -> None:
    assert "Pottery plaster usually takes 66 to 75 of water to 100" in sheet("plaster", "3l", "--consistency", 95)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "Give the amount either as AMOUNT, like 3l, or as the mesh --of FILE, one of the two."),
        (("3l", "--consistency", 10), "The water to 100 parts of plaster is 10; give a number from 18.62 to 150."),
        (("0.1ml",), "0.16 g in all do not show on a scale of 1 g steps; mix more, or use a finer scale."),
        (
            ("3l", "--plaster", "gyps"),
            "There is no plaster 'gyps' on the shelf; the shelf has hard-plaster, model-plaster, pottery-plaster.",
        ),
    ],
)
def test_what_cannot_be_mixed(options: tuple[object, ...], said: str) -> None:
    assert refused("plaster", *options) == said

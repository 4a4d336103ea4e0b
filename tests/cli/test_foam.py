"""Foam at the command line. The figures behind it are checked in tests/materials/mixtures/test_foam.py."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, refused, sheet


def test_a_core_of_two_litres() -> None:
    told = answered("foam", "2l", "--overpack", "15%", "--readability", "0.1g")
    assert told["foam"]["liquid_mass_g"] == pytest.approx(147.2)  # 64 kg/m³ and 15 %
    assert told["mix"]["total_mass_g"] == pytest.approx(147.2)
    assert [part["name"] for part in told["mix"]["components"]] == ["A", "B"]


def test_the_overpack_is_the_foams_own_unless_stated() -> None:
    assert answered("foam", "2l")["foam"]["overpack"] == 0.15
    assert answered("foam", "2l", "--overpack", "0%")["mix"]["total_mass_g"] == pytest.approx(128)


def test_the_core_of_a_mesh_or_of_a_hollow_cast(tmp_path: Path) -> None:
    assert answered("foam", "--of", cube(tmp_path), "--readability", "0.01g")["foam"]["core_volume_mm3"] == 8000
    hollow = json.dumps({"hollow": {"core_volume_mm3": 1e5, "copies": 3}})
    assert answered("foam", "-", stdin=hollow)["foam"]["core_volume_mm3"] == pytest.approx(3e5)


def test_pots_hold_liquid_not_foam() -> None:
    pots = answered("foam", "20l", "--pot", "500ml")["pots"]
    assert pots["count"] == 4  # 1.47 kg of 1.15 g/ml in cups of 350 ml
    assert pots["lost_g"] > 4


def test_the_sheet() -> None:
    text = sheet("foam", "2l")
    assert "It fills a core of 2000 ml (2 l) when it has risen." in text
    assert "147.2 g 2000 ml (2 l) when it has risen" in text  # not what stands in the cup
    assert "rises to 15.6 ×" in text
    assert "leave it a vent" in text


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "Give the core either as a VOLUME, like 2l, or as the mesh --of FILE, one of the two."),
        (
            ("2l", "--resin", "tin-silicone"),
            "tin-cure silicone rubber does not foam; choose a foam of the shelf, like rigid-foam.",
        ),
        (("200g",), "Invalid value: '200g' is a mass, not a volume; write it like 180ml, 0.5l or 1/2uspint."),
        (
            ("2l", "--per-pot-loss", "3g"),
            "--per-pot-loss is what stays in each pot; say with --pot how large they are, or leave it out.",
        ),
        (("2l", "--overpack", "300%"), "The overpack in per cent is 300; give a number from 0 to 100."),
    ],
)
def test_what_cannot_be_foamed(options: tuple[str, ...], said: str) -> None:
    assert refused("foam", *options) == said


def test_a_pipe_without_a_core() -> None:
    said = "The JSON on standard input tells of no core to fill; pipe in 'moldvol hollow … --json'."
    assert refused("foam", "-", stdin='{"cast": {}}') == said

"""``moldvol compare`` as it is typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, moldvol, refused

COARSE = ("--detail", "2k")


@pytest.fixture
def part(tmp_path: Path) -> Path:
    return cube(tmp_path)


def test_an_option_given_twice_counts_twice(part: Path) -> None:
    asked = ("--resin", "fast-urethane", "--resin", "casting-epoxy", "--wall", "3mm", "--wall", "5mm,3mm")
    told = answered("compare", part, *asked, *COARSE)
    commas = ("--resin", "fast-urethane,casting-epoxy", "--wall", "3mm,5mm")
    assert [(way["resin"], way["wall_mm"]) for way in told["ways"]] == [
        (resin, wall) for resin in ("fast-urethane", "casting-epoxy") for wall in (None, 3, 5)
    ]
    assert told["ways"] == answered("compare", part, *commas, *COARSE)["ways"]


def test_usual_walls_are_told_on_the_sheet(part: Path, tmp_path: Path) -> None:
    page = tmp_path / "compare.html"
    assert moldvol("compare", part, "--resin", "fast-urethane", *COARSE, "--sheet", page).status == 0
    told = page.read_text(encoding="utf-8")
    assert "3mm,5mm, the default" in told
    assert "Sentinel" not in told  # what an option without a default holds


def test_a_finer_scale_shows_a_part_of_next_to_nothing(part: Path) -> None:
    asked = ("compare", part, "--resin", "fast-urethane", "--wall", "0.1mm", "--scale", "0.05", *COARSE)
    assert "do not show on a scale of 1 g steps" in refused(*asked)
    assert answered(*asked, "--readability", "0.1mg")["ways"][0]["wall_mm"] is None

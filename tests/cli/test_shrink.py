"""The size of the master at the command line."""

from __future__ import annotations

import pytest

from tests.cli.command_line import answered, refused, sheet


def test_mould_and_resin_count_together() -> None:
    plan = answered("shrink", "120mm", "--resin", "fast-urethane", "--rubber", "tin-silicone")["shrink"]
    assert plan["scale_factor"] == pytest.approx(1 / 0.996 / 0.995)
    assert plan["sizes"][0]["master_mm"] == pytest.approx(120 / 0.996 / 0.995)
    assert [step["linear_shrinkage"] for step in plan["steps"]] == [0.005, 0.004]


def test_a_figure_of_your_own_linear_or_by_volume() -> None:
    assert answered("shrink", "--shrinkage", "0.4%")["shrink"]["scale_factor"] == pytest.approx(1 / 0.996)
    assert answered("shrink", "--by-volume", "7%")["shrink"]["scale_factor"] == pytest.approx(1.024485, abs=1e-6)


def test_plaster_grows() -> None:
    plan = answered("shrink", "100mm", "--plaster", "pottery-plaster")["shrink"]
    assert plan["sizes"][0]["master_mm"] == pytest.approx(100 / 1.002)
    assert "Make the master 0.2 % smaller than the cast." in sheet("shrink", "--shrinkage", "-0.2%")


def test_metal_by_the_pattern_makers_rule() -> None:
    plan = answered("shrink", "12in", "--metal", "iron")["shrink"]
    assert plan["sizes"][0]["master_mm"] == pytest.approx(12.125 * 25.4)  # 1/8 in per ft


def test_the_sheet_says_where_it_comes_from_and_that_it_is_free_shrinkage() -> None:
    text = sheet("shrink", "120mm", "4 1/2in", "--resin", "fast-urethane")
    assert "120.00 mm 120.48 mm 0.48 mm" in text
    assert "shrinks 0.4 % from memory: 0.1 to 1" in text
    assert "This is free shrinkage" in text
    assert "4.500 in 4.518 in" in sheet("shrink", "4 1/2in", "--resin", "fast-urethane", "--units", "us")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("120mm",), "Nothing shrinks; name a resin, a rubber, or a shrinkage like 0.4%."),
        (
            ("--resin", "rigid-foam"),
            "The shelf does not say how much rigid polyurethane foam, 64 kg/m³ shrinks; leave it out and give a "
            "shrinkage like 0.4%.",
        ),
        (
            ("--shrinkage", "60%"),
            "The linear shrinkage as a share is 0.6; give a number from -0.1 to 0.5.",
        ),
    ],
)
def test_what_gives_no_size(options: tuple[str, ...], said: str) -> None:
    assert refused("shrink", *options) == said

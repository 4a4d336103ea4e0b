"""Vacuum and pressure at the command line. The figures behind them are checked in tests/materials/vessels."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, moldvol, refused, sheet

POT = ("--pressure", "60psi", "--inside", "250mm x 300mm")
PUMP = ("--degas", "500ml", "--vacuum", "29inhg")


def test_the_degassing_container() -> None:
    vacuum = answered("vessel", *PUMP)["vessel"]["vacuum"]
    assert vacuum["rise"] == pytest.approx(4.25, abs=0.005)  # Boyle at 29 inHg with a tenth of air
    assert vacuum["container_ml"] == pytest.approx(500 * vacuum["rise"] * 1.25)


def test_the_share_that_stays_free_is_told_as_it_is_computed() -> None:
    vacuum = answered("vessel", *PUMP)["vessel"]["vacuum"]
    froth_ml = vacuum["liquid_volume_ml"] * vacuum["rise"]
    assert 1 - froth_ml / vacuum["container_ml"] == pytest.approx(1 / 5)
    assert "a fifth of it is free above the froth" in sheet("vessel", *PUMP)


def test_a_mass_is_degassed_by_its_resin() -> None:
    vacuum = answered("vessel", "--degas", "540g", "--vacuum", "29inhg", "--resin", "platinum-silicone")["vessel"]
    assert vacuum["vacuum"]["liquid_volume_ml"] == pytest.approx(500)
    assert "add --resin" in refused("vessel", "--degas", "540g", "--vacuum", "29inhg")


def test_bubbles_under_pressure() -> None:
    pressure = answered("vessel", "--pressure", "60psi")["vessel"]["pressure"]
    assert pressure["bubble_volume_ratio"] == pytest.approx(0.19674, abs=1e-5)
    assert pressure["bubble_diameter_ratio"] == pytest.approx(0.58161, abs=1e-5)


@pytest.mark.parametrize(
    ("mould", "fits"),
    [("120mm x 80mm x 90mm", True), ("12x8x9cm", True), ("240mm x 200mm", True), ("30 x 2 x 2 cm", False)],
)
def test_does_the_mould_go_in(mould: str, fits: bool) -> None:
    assert answered("vessel", *POT, "--mould", mould)["vessel"]["fits"] is fits


def test_the_size_may_come_from_a_mesh(tmp_path: Path) -> None:
    plan = answered("vessel", cube(tmp_path), "--around", "12mm", *POT)["vessel"]
    assert plan["mould_mm"] == pytest.approx([44, 44, 44])


def test_time_to_close_within_the_pot_life() -> None:
    slow = answered("vessel", *POT, *PUMP, "--resin", "tin-silicone")["vessel"]["time"]
    assert (slow["needed_s"], slow["enough"]) == (300, True)
    fast = answered("vessel", *POT, *PUMP, "--resin", "fast-urethane")
    assert fast["vessel"]["time"]["enough"] is False
    assert "closes-late" in [warning["code"] for warning in fast["warnings"]]


@pytest.mark.parametrize(
    ("pressurising", "tight"),
    # fast-urethane lives 3 min; a fifth of it are 36 s, and 2 min go by before the pressure is let in.
    [("1min", True), ("25s", True), ("23s", False), ("61s", False)],
)
def test_next_to_no_time_left_over_is_warned_of(pressurising: str, tight: bool) -> None:
    told = answered("vessel", "--pressure", "60psi", "--resin", "fast-urethane", "--pressurising", pressurising)
    assert ("time-tight" in [warning["code"] for warning in told["warnings"]]) is tight


def test_tight_time_is_told_in_the_verdict() -> None:
    asked = ("vessel", "--pressure", "60psi", "--resin", "fast-urethane")
    assert "Time left over: 0 s, too tight." in sheet(*asked, "--no-remarks")


def test_the_fit_alone_may_be_asked_for() -> None:
    asked = ("vessel", "--inside", "250mm x 300mm", "--mould", "120mm x 80mm x 90mm")
    told = answered(*asked)
    assert (told["vessel"]["fits"], told["vessel"]["pressure"], told["vessel"]["vacuum"]) == (True, None, None)
    assert sheet(*asked).startswith("Mould and vessel The mould fits.")


def test_too_late_to_pour_after_pumping() -> None:
    told = answered("vessel", *PUMP, "--resin", "fast-urethane", "--degassing", "5min")
    assert "pours-late" in [warning["code"] for warning in told["warnings"]]


def test_hazards_stand_in_figures() -> None:
    plan = answered("vessel", *POT, *PUMP)["vessel"]
    assert plan["lid_force_n"] == pytest.approx(20_300, rel=2e-3)
    assert plan["vacuum_lid_force_n"] == pytest.approx(4_974, rel=1e-3)
    text = sheet("vessel", *POT, *PUMP)
    assert "as if 2.1 tonnes stood on it" in text
    assert "g of TNT" in text
    assert "marked with a working pressure" in text and "carries tonnes on its lid" in text


@pytest.mark.parametrize("quiet", ["--quiet", "--no-remarks"])
def test_a_vessel_above_its_mark_is_told_even_when_quiet(quiet: str) -> None:
    assert "do not do it" in moldvol("vessel", *POT, "--marked", "50psi", quiet).words
    assert "do not do it" not in sheet("vessel", *POT, "--marked", "80psi")


def test_us_units() -> None:
    text = sheet("vessel", *POT, *PUMP, "--units", "us")
    assert "60 psi" in text and "4600 lb stood on it" in text


def test_polyester_is_warned_of_losing_its_styrene() -> None:
    deep = ("--degas", "500ml", "--absolute", "5mbar")
    codes = {
        resin: [warning["code"] for warning in answered("vessel", *deep, "--resin", resin)["warnings"]]
        for resin in ("casting-polyester", "tin-silicone")
    }
    assert "styrene-boils" in codes["casting-polyester"]
    assert "styrene-boils" not in codes["tin-silicone"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "There is nothing to work out; give a vacuum like 29inhg, a pressure like 60psi, or both."),
        (
            (*PUMP, "--air", "1000%"),
            "The air stirred in, in per cent of the liquid, is 1000; give a number from 0 to 100.",
        ),
        (("--vacuum", "29inhg"), "How much is degassed? Add the amount, like 500ml."),
        (("--degas", "500ml"), "How far is it pumped? Add what the vacuum gauge shows, like 29inhg."),
        (
            ("--degas", "500ml", "--vacuum", "29inhg", "--altitude", "1500m"),
            "A vacuum gauge cannot show 29 inHg where the air has 24.97 inHg (1500 m above the sea); give a smaller "
            "reading, or the absolute pressure.",
        ),
        (
            (*PUMP, "--absolute", "30mbar"),
            "Give the vacuum either as the gauge shows it or as absolute pressure, one of the two.",
        ),
        (
            ("--pressure", "60psi", "--around", "9mm"),
            "--around needs the mesh of what it is around; name its FILE, or give --mould instead.",
        ),
    ],
)
def test_what_cannot_be_worked_out(options: tuple[str, ...], said: str) -> None:
    assert refused("vessel", *options) == said


@pytest.mark.parametrize(
    ("option", "typed", "said"),
    [
        ("--mould", "120mm", "'120mm' is not the size of a mould"),
        ("--inside", "1x2x3mm", "'1x2x3mm' is not the inside of a round vessel"),
        ("--inside", "0mm x 3mm", "has a side of nothing"),
        ("--altitude", "high", "'high' is not a length"),
        ("--pressure", "60", "'60' has no unit; write it like 60psi, 4bar or 29inhg."),
    ],
)
def test_quantities_that_are_none(option: str, typed: str, said: str) -> None:
    assert said in refused("vessel", option, typed)


def test_a_size_given_twice(tmp_path: Path) -> None:
    options = ("vessel", cube(tmp_path), "--mould", "1x2x3cm", *POT)
    assert "given twice" in refused(*options)


def test_an_amount_in_the_place_of_a_file_is_told_where_it_belongs() -> None:
    assert "type an amount like that as --degas 500ml" in refused("vessel", "500ml", "--vacuum", "29inhg")

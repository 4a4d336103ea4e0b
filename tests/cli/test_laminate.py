"""Laminating at the command line. The figures behind it are checked in tests/materials/mixtures/test_laminate.py."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, refused, sheet

SQUARE_METRE = ("--area", "1m2", "--offcuts", "0")


def test_the_worked_job() -> None:
    """A jacket of 1 m²: 0.5 mm of gel coat and three mats of 450 at 2.5 to 1, worked by hand."""
    made = answered("laminate", *SQUARE_METRE, "--mat", "3x450")["laminate"]
    assert made["gel_coat_g"] == pytest.approx(600)
    assert (made["mat_g"], made["resin_g"]) == (pytest.approx(1350), pytest.approx(3375))
    assert made["thickness_mm"] == pytest.approx(3.84, abs=0.005)
    assert made["mass_g"] == pytest.approx(5325)


def test_every_batch_has_its_catalyst() -> None:
    batches = answered("laminate", *SQUARE_METRE, "--mat", "4x450", "--at-once", 2)["laminate"]["batches"]
    assert [batch["what"] for batch in batches] == ["gel coat", "session 1", "session 2"]
    assert [batch["components"][1]["mass_g"] for batch in batches] == pytest.approx(
        [600 * 0.02, 2250 * 0.015, 2250 * 0.015]
    )


def test_a_cold_bench_takes_more_catalyst_and_a_colder_one_is_refused() -> None:
    (_, session) = answered("laminate", *SQUARE_METRE, "--mat", "450", "--bench", "17c")["laminate"]["batches"]
    assert session["catalyst_percent"] == pytest.approx(2.5)
    assert "does not cure properly" in refused("laminate", *SQUARE_METRE, "--mat", "450", "--bench", "8c")


def test_a_thickness_says_how_many_mats() -> None:
    batches = answered("laminate", "--area", "1m2", "--thickness", "4mm", "--mat", "450")["laminate"]["batches"]
    assert sum(len(batch["mats_g_m2"]) for batch in batches) == 4


def test_an_epoxy_has_parts_and_no_catalyst() -> None:
    options = ("--resin", "casting-epoxy", "--gelcoat", "0", "--mat", "400")
    (session,) = answered("laminate", *SQUARE_METRE, *options)["laminate"]["batches"]
    assert [part["mass_g"] for part in session["components"]] == pytest.approx([1000 / 1.45, 450 / 1.45])
    assert session["catalyst_percent"] is None


def test_the_surface_of_a_mesh(tmp_path: Path) -> None:
    made = answered("laminate", cube(tmp_path), "--covered", "50%", "--mat", "450")["laminate"]
    assert made["area_mm2"] == pytest.approx(1200)
    assert made["laid_mm2"] == pytest.approx(1200 * 1.15)


def test_mats_by_the_square_foot() -> None:
    (_, session) = answered("laminate", *SQUARE_METRE, "--mat", "1.5oz/ft2")["laminate"]["batches"]
    assert session["mats_g_m2"] == [pytest.approx(457.7, abs=0.05)]


def test_the_sheet() -> None:
    text = sheet("laminate", "--area", "0.5m2", "--mat", "300", "--mat", "450")
    assert "2 mats in 1 session." in text
    assert "300 + 450 g/m²" in text
    assert "0.575 m² of every mat with 15 % for laps and offcuts" in text
    assert "Styrene" in text and "goggles" in text


def test_a_dose_that_the_scale_does_not_show_is_told_in_ml() -> None:
    """345 cm² of gel coat at 0.6 kg/m² and 2 %, and of a mat of 450 at 2.5 to 1 and 1.5 %."""
    small = ("laminate", "--area", "300cm2", "--mat", "450")
    text = sheet(*small)
    assert "catalyst 0.41 g = 0.36 ml" in text and "catalyst 0.58 g = 0.51 ml" in text
    assert "Do not weigh 0.414 g of catalyst on a scale that shows steps of 1 g" in text
    fine = sheet(*small, "--readability", "0.01g")
    assert "20.70 g" in fine and "0.41 g" in fine and "0.41 g =" not in fine
    assert "Do not weigh" not in fine


@pytest.mark.parametrize(("ratio", "said"), [("1", True), ("1.8", False), ("2.5", False), ("4", True)])
def test_a_ratio_that_is_not_of_mat_is_remarked(ratio: str, said: bool) -> None:
    codes = [one["code"] for one in answered("laminate", *SQUARE_METRE, "--mat", "450", "--ratio", ratio)["warnings"]]
    assert ("unusual-resin-ratio" in codes) is said


def test_the_gel_coat_is_measured_wet() -> None:
    assert "0.5 mm as measured wet, at 1.2 g/ml; 1.28 g/ml when it has set" in sheet(
        "laminate", *SQUARE_METRE, "--mat", "450"
    )


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--area", "1m2"), "No mat is named; add --mat 450 for each layer, or --thickness 4mm."),
        (
            ("--mat", "450"),
            "Give the area either as --area 0.5m2 or as the mesh FILE to cover, one of the two.",
        ),
        (
            ("--area", "1m2", "--mat", "450", "--mat", "300", "--thickness", "4mm"),
            "A thickness is reached with mats of one weight; name one mat, or leave out the thickness.",
        ),
        (("--area", "1m2", "--thickness", "4m"), "4000 mm would be 3593 mats, which is no laminate; ask for less."),
        (("--area", "1m2", "--mat", "450", "--ratio", "50"), "The ratio of resin to mat by weight is 50; "),
        (("--area", "1m2", "--mat", "1.5oz"), "'1.5oz' does not say per what"),
        (("--area", "1m2", "--mat", "0x450"), "'0x450' is no number of mats; write it like 3x450."),
        (("--area", "2", "--mat", "450"), "'2' has no unit; write it like 0.5m2, 5000cm2 or 5ft2."),
    ],
)
def test_what_cannot_be_laid_up(options: tuple[str, ...], said: str) -> None:
    assert said in refused("laminate", *options)


def test_an_area_in_the_place_of_a_file_is_told_where_it_belongs() -> None:
    assert "type an amount like that as --area 0.5m2" in refused("laminate", "0.5m2", "--mat", "450")
    assert "is not there" in refused("laminate", "owl", "--mat", "450", status=1)

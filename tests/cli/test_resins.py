"""``moldvol resins``: the shelf, and where its figures come from."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import answered, moldvol, refused, sheet, written

OWN = """
[resin.my-fast]
kind = "polyurethane"
parts = [ {name = "A", by_weight = 100, density_g_ml = 1.03}, {name = "B", by_weight = 90, density_g_ml = 1.22} ]
cured_density_g_ml = 1.10
pot_life_min = 4
price_per_kg = 12.5
"""


def test_every_promised_class_is_there() -> None:
    keys = {resin["key"] for resin in answered("resins")["resins"]}
    assert keys >= {
        "fast-urethane", "slow-urethane", "tough-urethane", "casting-polyester", "casting-epoxy", "tin-silicone",
        "platinum-silicone",
    }  # fmt: skip
    assert all(key in sheet("resins") for key in keys)


def test_one_resin_with_the_source_of_its_figures() -> None:
    found = answered("resins", "fast-urethane")
    assert found["kind"] == "polyurethane" and len(found["parts"]) == 2
    assert found["grades"]["cured_density_g_ml"]
    assert "g/ml" in sheet("resins", "fast-urethane")


def test_a_shelf_of_ones_own(tmp_path: Path) -> None:
    shelf = written(tmp_path, "my.toml", OWN)
    (mine,) = [resin for resin in answered("resins", "--shelf", shelf)["resins"] if resin["key"] == "my-fast"]
    assert mine["cured_density_g_ml"] == 1.10 and mine["pot_life_s"] == 240
    assert "my-fast" in sheet("resins", "--shelf", shelf)


def test_a_mistake_on_the_shelf_is_told_with_file_entry_and_key(tmp_path: Path) -> None:
    shelf = written(tmp_path, "my.toml", OWN.replace("pot_life_min = 4", "pot_life_min = -4"))
    said = refused("resins", "--shelf", shelf, status=1)
    assert all(word in said for word in ("my.toml", "my-fast", "pot_life_min"))


def test_an_unknown_name_is_answered_with_the_known_ones() -> None:
    assert "fast-urethane" in refused("resins", "plaster-of-rome")


def test_no_colour_and_no_stray_word() -> None:
    told = moldvol("resins")
    assert told.err == "" and "\x1b" not in told.out


def test_fillers_plasters_and_small_moulds_are_listed(tmp_path: Path) -> None:
    shelf = written(tmp_path, "mine.toml", "[small_mould.star]\nvolume_ml = 9\n")
    told = answered("resins", "--shelf", shelf)
    assert {"chalk", "bronze-powder", "pigment-paste"} <= {filler["key"] for filler in told["fillers"]}
    assert {"pottery-plaster", "model-plaster"} <= {plaster["key"] for plaster in told["plasters"]}
    assert told["small_moulds"] == [{"key": "star", "name": "star", "volume_ml": 9, "count": 1}]
    assert "star star 9 ml 1" in sheet("resins", "--shelf", shelf)


@pytest.mark.parametrize(
    ("name", "figure", "said"),
    [
        ("chalk", "density_g_ml", "Density 2.71 g/ml of the grain from memory"),
        ("pottery-plaster", "consistency", "Consistency 70 of water to 100 66 to 75 usual; published"),
    ],
)
def test_one_filler_or_plaster_with_its_sources(name: str, figure: str, said: str) -> None:
    assert figure in answered("resins", name)["grades"]
    assert said in sheet("resins", name)


WRONG_ENTRIES = [
    ("nonsense", "mine.toml is not TOML: "),
    ("[resins.x]", "mine.toml, resins: a shelf has no such table; did you mean resin?"),
    ("[resin]\nx = 3", "mine.toml, resin, x: an entry is expected, not 3; write it under a heading such as"),
    ("[filler.x]\ndensity_g_ml = true", "mine.toml, filler.x, density_g_ml: a number is expected, not true"),
    ("[filler.x]\ndensity_g_ml = 2\ncolour = 1", "mine.toml, filler.x, colour: this key is not known; it may be"),
    ("[plaster.x]\nconsistency = nan", "mine.toml, plaster.x, consistency: a finite number is expected, not nan"),
    ("[small_mould.x]\nvolume_ml = -2", "mine.toml, small_mould.x, volume_ml: a number above 0 is expected"),
    ("[small_mould.x]\ncount = 2", "mine.toml, small_mould.x, volume_ml: this key is missing; add it."),
]


@pytest.mark.parametrize(("text", "said"), WRONG_ENTRIES)
def test_each_wrong_entry_gives_one_sentence(text: str, said: str, tmp_path: Path) -> None:
    sentence = refused("resins", "--shelf", written(tmp_path, "mine.toml", text), status=1)
    assert said in sentence
    assert sentence.endswith((".", "?"))


def test_a_ratio_from_the_figures_of_a_data_sheet(tmp_path: Path) -> None:
    text = 'kind = "epoxy"\ncured_density_g_ml = 1.1\npot_life_min = 40\neew = 190\nahew = 43\n'
    shelf = written(tmp_path, "mine.toml", "[resin.mine]\n" + text)
    assert "Parts 100:22.63 by weight own figure: EEW 190, AHEW 43" in sheet("resins", "mine", "--shelf", shelf)
    lone = written(tmp_path, "mine.toml", "[resin.mine]\n" + text.replace("ahew = 43", ""))
    assert refused("resins", "--shelf", lone, status=1) == (
        "mine.toml, resin.mine, eew: the EEW alone makes no ratio; give the AHEW too."
    )

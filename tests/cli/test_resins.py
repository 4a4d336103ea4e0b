"""``moldvol resins``: the shelf, and where its figures come from."""

from __future__ import annotations

from pathlib import Path

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

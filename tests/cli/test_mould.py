"""``moldvol mould`` at the command line. The volumes behind it are checked in tests/casting and tests/verification."""

from __future__ import annotations

from math import pi
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.cli.command_line import answered, cube, moldvol, refused, sheet
from tests.cli.test_measure import EVERY_MESH_COMMAND, stl, strict
from tests.shapes import box, turned

pytestmark = pytest.mark.usefixtures("coarse_grids")

RUBBER = ("--rubber", "tin-silicone")
FINE = ("--readability", "0.01g")
DENSITY = 1.17  # g/ml, cured, of tin-silicone on the built-in shelf
SKIN_REL = 5e-3  # a parallel body on its grid, around a cube of 20 mm
BARE = ("--flange", "0", "--keys", "0", "--jacket", "none")


def mould(*arguments: object) -> dict[str, Any]:
    return answered("mould", *arguments)["mould"]


class TestBlock:
    def test_the_cube_by_hand(self, tmp_path: Path) -> None:
        """A box of 40 mm around a cube of 20: 56 ml of rubber."""
        found = mould(cube(tmp_path), *RUBBER, "--clearance", "10mm")
        assert found["style"] == "block"
        assert found["outside_mm"] == [40, 40, 40]
        assert found["rubber_volume_mm3"] == pytest.approx(56_000)
        assert found["rubber_mass_g"] == pytest.approx(56 * DENSITY)
        assert found["total_mass_g"] == pytest.approx(56 * DENSITY * 1.1)  # the usual tenth below 100 g
        assert found["cost"] == pytest.approx(56 * DENSITY * 1.1 * 24 / 1000)

    def test_an_open_face_has_no_rubber_below(self, tmp_path: Path) -> None:
        found = mould(cube(tmp_path), *RUBBER, "--clearance", "10mm", "--open-face")
        assert found["outside_mm"] == [40, 40, 30]
        assert found["rubber_volume_mm3"] == pytest.approx(40_000)
        assert found["release"]["undercut_share"] == 0

    def test_the_boards_of_the_box(self, tmp_path: Path) -> None:
        boards = mould(cube(tmp_path), *RUBBER, "--clearance", "10mm", "--board", "12mm")["box"]["boards"]
        assert [(board["name"], board["count"]) for board in boards] == [
            ("base", 1), ("long side", 2), ("short side", 2),
        ]  # fmt: skip
        assert [(board["length_mm"], board["width_mm"]) for board in boards] == [(64, 64), (64, 50), (40, 50)]

    def test_two_parts_are_two_mixes_with_keys(self, tmp_path: Path) -> None:
        found = mould(cube(tmp_path), *RUBBER, *FINE, "--clearance", "12mm", "--parts", 2)
        keys = 4 * 2 / 3 * pi * 4**3
        assert found["keys"]["volume_mm3"] == pytest.approx(keys)
        assert [pour["name"] for pour in found["pours"]] == ["first half", "second half"]
        assert sum(pour["volume_mm3"] for pour in found["pours"]) == pytest.approx(44**3 - 8000)
        for pour in found["pours"]:
            base, catalyst = (part["mass_g"] for part in pour["components"])
            assert catalyst == pytest.approx(base * 5 / 100)

    def test_the_way_up_that_takes_least_is_told_and_can_be_taken(self, tmp_path: Path) -> None:
        askew = stl(tmp_path, "askew.stl", turned(box(60, 40, 20).mesh, 2))
        told = sheet("mould", askew, *RUBBER)
        assert "Which way up takes least rubber" in told and "less rubber" in told
        least = mould(askew, *RUBBER, "--least-rubber")
        assert least["rubber_volume_mm3"] == pytest.approx(84 * 64 * 44 - 48_000, rel=1e-4)
        assert least["orientations"][0]["taken"] is True

    def test_up_says_how_it_stands(self, tmp_path: Path) -> None:
        plate = stl(tmp_path, "plate.stl", box(60, 40, 20).mesh)
        found = mould(plate, *RUBBER, "--clearance", "10mm", "--up", "1,0,0")
        assert found["outside_mm"][2] == pytest.approx(80)
        assert found["up"] == pytest.approx([1, 0, 0])
        assert found["split"]["pull"] == pytest.approx([1, 0, 0])

    def test_a_container_for_degassing_unless_there_is_no_pump(self, tmp_path: Path) -> None:
        found = answered("mould", cube(tmp_path), *RUBBER)
        liquid, container = found["mix"]["total_volume_ml"], found["mould"]["degassing"]["container_ml"]
        assert 4 * liquid < container < 7 * liquid
        assert mould(cube(tmp_path), *RUBBER, "--no-pump")["degassing"] is None


class TestSkins:
    def test_a_glove_all_round_is_a_parallel_body(self, tmp_path: Path) -> None:
        """Steiner: area × t + π(a + b + c) t² + 4/3 π t³."""
        found = mould(cube(tmp_path), *RUBBER, "--style", "glove", "--thickness", "5mm", "--all-round", *BARE)
        exact = 2400 * 5 + 60 * pi * 25 + 4 / 3 * pi * 125
        assert found["rubber_volume_mm3"] == pytest.approx(exact, rel=SKIN_REL)
        assert found["jacket"] is None and found["flange"] is None

    def test_coats_by_number(self, tmp_path: Path) -> None:
        found = mould(cube(tmp_path), *RUBBER, "--style", "glove", "--thickness", "7mm", "--coats", 4)
        assert [pour["skin_mm"] for pour in found["pours"]] == pytest.approx([1, 3, 5, 7])
        assert found["pours"][0]["thickener_g"] == 0 < found["pours"][1]["thickener_g"]
        assert sum(pour["mass_g"] for pour in found["pours"]) == pytest.approx(found["total_mass_g"])
        assert found["degassing"] is None

    def test_a_plaster_jacket_with_its_water(self, tmp_path: Path) -> None:
        jacket = mould(cube(tmp_path), *RUBBER, "--style", "glove", "--consistency", 60)["jacket"]
        assert jacket["kind"] == "plaster"
        assert jacket["plaster"]["water_g"] == pytest.approx(0.6 * jacket["plaster"]["plaster_g"])

    def test_a_glass_jacket_session_by_session(self, tmp_path: Path) -> None:
        options = ("--style", "poured-over", "--jacket", "glass", "--mat", "2x450", "--offcuts", "0", *FINE)
        jacket = mould(cube(tmp_path), *RUBBER, *options)["jacket"]
        assert jacket["kind"] == "glass"
        assert [batch["what"] for batch in jacket["batches"]] == ["gel coat", "session 1"]
        assert jacket["laminate"]["mat_g"] == pytest.approx(jacket["area_mm2"] * 900e-6)
        assert jacket["batches"][1]["components"][1]["mass_g"] == pytest.approx(0.015 * jacket["laminate"]["resin_g"])

    def test_poured_over_is_one_pour_of_the_same_gap(self, tmp_path: Path) -> None:
        glove = mould(cube(tmp_path), *RUBBER, "--style", "glove")
        gap = mould(cube(tmp_path), *RUBBER, "--style", "poured-over")
        assert gap["rubber_volume_mm3"] == pytest.approx(glove["rubber_volume_mm3"])
        assert len(gap["pours"]) == 1


class TestContract:
    @pytest.mark.parametrize("style", ["block", "glove", "poured-over"])
    def test_the_keys_scripts_rely_on(self, tmp_path: Path, style: str) -> None:
        outcome = moldvol("mould", cube(tmp_path), *RUBBER, "--style", style, "--json")
        found = strict(outcome.out)
        assert set(found) >= EVERY_MESH_COMMAND | {"mould", "mix", "pots"}
        assert set(found["mould"]) >= {"style", "rubber_volume_mm3", "rubber_mass_g", "outside_mm"}
        assert found["mould"]["style"] == style
        assert found["mix"]["total_mass_g"] == pytest.approx(found["mould"]["total_mass_g"])

    def test_the_sheet_says_what_to_weigh_and_what_to_mind(self, tmp_path: Path) -> None:
        told = sheet("mould", cube(tmp_path), *RUBBER)
        for word in (
            "Block mould: mix",
            "To mix",
            "scale shows",
            "The box",
            "Degassing",
            "Will it come off",
            "Cautions",
        ):
            assert word in told
        glove = sheet("mould", cube(tmp_path), *RUBBER, "--style", "glove")
        for word in ("Coats, one after the other", "The plaster jacket", "1. Water", "fumed silica", "open side up"):
            assert word in glove

    def test_pots_of_each_half(self, tmp_path: Path) -> None:
        master = stl(tmp_path, "plate.stl", box(60, 40, 20).mesh)
        found = answered("mould", master, *RUBBER, "--parts", 2, "--pot", "250ml")
        assert len(found["pots"]) == 2
        assert "First half: pots" in sheet("mould", master, *RUBBER, "--parts", 2, "--pot", "250ml")

    def test_an_allowance_of_ones_own(self, tmp_path: Path) -> None:
        found = mould(cube(tmp_path), *RUBBER, "--allowance", "15%")
        assert found["allowance_source"] == "stated"
        assert found["total_mass_g"] == pytest.approx(1.15 * found["rubber_mass_g"])

    def test_a_picture_and_a_sheet(self, tmp_path: Path) -> None:
        picture, paper = tmp_path / "out.png", tmp_path / "out.html"
        outcome = moldvol("mould", cube(tmp_path), *RUBBER, "--style", "glove", "--picture", picture, "--sheet", paper)
        assert outcome.status == 0
        with Image.open(picture) as image:
            assert image.mode == "L" and min(image.size) > 300
        html = paper.read_text(encoding="utf-8")
        assert "Brush" in html and "Glove mould" in html and "data:image/png" in html


class TestRefusals:
    @pytest.mark.parametrize(
        ("options", "said"),
        [
            (("--style", "glove", "--clearance", "4mm"), "--clearance goes with block, not with glove"),
            (("--thickness", "4mm"), "--thickness goes with glove or poured-over, not with block"),
            (("--coats", "3"), "--coats goes with glove, not with block"),
            (("--style", "poured-over", "--thickener", "2%"), "--thickener goes with glove, not with poured-over"),
            (("--style", "glove", "--least-rubber"), "--least-rubber goes with block, not with glove"),
            (("--jacket", "glass"), "A block stands by itself and takes no jacket"),
            (("--style", "glove", "--mat", "450"), "--mat is for a jacket of glass"),
            (
                ("--style", "glove", "--jacket", "glass", "--consistency", "60"),
                "--consistency is for a jacket of plaster",
            ),
            (("--parts", "2", "--open-face"), "A block in two parts has no open face"),
            (("--up", "0,0,1", "--least-rubber"), "--up and --least-rubber both say how the master stands"),
            (("--up", "0,0,0"), "'0,0,0' points nowhere"),
            (("--vacuum", "40inhg"), "A vacuum gauge cannot show 40 inHg"),
            (("--per-pot-loss", "3g"), "--per-pot-loss is what stays in each pot; say with --pot"),
            (("--style", "glove", "--thickness", "1mm", "--coats", "2"), "done with the detail coat"),
            (("--clearance", "0mm"), "'0mm' is not above zero"),
            (("--parts", "3"), "'3' is not one of '1', '2'"),
        ],
    )
    def test_what_does_not_go_together(self, tmp_path: Path, options: tuple[str, ...], said: str) -> None:
        assert said in refused("mould", cube(tmp_path), *RUBBER, *options)

    def test_no_rubber_at_all(self, tmp_path: Path) -> None:
        assert "--rubber" in refused("mould", cube(tmp_path))

    def test_a_cold_bench_refuses_a_glass_jacket(self, tmp_path: Path) -> None:
        options = ("--style", "glove", "--jacket", "glass", "--bench", "5c")
        assert "does not cure properly" in refused("mould", cube(tmp_path), *RUBBER, *options)

    def test_a_clearance_in_the_wrong_unit_is_pointed_out(self, tmp_path: Path) -> None:
        codes = {
            notice["code"] for notice in answered("mould", cube(tmp_path), *RUBBER, "--clearance", "12cm")["warnings"]
        }
        assert "much-rubber" in codes

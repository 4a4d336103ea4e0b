"""``moldvol cast``: the main job, against grams worked out by hand."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, moldvol, refused, sheet
from tests.cli.test_measure import EVERY_MESH_COMMAND, stl
from tests.shapes import box, together

RESIN = ("--resin", "fast-urethane")
DENSITY = 1.07  # g/ml, cured, of fast-urethane on the built-in shelf
NET_G = 8 * DENSITY  # the cube of 20 mm


def cast(*arguments: object) -> dict:
    return answered("cast", *arguments)["cast"]


class TestAmounts:
    def test_the_cube_by_hand(self, tmp_path: Path) -> None:
        found = answered("cast", cube(tmp_path), *RESIN, "--readability", "0.01g")
        assert found["cast"]["net_mass_g"] == pytest.approx(NET_G)
        assert found["cast"]["allowance_g"] == pytest.approx(0.1 * NET_G)  # the usual tenth below 100 g
        total = found["cast"]["total_mass_g"]
        assert total == pytest.approx(1.1 * NET_G)
        masses = [component["mass_g"] for component in found["mix"]["components"]]
        assert masses == pytest.approx([total * 100 / 190, total * 90 / 190])

    def test_copies_allowance_and_pot_loss(self, tmp_path: Path) -> None:
        found = cast(cube(tmp_path), *RESIN, "--copies", 12, "--allowance", "8%", "--per-pot-loss", "3g")
        assert found["net_mass_g"] == pytest.approx(12 * NET_G)
        assert found["total_mass_g"] == pytest.approx(12 * NET_G * 1.08 + 3)

    @pytest.mark.parametrize("typed", ["8mm x 30mm", "8x30", "8 × 30", "0.8cm x 3cm", "8mmX30mm"])
    def test_a_sprue_however_it_is_typed(self, tmp_path: Path, typed: str) -> None:
        found = cast(cube(tmp_path), *RESIN, "--sprue", typed)
        assert found["sprue_volume_mm3"] == pytest.approx(pi * 16 * 30)
        assert found["net_mass_g"] == pytest.approx(NET_G + pi * 16 * 30 / 1000 * DENSITY)

    def test_sprues_add_up_on_every_copy(self, tmp_path: Path) -> None:
        found = cast(cube(tmp_path), *RESIN, "--sprue", "8x30", "--sprue", "2x10", "--copies", 2)
        sprues = pi * 16 * 30 + pi * 1 * 10
        assert found["net_mass_g"] == pytest.approx(2 * (NET_G + sprues / 1000 * DENSITY))

    def test_a_sealed_room_is_filled_unless_it_is_kept(self, tmp_path: Path) -> None:
        master = stl(tmp_path, "hollow.stl", together(box(40, 40, 40).mesh, box(20, 20, 20).mesh.flipped()))
        filled, kept = cast(master, *RESIN), cast(master, *RESIN, "--keep-voids")
        assert filled["mass_each_g"] == pytest.approx(64 * DENSITY)
        assert filled["void_mass_g"] == pytest.approx(8 * DENSITY)
        assert kept["mass_each_g"] == pytest.approx(56 * DENSITY) and kept["void_mass_g"] == 0

    def test_a_thick_section_is_pointed_out(self, tmp_path: Path) -> None:
        block = stl(tmp_path, "block.stl", box(80, 80, 80).mesh)
        codes = {warning["code"] for warning in answered("cast", block, *RESIN)["warnings"]}
        assert "section-too-thick" in codes

    def test_several_meshes(self, tmp_path: Path) -> None:
        files = [cube(tmp_path, "a.stl"), cube(tmp_path, "b.stl")]
        results = answered("cast", *files, *RESIN)["results"]
        assert [result["cast"]["net_mass_g"] for result in results] == pytest.approx([NET_G, NET_G])

    def test_more_than_a_cup_is_told_even_in_the_line(self, tmp_path: Path) -> None:
        """Twenty-eight kilograms in one cup, to be poured within three minutes."""
        big = ("cast", cube(tmp_path), *RESIN, "--height", "300mm")
        assert "l are more than one person mixes at once" in moldvol(*big, "-q").out
        assert "more than one person" not in moldvol(*big, "--pot", "3l", "-q").out


class TestContract:
    def test_the_keys_scripts_rely_on(self, tmp_path: Path) -> None:
        found = answered("cast", cube(tmp_path), *RESIN)
        assert set(found) >= EVERY_MESH_COMMAND | {"cast", "mix"}
        assert set(found["cast"]) >= {
            "resin", "copies", "net_mass_g", "allowance_g", "total_mass_g", "cost",
        }  # fmt: skip
        mix = found["mix"]
        assert set(mix) >= {"total_mass_g", "total_volume_ml", "components", "ratio_error_percent", "warnings"}
        assert set(mix["components"][0]) >= {"name", "mass_g", "volume_ml", "scale_reading_g"}

    def test_the_sheet_ends_with_what_to_weigh(self, tmp_path: Path) -> None:
        told = sheet("cast", cube(tmp_path), *RESIN)
        for word in ("To mix", "Allowance", "scale shows", "Pour within", "Cautions"):
            assert word in told
        assert "Cautions" not in sheet("cast", cube(tmp_path), *RESIN, "--no-remarks")


class TestRefusals:
    def test_a_foam_is_no_casting_resin(self, tmp_path: Path) -> None:
        """Cast in a closed mould it may be, and is told so; it lines no wall."""
        foam = ("--resin", "rigid-foam")
        codes = [one["code"] for one in answered("cast", cube(tmp_path), *foam, "--copies", "9")["warnings"]]
        assert "foam-rises" in codes
        said = refused("hollow", cube(tmp_path), "--wall", "3mm", *foam, "--detail", "8k")
        assert "lines no wall" in said

    def test_a_near_miss_of_a_resin(self, tmp_path: Path) -> None:
        assert "did you mean fast-urethane" in refused("cast", cube(tmp_path), "--resin", "fast-uretane")

    def test_no_resin_at_all(self, tmp_path: Path) -> None:
        assert "--resin" in refused("cast", cube(tmp_path))

    def test_next_to_nothing_points_to_the_unit(self, tmp_path: Path) -> None:
        said = refused("cast", cube(tmp_path), *RESIN, "--scale", "0.001")
        assert said.startswith(
            "Less than 0.001 g in all do not show on a scale of 1 g steps: the largest side is 0.02 mm"
        )
        small = refused("cast", cube(tmp_path), *RESIN, "--scale", "0.3")
        assert small.endswith("use a finer scale, or pass --unit if the part is larger than that.")

    @pytest.mark.parametrize(
        ("option", "typed"),
        [
            ("--copies", "0"), ("--copies", "-3"), ("--copies", "two"), ("--copies", "1.5"),
            ("--allowance", "-5%"), ("--allowance", "nan"), ("--allowance", "8g"), ("--allowance", "inf%"),
            ("--per-pot-loss", "-1g"), ("--per-pot-loss", "3mm"),
            ("--sprue", "8mm"), ("--sprue", "8mm x 0mm"), ("--sprue", "-8mm x 30mm"), ("--sprue", "8 x 30 x 2"),
            ("--sprue", "nan x 30mm"), ("--sprue", ""),
            ("--height", "-3mm"), ("--height", "0"), ("--height", "nan"), ("--scale", "0"), ("--scale", "nan"),
            ("--scale", "-1"), ("--scale", "big"), ("--readability", "0g"), ("--capacity", "-3kg"),
        ],
    )  # fmt: skip
    def test_an_impossible_quantity_is_refused_in_the_words_it_was_typed(
        self, tmp_path: Path, option: str, typed: str
    ) -> None:
        said = refused("cast", cube(tmp_path), *RESIN, f"{option}={typed}")
        assert f"'{typed}'" in said and option in said

    def test_nothing_below_zero_is_called_not_above_zero_where_zero_would_do(self, tmp_path: Path) -> None:
        assert "zero or more" in refused("cast", cube(tmp_path), *RESIN, "--per-pot-loss=-1g")
        assert moldvol("cast", cube(tmp_path), *RESIN, "--per-pot-loss", "0").status == 0

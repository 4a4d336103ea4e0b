"""``moldvol fill`` at the command line. The levels behind it are checked in tests/geometry and tests/verification."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from moldvol.geometry.mesh import Mesh
from tests.casting.test_fill import box as block
from tests.casting.test_fill import carved, half_filled, halves, tray
from tests.cli.command_line import answered, cube, moldvol, refused, sheet
from tests.cli.test_measure import EVERY_MESH_COMMAND, stl, strict
from tests.shapes import prism

pytestmark = pytest.mark.usefixtures("coarse_grids")

RESIN = ("--resin", "fast-urethane")
DENSITY = 1.07  # g/ml, cured, of fast-urethane on the built-in shelf
EXACT_REL = 1e-5
ROUND_REL = 4e-3  # a ball of flat triangles
GATE = [(0.0, 0.0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A tray of 50 × 30 × 20 inside, a gate (posts of 40 under a beam) with y up, and two halves of a ball's mould."""
    place = tmp_path_factory.mktemp("moulds")
    made: dict[str, Mesh] = {"tray": tray(), "gate": prism(GATE, 10), "halves": halves(apart=True)}
    for name, mesh in made.items():
        stl(place, f"{name}.stl", mesh)
    return place


def fill(*arguments: object) -> dict[str, Any]:
    return answered("fill", *arguments)["fill"]


class TestHeld:
    def test_a_mould_asked_to_stand_on_its_mouth_is_told_so(self, folder: Path) -> None:
        """It is taken for a master then, and far too much would be mixed."""
        told = answered("fill", folder / "tray.stl", "--up", "0,0,-1")
        (notice,) = [one["message"] for one in told["warnings"] if one["code"] == "another-side-holds"]
        assert told["fill"]["kind"] == "cavity" and "with 0,0,1 up it is a mould that holds about 29.8 ml" in notice
        assert notice in moldvol("fill", folder / "tray.stl", "--up", "0,0,-1", "-q").out

    def test_a_tray_to_the_brim(self, folder: Path) -> None:
        found = fill(folder / "tray.stl")
        assert found["kind"] == "open mould" and found["up"] == [0, 0, 1]
        assert found["held_volume_mm3"] == pytest.approx(30_000, rel=EXACT_REL)
        assert (found["trapped_air_mm3"], found["pockets"]) == (0, [])
        assert found["basins"][0]["surface_mm2"] == pytest.approx(1500, rel=EXACT_REL)
        assert found["release"]["undercut_share"] == 0

    @pytest.mark.parametrize("typed", ["3mm", "3", "3mm below rim", "0.3cm below the rim", "3 mm under the rim"])
    def test_a_level_however_it_is_typed(self, folder: Path, typed: str) -> None:
        found = fill(folder / "tray.stl", "--level", typed)
        assert found["held_volume_mm3"] == pytest.approx(50 * 30 * 17, rel=EXACT_REL)
        assert found["drop_mm"] == 3

    def test_its_resin_is_weighed_out(self, folder: Path) -> None:
        found = answered("fill", folder / "tray.stl", *RESIN, "--allowance", "10%")
        net = 30 * DENSITY
        assert found["fill"]["net_mass_g"] == pytest.approx(net, rel=EXACT_REL)
        assert found["mix"]["total_mass_g"] == pytest.approx(1.1 * net, rel=EXACT_REL)
        masses = [component["mass_g"] for component in found["mix"]["components"]]
        assert masses == pytest.approx([1.1 * net * 100 / 190, 1.1 * net * 90 / 190], rel=EXACT_REL)

    def test_pots(self, folder: Path) -> None:
        found = answered("fill", folder / "tray.stl", *RESIN, "--pot", "30ml")
        assert found["pots"]["count"] >= 2

    def test_a_mould_on_its_side_says_how_it_was_stood(self, folder: Path, tmp_path: Path) -> None:
        lying = stl(tmp_path, "lying.stl", Mesh(tray().vertices[:, [2, 0, 1]], tray().faces))
        found = answered("fill", lying)
        assert found["fill"]["up"] == [1, 0, 0]
        assert "stood-on-another-side" in {notice["code"] for notice in found["warnings"]}

    def test_two_printed_halves_are_recognised(self, folder: Path) -> None:
        found = answered("fill", folder / "halves.stl")
        assert found["fill"]["kind"] == "two halves"
        assert found["fill"]["held_volume_mm3"] == pytest.approx(half_filled(20), rel=ROUND_REL)
        assert "the two halves of a mould side by side" in sheet("fill", folder / "halves.stl")

    def test_two_hollows_are_listed(self, tmp_path: Path) -> None:
        pair = carved(
            block((60, 40, 20), (0, 0, 0)), block((20, 20, 11), (5, 10, 10)), block((20, 20, 6), (35, 10, 15))
        )
        found = fill(stl(tmp_path, "pair.stl", pair))
        assert [basin["volume_mm3"] for basin in found["basins"]] == pytest.approx([4000, 2000], rel=EXACT_REL)
        assert "Hollows that fill by themselves" in sheet("fill", tmp_path / "pair.stl")


class TestAir:
    UPSIDE_DOWN = ("--up", "0,-1,0")

    def test_a_gate_on_its_head_keeps_the_air_of_one_post(self, folder: Path) -> None:
        found = fill(folder / "gate.stl", *self.UPSIDE_DOWN)
        assert found["kind"] == "cavity"
        assert found["held_volume_mm3"] == pytest.approx(12_000, rel=EXACT_REL)
        (pocket,) = found["pockets"]
        assert pocket["volume_mm3"] == pytest.approx(4000, rel=EXACT_REL) == found["trapped_air_mm3"]
        assert pocket["at_mm"][1] == pytest.approx(0, abs=1e-6)
        assert pocket["depth_mm"] == pytest.approx(40)

    def test_openings_let_it_out(self, folder: Path) -> None:
        openings = ("--opening", "5,0,5", "--opening", "35,0,5")
        assert fill(folder / "gate.stl", *self.UPSIDE_DOWN, *openings)["pockets"] == []

    def test_smaller_pockets_can_be_left_out(self, folder: Path) -> None:
        assert fill(folder / "gate.stl", *self.UPSIDE_DOWN, "--smallest", "5ml")["pockets"] == []

    def test_the_best_three_ways_up(self, folder: Path) -> None:
        found = fill(folder / "gate.stl", *self.UPSIDE_DOWN, "--try-directions")
        assert [way["trapped_air_mm3"] for way in found["directions"]] == [0, 0, 0]
        told = sheet("fill", folder / "gate.stl", *self.UPSIDE_DOWN, "--try-directions")
        assert "The best ways up" in told and "Pour it with --up" in told

    def test_the_sheet_numbers_the_vents(self, folder: Path) -> None:
        told = sheet("fill", folder / "gate.stl", *self.UPSIDE_DOWN)
        assert "Air stays in 1 place." in told
        assert "Air stays 4 ml in 1 place" in told
        assert "--try-directions looks for a better way up." in told
        assert "in³" in sheet("fill", folder / "gate.stl", *self.UPSIDE_DOWN, "--units", "us")


class TestContract:
    @pytest.mark.parametrize("name", ["tray", "gate", "halves"])
    def test_the_keys_scripts_rely_on(self, folder: Path, name: str) -> None:
        found = strict(moldvol("fill", folder / f"{name}.stl", "--json").out)
        assert set(found) >= EVERY_MESH_COMMAND | {"fill", "mix", "pots", "cautions"}
        assert set(found["fill"]) >= {"up", "held_volume_mm3", "trapped_air_mm3", "pockets"}
        assert found["mix"] is None

    @pytest.mark.parametrize("name", ["tray", "gate", "halves"])
    def test_a_picture_and_a_sheet(self, folder: Path, tmp_path: Path, name: str) -> None:
        picture, paper = tmp_path / "out.png", tmp_path / "out.html"
        outcome = moldvol("fill", folder / f"{name}.stl", *RESIN, "--picture", picture, "--sheet", paper)
        assert outcome.status == 0
        with Image.open(picture) as image:
            assert image.mode == "L" and min(image.size) > 200
        assert "Pour slowly, " in paper.read_text(encoding="utf-8")

    @pytest.mark.parametrize(
        ("options", "where"),
        [((), "by the sprue at its highest place"), (("--opening", "10,10,20"), "by an opening you named")],
    )
    def test_a_cavity_is_poured_where_its_picture_shows_it(
        self, tmp_path: Path, options: tuple[str, ...], where: str
    ) -> None:
        paper = tmp_path / "out.html"
        outcome = moldvol("fill", cube(tmp_path), "--kind", "master", *options, *RESIN, "--sheet", paper)
        assert outcome.status == 0, outcome.err
        assert f"Pour slowly, {where}" in paper.read_text(encoding="utf-8")


class TestRefusals:
    @pytest.mark.parametrize(
        ("name", "options", "said"),
        [
            ("tray", ("--level", "25mm"), "25 mm below the rim is below the floor of the mould"),
            (
                "tray",
                ("--level", "3mm above rim"),
                "'3mm above rim' is no level; write it like 3mm or '3mm below rim'.",
            ),
            ("tray", ("--level=-3mm",), "'-3mm' is below zero"),
            ("tray", ("--up", "0,0,-1", "--kind", "mould"), "holds nothing with this side up"),
            ("gate", ("--level", "3mm"), "a level below the rim goes with an open mould only"),
            ("gate", ("--pot", "250ml"), "--pot needs what is poured; add --resin, or leave it out."),
            ("gate", ("--allowance", "5%"), "--allowance needs what is poured"),
            ("gate", ("--up", "up"), "'up' is not three numbers"),
            ("gate", ("--smallest", "0ml"), "'0ml' is not above zero"),
            ("gate", ("--kind", "mould", "--opening", "0,0,1"), "--opening goes with a master"),
            ("halves", ("--level", "3mm"), "Two halves side by side have no rim to stay below"),
        ],
    )
    def test_what_cannot_be_filled(self, folder: Path, name: str, options: tuple[str, ...], said: str) -> None:
        assert said in refused("fill", folder / f"{name}.stl", *options)

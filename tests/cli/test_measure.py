"""``moldvol measure`` as scripts and people meet it."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from tests.cli.command_line import answered, cube, moldvol, refused, sheet
from tests.files import CUBE_CORNERS, ascii_stl, binary_stl
from tests.shapes import ball, box, moved, together

EVERY_MESH_COMMAND = {
    "file", "unit", "unit_source", "triangles", "bodies", "size_mm", "closed", "sound", "mendings", "volume_mm3",
    "volume_error_mm3", "area_mm2", "warnings",
}  # fmt: skip
WALL = {"thin_mm", "median_mm", "thick_mm", "thinnest_at_mm", "thickest_at_mm"}


def stl(folder: Path, name: str, mesh: Mesh) -> Path:
    path = folder / name
    path.write_bytes(binary_stl(mesh.corners()))
    return path


def strict(text: str) -> Any:
    """JSON as every parser reads it: no NaN, no Infinity."""

    def refuse(word: str) -> float:
        raise AssertionError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refuse)


class TestJson:
    def test_the_keys_scripts_rely_on(self, tmp_path: Path) -> None:
        found = answered("measure", cube(tmp_path))
        assert set(found) >= EVERY_MESH_COMMAND | {"wall", "schema_version", "outer_volume_mm3"}
        assert set(found["wall"]) >= WALL
        assert (found["unit"], found["unit_source"], found["triangles"], found["bodies"]) == ("mm", "assumed", 12, 1)
        assert found["closed"] is True and found["sound"] is True and found["mendings"] == []
        assert found["volume_mm3"] == pytest.approx(8000) and found["area_mm2"] == pytest.approx(2400)
        assert found["size_mm"] == [20, 20, 20] and len(found["wall"]["thickest_at_mm"]) == 3

    def test_a_mending_has_its_place_and_price(self, tmp_path: Path) -> None:
        pair = together(box(20, 20, 20).mesh, moved(box(20, 20, 20).mesh, (10, 0, 0)))
        (mending,) = answered("measure", stl(tmp_path, "pair.stl", pair))["mendings"]
        assert set(mending) >= {"what", "at_mm", "volume_change_mm3"}
        assert mending["what"] == "overlap_united" and mending["volume_change_mm3"] == pytest.approx(-4000)

    @pytest.mark.parametrize("corner", [math.nan, math.inf, 3e38])
    def test_no_number_of_a_broken_file_gets_out(self, tmp_path: Path, corner: float) -> None:
        corners = CUBE_CORNERS.copy()
        corners[3, 1, 2] = corner
        path = tmp_path / "broken.stl"
        path.write_bytes(binary_stl(corners))
        found = strict(moldvol("measure", path, "--json").out)
        assert found["volume_mm3"] == pytest.approx(8000)

    def test_one_document_whatever_the_number_of_files(self, tmp_path: Path) -> None:
        files = [cube(tmp_path, f"{k}.stl") for k in range(3)]
        results = answered("measure", *files)["results"]
        assert [Path(result["file"]).name for result in results] == ["0.stl", "1.stl", "2.stl"]

    def test_the_same_file_gives_the_same_bytes(self, tmp_path: Path) -> None:
        path = stl(tmp_path, "ball.stl", ball(20, 3).mesh)
        assert moldvol("measure", path, "--json").out == moldvol("measure", path, "--json").out

    def test_thin_places(self, tmp_path: Path) -> None:
        plate = stl(tmp_path, "plate.stl", box(100, 60, 2).mesh)
        wall = answered("measure", plate, "--thin", "3mm")["wall"]
        assert wall["thin_limit_mm"] == 3 and wall["thin_share"] == pytest.approx(0.949, abs=0.001)


class TestInput:
    @pytest.mark.parametrize("content", [binary_stl(), ascii_stl().encode()], ids=["binary", "ascii"])
    def test_a_dash_is_standard_input(self, content: bytes) -> None:
        assert answered("measure", "-", stdin=content)["volume_mm3"] == pytest.approx(8000)

    def test_nothing_on_standard_input(self) -> None:
        assert "standard input" in refused("measure", "-", status=1)

    def test_units_and_sizes(self, tmp_path: Path) -> None:
        path = cube(tmp_path)
        assert answered("measure", path, "--unit", "cm")["volume_mm3"] == pytest.approx(8e6)
        assert answered("measure", path, "--unit", "inch")["unit_source"] == "option"
        assert answered("measure", path, "--scale", "1,5")["volume_mm3"] == pytest.approx(8000 * 1.5**3)
        assert answered("measure", path, "--height", "180mm")["size_mm"] == pytest.approx([180, 180, 180])

    def test_an_unknown_unit_is_answered_with_the_known_ones(self, tmp_path: Path) -> None:
        said = refused("measure", cube(tmp_path), "--unit", "furlong")
        assert "'furlong'" in said and all(f" {unit}" in said for unit in ("mm", "cm", "m", "in", "ft"))

    def test_an_improbable_size_is_pointed_out(self, tmp_path: Path) -> None:
        path = stl(tmp_path, "tiny.stl", box(0.02, 0.02, 0.02).mesh)
        (warning,) = answered("measure", path)["warnings"]
        assert warning["code"] == "unit-improbable" and "--unit m would make sense" in warning["message"]
        assert answered("measure", path, "--unit", "m")["warnings"] == []

    def test_an_open_mesh_needs_a_word(self, tmp_path: Path) -> None:
        mesh = ball(10, 3).mesh
        centre = mesh.corners().mean(axis=1)
        gone = np.linalg.norm(centre - (0, 0, 10), axis=1) < 8 + 2 * np.sin(7 * np.arctan2(centre[:, 0], centre[:, 1]))
        path = stl(tmp_path, "scan.stl", Mesh(mesh.vertices, mesh.faces[~gone]))
        said = moldvol("measure", path, "--json")
        assert said.status == 1 and said.document["error"]["code"] == "open" and "--accept-open" in said.sentence
        taken = answered("measure", path, "--accept-open")
        assert taken["closed"] is False and taken["volume_error_mm3"] > 0.05 * taken["volume_mm3"]

    def test_the_room_in_a_block(self, tmp_path: Path) -> None:
        block = stl(tmp_path, "block.stl", together(box(40, 40, 40).mesh, box(20, 20, 20).mesh.flipped()))
        assert answered("measure", block)["volume_mm3"] == pytest.approx(64000 - 8000)
        assert answered("measure", block)["outer_volume_mm3"] == pytest.approx(64000)
        assert answered("measure", block, "--as", "cavity")["volume_mm3"] == pytest.approx(8000)


class TestSeveralFiles:
    def test_one_bad_file_does_not_stop_the_others(self, tmp_path: Path) -> None:
        bad = tmp_path / "bad.stl"
        bad.write_bytes(b"<html>not found</html>")
        told = moldvol("measure", cube(tmp_path, "one.stl"), bad, cube(tmp_path, "two.stl"))
        assert told.status == 1
        assert told.out.count("8 ml") >= 2 and "one.stl" in told.out and "two.stl" in told.out
        assert "bad.stl" in told.sentence
        results = moldvol("measure", cube(tmp_path, "one.stl"), bad, "--json").document["results"]
        assert results[0]["volume_mm3"] == pytest.approx(8000)
        assert set(results[1]["error"]) == {"code", "message", "file"}

    def test_a_wrong_question_stops_at_once(self, tmp_path: Path) -> None:
        told = moldvol("measure", cube(tmp_path, "one.stl"), cube(tmp_path, "two.stl"), "--as", "cavity")
        assert told.status == 2 and told.out == ""


class TestSheet:
    def test_the_verdict_comes_first(self, tmp_path: Path) -> None:
        lines = moldvol("measure", cube(tmp_path)).out.splitlines()
        assert lines[1] == "Closed solid, 1 body. 8 ml."

    def test_size_is_told_in_mm_and_inches(self, tmp_path: Path) -> None:
        assert "20 × 20 × 20 mm (0.787 × 0.787 × 0.787 in)" in sheet("measure", cube(tmp_path))

    def test_without_remarks_the_numbers_stay(self, tmp_path: Path) -> None:
        """And so does what would cost a mould: that the unit is likely wrong."""
        path = stl(tmp_path, "tiny.stl", box(0.02, 0.02, 0.02).mesh)
        bare = moldvol("measure", path, "--no-remarks")
        assert "unlikely size" in bare.words and bare.err == ""
        coarse = stl(tmp_path, "ball.stl", ball(20, 1).mesh)
        loud, bare = moldvol("measure", coarse), moldvol("measure", coarse, "--no-remarks")
        assert "Mind" in loud.out and "Mind" not in bare.out and len(bare.out) < len(loud.out)

    def test_us_units(self, tmp_path: Path) -> None:
        assert "0.4882 in³ (0.2705 US fl oz)" in sheet("measure", cube(tmp_path), "--units", "us")


def test_a_mesh_is_drawn_from_three_sides(tmp_path: Path) -> None:
    picture = tmp_path / "cube.svg"
    outcome = moldvol("measure", cube(tmp_path), "--picture", picture)
    assert (outcome.status, outcome.err) == (0, f"Wrote {picture}.\n")
    drawn = picture.read_text(encoding="utf-8")
    assert all(side in drawn for side in ("front", "right side", "top"))
    assert "exists" in refused("measure", cube(tmp_path), "--picture", picture)
    assert moldvol("measure", cube(tmp_path), "--picture", picture, "--force").status == 0
    batch = moldvol("measure", cube(tmp_path), "--csv", "--picture", tmp_path / "b.png")
    assert batch.status == 2 and "no sheets and no pictures" in batch.sentence

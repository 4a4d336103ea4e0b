"""The committed sample files are what sample_meshes/README.md says, and the script still makes them."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from pytest import approx

from sample_meshes.make_samples import MAKERS, bracket
from sample_meshes.surfaces import solid

FOLDER = Path(__file__).parents[1] / "sample_meshes"
README = (FOLDER / "README.md").read_text(encoding="utf-8")
MESH_SUFFIXES = {".stl", ".ply", ".obj", ".3mf"}
MOST_BYTES = 2_000_000
README_REL = 5e-5  # the table's volumes are rounded to five figures or more; 2.278 in³ to four is compared apart
REBUILD_REL = 1e-4  # another machine's rounding may move single points by a share of a cell
CAP_REL = 2e-3  # fans over ragged gaps against the clean owl; measured 0.0006, noise of the scan included
CM = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"

CLOSED_STL = [name for name in MAKERS if name.endswith(".stl")]


def loaded(name: str) -> trimesh.Trimesh:
    return trimesh.load_mesh(FOLDER / name)


def row_of(name: str) -> list[str]:
    """The cells of the README's table beside a file's name."""
    (row,) = re.findall(rf"^\| `{re.escape(name)}` \|(.*)\|$", README, flags=re.MULTILINE)
    return [cell.strip() for cell in row.split("|")]


def first_number(cell: str) -> float:
    return float(re.search(r"[\d,.]*\d", cell).group().replace(",", ""))


def objects_of_3mf(path: Path) -> list[trimesh.Trimesh]:
    """Each build item's mesh where the item puts it; only translations occur."""
    model = ElementTree.fromstring(zipfile.ZipFile(path).read("3D/3dmodel.model"))
    assert model.get("unit") == "millimeter"
    meshes = {item.get("id"): item for item in model.iter(f"{CM}object")}
    return [_placed(meshes[item.get("objectid")], item.get("transform")) for item in model.iter(f"{CM}item")]


def _placed(element: ElementTree.Element, transform: str) -> trimesh.Trimesh:
    matrix = np.array(transform.split(), dtype=float).reshape(4, 3)
    assert np.array_equal(matrix[:3], np.eye(3))
    vertices = [[float(vertex.get(axis)) for axis in "xyz"] for vertex in element.iter(f"{CM}vertex")]
    faces = [[int(triangle.get(corner)) for corner in ("v1", "v2", "v3")] for triangle in element.iter(f"{CM}triangle")]
    return trimesh.Trimesh(np.array(vertices) + matrix[3], faces)


def test_the_folder_holds_what_the_script_makes():
    assert {path.name for path in FOLDER.iterdir() if path.suffix in MESH_SUFFIXES} == set(MAKERS)


@pytest.mark.parametrize("name", MAKERS)
def test_each_file_is_small_and_explained(name):
    assert 0 < (FOLDER / name).stat().st_size < MOST_BYTES
    assert row_of(name) and f"**`{name}`**" in README


@pytest.mark.parametrize("name", CLOSED_STL)
def test_print_files_are_closed_and_as_the_table_says(name):
    mesh, (_, size, triangles, volume, _) = loaded(name), row_of(name)
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.body_count == 1
    assert len(mesh.faces) == first_number(triangles)
    assert mesh.volume == approx(first_number(volume), rel=README_REL)
    assert [float(side) for side in size.split("×")] == approx(list(mesh.extents), abs=0.06)  # one decimal is given


def test_the_bracket_is_closed_in_inches_with_groups_and_polygons():
    lines = (FOLDER / "lantern_bracket_inches.obj").read_text(encoding="ascii").splitlines()
    corners = {len(line.split()) - 1 for line in lines if line.startswith("f ")}
    assert 4 in corners and max(corners) > 4
    assert [line for line in lines if line.startswith("g ")] == ["g back_plate", "g arm", "g stay", "g lantern_ring"]
    mesh = loaded("lantern_bracket_inches.obj")
    assert mesh.is_watertight and mesh.volume == approx(2.278, abs=5e-4)


def test_the_scan_is_open_at_four_rims_and_in_metres():
    scan = loaded("owl_scan.ply")
    outline = scan.edges_sorted[trimesh.grouping.group_rows(scan.edges_sorted, require_count=1)]
    rims = trimesh.graph.connected_components(outline, min_len=3, engine="scipy")
    assert len(rims) == 4
    assert 0.1 < scan.extents.max() < 0.11


def test_the_scan_capped_by_fans_is_the_owl_above_the_cut():
    scan, owl = loaded("owl_scan.ply"), loaded("owl_finial.stl")
    expected = solid(owl).trim_by_plane((0, 0, 1), 8.6).volume()
    assert fan_capped_volume(scan) * 1e9 == approx(expected, rel=CAP_REL)


def fan_capped_volume(mesh: trimesh.Trimesh) -> float:
    points = mesh.vertices - mesh.vertices.mean(axis=0)
    open_edges = mesh.edges[trimesh.grouping.group_rows(mesh.edges_sorted, require_count=1)]
    volume = np.linalg.det(points[mesh.faces]).sum() / 6
    for rim in trimesh.graph.connected_components(open_edges, min_len=3, engine="scipy"):
        a, b = points[open_edges[np.isin(open_edges[:, 0], rim)].T]
        middle = np.broadcast_to(points[rim].mean(axis=0), a.shape)
        volume += np.linalg.det(np.stack([middle, b, a], axis=1)).sum() / 6
    return float(volume)


def test_the_two_figures_are_sound_and_overlap():
    horse, jester = objects_of_3mf(FOLDER / "two_figures.3mf")
    assert horse.is_watertight and jester.is_watertight
    united = (solid(horse) + solid(jester)).volume()
    assert united == approx(first_number(row_of("two_figures.3mf")[3]), rel=README_REL)
    assert horse.volume + jester.volume - united == approx(2788, abs=1)


def test_the_hollow_owl_is_a_wall_in_the_owl():
    owl, hollow = loaded("owl_finial.stl"), loaded("hollow_owl_with_drain.stl")
    assert 0.3 * owl.volume < hollow.volume < 0.5 * owl.volume
    through_drain = np.array([[x, 0.0, z] for x in (-9.0, 9.0) for z in (1.0, 3.5)])
    assert not hollow.contains(through_drain).any()
    assert owl.contains(through_drain).all()


def test_the_script_makes_the_same_bracket_again(tmp_path):
    bracket(tmp_path / "again.obj")
    again, committed = trimesh.load_mesh(tmp_path / "again.obj"), loaded("lantern_bracket_inches.obj")
    assert again.volume == approx(committed.volume, rel=REBUILD_REL)
    assert again.extents == approx(committed.extents, rel=REBUILD_REL)

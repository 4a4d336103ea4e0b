"""GLB: the scene's meshes under every node, in metres; bounds checked, compression refused in words."""

from __future__ import annotations

import base64
import struct

import numpy as np
import pytest

from moldvol.geometry.reading import ReadingLimits
from tests.files import CUBE_FACES, CUBE_VERTICES, glb, glb_document
from tests.geometry.reading.results import codes, is_closed, read, read_on_disk, refusal, volume, whole

NAME = "part.glb"
CUBE_M3 = 8e-6
# The cube's coordinates are stored in single precision.
STORED = {"rel": 1e-6}


def shown(**node: object) -> np.ndarray:
    """(2, 3) box in mm of the cube under one node, in the file's own axes."""
    points = as_stored(whole(read(glb(glb_document(nodes=[{"mesh": 0, **node}])), NAME)).vertices) * 1000
    return np.array([points.min(axis=0), points.max(axis=0)])


def test_metres(tmp_path):
    for file in (read(glb(), NAME), read_on_disk(tmp_path, glb(), NAME)):
        assert (file.format, file.unit, file.welded, file.notices) == ("glb", "m", False, ())
        assert [part.name for part in file.parts] == ["cube"]
        assert volume(file) == pytest.approx(CUBE_M3, **STORED)
        assert is_closed(whole(file))


def as_stored(points):
    """*points* as the file has them, y up: the reader turns everything z up."""
    x, y, z = np.moveaxis(np.asarray(points), -1, 0)
    return np.stack([x, z, -y], axis=-1)


def test_what_stands_along_y_in_the_file_stands_along_z():
    """glTF 2.0, section 3.4: y is up."""
    tall = whole(read(glb(glb_document(nodes=[{"mesh": 0, "scale": [1, 5, 2]}])), NAME))
    assert tall.size_mm * 1000 == pytest.approx([20, 40, 100], rel=1e-6)
    assert tall.bounds[0, 2] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("node", "low", "high"),
    [
        ({"translation": [1, 0, 0]}, [1000, 0, 0], [1020, 20, 20]),
        ({"scale": [2, 1, 3]}, [0, 0, 0], [40, 20, 60]),
        ({"rotation": [0, 0, 2**-0.5, 2**-0.5]}, [-20, 0, 0], [0, 20, 20]),
        ({"matrix": [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0.5, 0, 0, 1]}, [500, 0, 0], [520, 20, 20]),
        ({"scale": [2, 2, 2], "rotation": [0, 0, 1, 0], "translation": [0, 1, 0]}, [-40, 960, 0], [0, 1000, 40]),
    ],
)
def test_nodes_scale_then_turn_then_move(node, low, high):
    assert np.allclose(shown(**node), [low, high], atol=1e-3)


def test_mirrored_nodes_keep_outside_outside():
    file = read(glb(glb_document(nodes=[{"mesh": 0, "scale": [-1, 1, 1]}])), NAME)
    assert volume(file) == pytest.approx(CUBE_M3, **STORED)


def test_children_stand_in_their_parents_and_meshes_are_shared():
    nodes = [{"children": [1, 2], "scale": [2, 2, 2]}, {"mesh": 0}, {"mesh": 0, "translation": [1, 0, 0]}]
    file = read(glb(glb_document(nodes=nodes)), NAME)
    assert len(file.parts) == 2
    assert volume(file) == pytest.approx(2 * 8 * CUBE_M3, **STORED)
    assert np.allclose(whole(file).bounds[:, 0], [0, 2.04])


def test_only_the_scene_is_read():
    nodes = [{"mesh": 0}, {"mesh": 0, "translation": [1, 0, 0]}]
    file = read(glb(glb_document(nodes=nodes)), NAME)
    assert (len(file.parts), codes(file)) == (1, ["not-built"])
    without_scene = glb_document(nodes=nodes)
    del without_scene["scenes"], without_scene["scene"]
    assert len(read(glb(without_scene), NAME).parts) == 2


@pytest.mark.parametrize(("component", "kind"), [(5121, "u1"), (5123, "<u2"), (5125, "<u4")])
def test_vertex_numbers_of_every_width(component, kind):
    points = (CUBE_VERTICES / 1000).astype("<f4").tobytes()
    corners = CUBE_FACES.astype(kind).tobytes()
    document = glb_document()
    document["accessors"][1]["componentType"] = component
    document["bufferViews"][1]["byteLength"] = len(corners)
    document["buffers"][0]["byteLength"] = len(points + corners)
    assert volume(read(glb(document, binary=points + corners), NAME)) == pytest.approx(CUBE_M3, **STORED)


def test_points_woven_with_normals_and_no_vertex_numbers():
    corners = (CUBE_VERTICES[CUBE_FACES.ravel()] / 1000).astype("<f4")
    woven = np.concatenate([corners, np.ones_like(corners)], axis=1).tobytes()
    document = glb_document(
        accessors=[{"bufferView": 0, "componentType": 5126, "count": 36, "type": "VEC3"}],
        bufferViews=[{"buffer": 0, "byteLength": len(woven), "byteStride": 24}],
        meshes=[{"primitives": [{"attributes": {"POSITION": 0}}]}],
    )
    assert volume(read(glb(document, binary=woven), NAME)) == pytest.approx(CUBE_M3, **STORED)


def test_quantised_points():
    values = np.where(CUBE_VERTICES > 0, 32767, 0).astype("<i2")
    binary = np.pad(values, ((0, 0), (0, 1))).tobytes() + CUBE_FACES.astype("<u2").tobytes()
    document = glb_document(
        extensionsRequired=["KHR_mesh_quantization"], nodes=[{"mesh": 0, "scale": [0.02, 0.02, 0.02]}]
    )
    document["accessors"][0] |= {"componentType": 5122, "normalized": True}
    document["bufferViews"] = [
        {"buffer": 0, "byteLength": 64, "byteStride": 8},
        {"buffer": 0, "byteOffset": 64, "byteLength": 72},
    ]
    assert volume(read(glb(document, binary=binary), NAME)) == pytest.approx(CUBE_M3, **STORED)


def test_sparse_points_replace_those_below():
    flat = (CUBE_VERTICES / 1000).astype("<f4")
    flat[7] = 0
    corners = CUBE_FACES.astype("<u2").tobytes()
    binary = flat.tobytes() + corners + struct.pack("<HH3f", 7, 0, 0.02, 0.02, 0.02)
    document = glb_document()
    document["accessors"][0]["sparse"] = {
        "count": 1,
        "indices": {"bufferView": 2, "componentType": 5123},
        "values": {"bufferView": 2, "byteOffset": 4},
    }
    document["bufferViews"].append({"buffer": 0, "byteOffset": 168, "byteLength": 16})
    assert volume(read(glb(document, binary=binary), NAME)) == pytest.approx(CUBE_M3, **STORED)
    document["accessors"][0]["sparse"]["count"] = 10**9
    assert "announces 1,000,000,000 points or vertex numbers" in str(refusal(glb(document, binary=binary), NAME))


@pytest.mark.parametrize(
    ("mode", "corners", "expected"),
    [(5, [0, 1, 2, 3, 7], [(0, 1, 2), (2, 1, 3), (2, 3, 7)]), (6, [0, 1, 3, 2], [(0, 1, 3), (0, 3, 2)])],
)
def test_strips_and_fans(mode, corners, expected):
    document = glb_document(meshes=[{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "mode": mode}]}])
    document["accessors"][1]["count"] = len(corners)
    binary = (CUBE_VERTICES / 1000).astype("<f4").tobytes() + np.array(corners, "<u2").tobytes() + b"\0" * 100
    found = as_stored(whole(read(glb(document, binary=binary), NAME)).corners()) * 1000
    assert np.allclose(np.sort(found, axis=1), np.sort(CUBE_VERTICES[np.array(expected)], axis=1))
    before, after = np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0]), CUBE_VERTICES[np.array(expected)]
    assert np.allclose(before, np.cross(after[:, 1] - after[:, 0], after[:, 2] - after[:, 0]), atol=1e-3)


def test_embedded_buffers_are_read_and_outer_ones_refused():
    binary = (CUBE_VERTICES / 1000).astype("<f4").tobytes() + CUBE_FACES.astype("<u2").tobytes()
    uri = "data:application/octet-stream;base64," + base64.b64encode(binary).decode()
    assert volume(read(glb(glb_document(buffers=[{"uri": uri}])), NAME)) == pytest.approx(CUBE_M3, **STORED)
    for outer in ("points.bin", "http://example.org/points.bin", "file:///etc/passwd"):
        assert "in another file; save it as one GLB" in str(refusal(glb(glb_document(buffers=[{"uri": outer}])), NAME))


@pytest.mark.parametrize(
    ("extension", "what"),
    [
        ("KHR_draco_mesh_compression", "has its triangles compressed (KHR_draco_mesh_compression)"),
        ("EXT_meshopt_compression", "has its triangles compressed"),
        ("EXT_curved_space", "requires the extension 'EXT_curved_space', which is not known here"),
        (7, "requires the extension '7'"),
    ],
)
def test_required_extensions_are_refused_in_words(extension, what):
    assert what in str(refusal(glb(glb_document(extensionsRequired=[extension])), NAME))


def test_harmless_extensions_are_read_past():
    document = glb_document(extensionsRequired=["KHR_materials_unlit", "KHR_texture_transform"])
    assert volume(read(glb(document), NAME)) == pytest.approx(CUBE_M3, **STORED)


def test_what_moves_or_bends_later_is_noted():
    document = glb_document(nodes=[{"mesh": 0, "skin": 0}])
    document["meshes"][0]["primitives"][0]["targets"] = [{}]
    document["meshes"][0]["primitives"].append({"attributes": {"POSITION": 0}, "mode": 0})
    assert codes(read(glb(document), NAME)) == ["left-out", "pose", "pose"]


def changed(where: str, entry: int, **values: object) -> dict[str, object]:
    document = glb_document()
    document[where][entry] |= values
    return document


@pytest.mark.parametrize(
    ("document", "what"),
    [
        (glb_document(nodes=[{"mesh": 3}]), "asks for number 3 of its 1 meshes"),
        (glb_document(nodes=[{"mesh": "x"}]), "asks for number x of its 1 meshes"),
        (glb_document(nodes=[{"children": [0]}]), "has a node, 0, that stands in more than one place or in itself"),
        (glb_document(nodes=[{"children": [1]}, {"children": [0]}]), "stands in more than one place or in itself"),
        (glb_document(nodes=[{"mesh": 0, "children": "x"}]), "has children that are no list of numbers"),
        (glb_document(nodes="x"), "has 'nodes' that are no list of entries"),
        (glb_document(nodes=[{"mesh": 0, "scale": [1, 2]}]), "has a scale that is not 3 numbers"),
        (glb_document(nodes=[{"mesh": 0, "matrix": ["x"] * 16}]), "has a matrix that is not 16 numbers"),
        (glb_document(nodes=[{"mesh": 0, "scale": [1e99, 1, 1]}]), "has a transform with absurd numbers"),
        (glb_document(scene=4), "asks for number 4 of its 1 scenes"),
        (glb_document(meshes=[{}]), "has a mesh without primitives"),
        (glb_document(meshes=[{"primitives": [{}]}]), "has triangles without points"),
        (glb_document(meshes=[{"primitives": []}]), "whose scene holds no triangles"),
        (glb_document(nodes=[{}]), "whose scene holds no triangles"),
        (glb_document(buffers=[]), "asks for number 0 of its 0 buffers"),
        (changed("accessors", 0, count=10**12), "announces 1,000,000,000,000 points or vertex numbers"),
        (changed("accessors", 0, count=3.5), "has '3.5' as count where a whole number should stand"),
        (changed("accessors", 0, count=4), "asks for vertex 7 of 4"),
        (changed("accessors", 0, byteOffset=10**9), "where it has room for 0"),
        (changed("accessors", 0, type="VEC2"), "of a kind other than the VEC3"),
        (changed("accessors", 0, componentType=9), "of a kind other than the VEC3"),
        (changed("accessors", 1, componentType=5126), "has vertex numbers that are not whole"),
        (changed("accessors", 0, sparse=[]), "replacements of points without places"),
        (changed("bufferViews", 0, byteLength=10**12), "announces 1,000,000,000,000 bytes of numbers"),
        (changed("bufferViews", 0, byteStride=4), "where it has room for"),
        (changed("buffers", 0, uri="data:;base64,@"), "embedded numbers that are damaged"),
    ],
)
def test_each_fault_is_named(document, what):
    assert what in str(refusal(glb(document), NAME))


def test_points_that_are_not_in_the_file_are_refused():
    document = glb_document()
    del document["accessors"][0]["bufferView"]
    assert "whose data is not in the file (it may be compressed)" in str(refusal(glb(document), NAME))


def test_a_scene_of_too_many_triangles_is_refused():
    limits = ReadingLimits(placed_triangles=11)
    assert "places more than 11 triangles" in str(refusal(glb(), NAME, limits=limits))


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (glb(version=1), "is a GLB file of version 1"),
        (glb()[:-50], "was probably cut off"),
        (glb()[:12], "was probably cut off"),
        (glb()[:8] + struct.pack("<I", 12), "without its description"),
        (glb().replace(b'{"asset"', b'{{asset"'), "has a damaged description of its scene"),
        (glb()[:12] + struct.pack("<II", 4, 0x4E4F534A) + b"[ ] " + b"\0" * 2000, "no description"),
        (glb()[:12] + struct.pack("<I", 2**31) + glb()[16:], "announces a block of 2,147,483,648 bytes"),
    ],
)
def test_a_damaged_container_is_refused(content, what):
    assert what in str(refusal(content, NAME))


def test_a_deeply_nested_description_is_refused():
    text = b"[" * 100_000
    chunk = struct.pack("<II", len(text), 0x4E4F534A) + text
    content = b"glTF" + struct.pack("<II", 2, 12 + len(chunk)) + chunk
    assert "damaged description" in str(refusal(content, NAME))

"""PLY dialects, and what is refused of them."""

from __future__ import annotations

import struct
import time

import numpy as np
import pytest

from tests.files import CUBE_FACES, CUBE_QUADS, CUBE_VERTICES, ascii_ply, binary_ply, ply_header
from tests.geometry.reading.results import area, codes, is_closed, read, read_on_disk, refusal, volume, whole

NAME = "part.ply"
MIXED = [*CUBE_QUADS[:3].tolist(), *CUBE_FACES[3:6].tolist(), *CUBE_FACES[9:12].tolist()]
COLOURED = "property uchar red\nproperty uchar green\nproperty uchar blue\n"
UV = "property list uchar float texcoord\n"


def strips(order: str = "<") -> bytes:
    """The cube as one row of triangle strips, parted by -1."""
    corners = [number for a, b, c, d in CUBE_QUADS for number in (a, b, d, c, -1)]
    head = ply_header(8, 1, encoding="binary_little_endian", count_type="int").replace(
        "element face", "element tristrips"
    )
    body = CUBE_VERTICES.astype(order + "f4").tobytes() + struct.pack(
        f"{order}i{len(corners)}i", len(corners), *corners
    )
    return head.encode() + body


def ascii_strips() -> str:
    corners = [number for a, b, c, d in CUBE_QUADS for number in (a, b, d, c, -1)]
    return ascii_ply(faces=[corners], count_type="int").replace("element face", "element tristrips")


DIALECTS = {
    "ascii quads": ascii_ply(),
    "ascii triangles": ascii_ply(faces=CUBE_FACES),
    "ascii mixed": ascii_ply(faces=MIXED),
    "little endian": binary_ply(),
    "big endian": binary_ply(order=">"),
    "mixed, little endian": binary_ply(MIXED),
    "mixed, big endian, texture lists": binary_ply(
        MIXED, order=">", face_extra=UV, face_tail=struct.pack(">B2f", 2, 0, 0)
    ),
    "colours": binary_ply(vertex_extra=COLOURED, vertex_tail=b"\1\2\3"),
    "face colours": binary_ply(face_extra=COLOURED, face_tail=b"\1\2\3"),
    "vertex_index": binary_ply(indices="vertex_index"),
    "ascii vertex_index": ascii_ply(indices="vertex_index"),
    "ushort count": binary_ply(count="H"),
    "int count, mixed, big endian": binary_ply(MIXED, count="i", order=">"),
    "double": binary_ply(kind="d"),
    "texture list per face": binary_ply(face_extra=UV, face_tail=struct.pack("<B8f", 8, *range(8))),
    "strips": strips(),
    "ascii strips": ascii_strips(),
    "windows header before binary": binary_ply().replace(b"\n", b"\r\n", 11),
    "old header before ascii": ascii_ply().replace("\n", "\r"),
    "windows ascii": ascii_ply().replace("\n", "\r\n"),
    "byte-order mark": b"\xef\xbb\xbf" + ascii_ply().encode(),
    "sized type names": binary_ply()
    .replace(b"float", b"float32").replace(b"uchar", b"uint8").replace(b" int ", b" int32 "),
    "fortran exponents": ascii_ply().replace("20 ", "2.0D+01 "),
    "blank lines": ascii_ply().replace("\n0", "\n\n0"),
    "an element between": ascii_ply()
    .replace("element face", "element camera 1\nproperty float f\nelement face")
    .replace("20 20 20\n", "20 20 20\n35\n"),
    "an element after": binary_ply().replace(b"end_header", b"element edge 0\nproperty int vertex1\nend_header"),
}  # fmt: skip


@pytest.mark.parametrize("content", DIALECTS.values(), ids=DIALECTS)
def test_every_dialect_gives_the_cube(content, tmp_path):
    for file in (read(content, NAME), read_on_disk(tmp_path, content, NAME)):
        assert (file.format, file.unit, file.welded, len(file.parts)) == ("ply", None, False, 1)
        assert volume(file) == pytest.approx(8000, rel=1e-12)
        assert area(file) == pytest.approx(2400, rel=1e-12)
        assert is_closed(whole(file))
        assert file.notices == ()


def test_double_coordinates_keep_their_digits():
    assert whole(read(binary_ply(kind="d"), NAME)).vertices.dtype == np.float64
    assert whole(read(binary_ply(), NAME)).vertices.dtype == np.float32


def test_several_strips_and_odd_starts():
    # Two rows; the second begins after an odd number of corners, which must not turn its triangles.
    rows = [[0, 1, 2, -1, 0, 2, 3], [1, 2, 4]]
    file = read(ascii_ply(faces=rows, count_type="int").replace("element face", "element tristrips"), NAME)
    assert whole(file).corners().tolist() == CUBE_VERTICES[[(0, 1, 2), (0, 2, 3), (1, 2, 4)]].tolist()


def test_points_without_faces_are_refused_with_advice():
    points = ascii_ply(faces=[])
    assert "holds 8 points without a surface" in str(refusal(points, NAME))
    assert "rebuild the surface in your scanner program" in str(refusal(points, NAME))
    no_face_element = points.replace("element face 0\nproperty list uchar int vertex_indices\n", "")
    assert "holds 8 points without a surface" in str(refusal(no_face_element, NAME))


@pytest.mark.parametrize(("faces", "whole_faces"), [(CUBE_QUADS, 4), (MIXED, 6)])
@pytest.mark.parametrize("order", "<>")
def test_cut_short_is_refused_or_read_when_allowed(faces, whole_faces, order):
    torn = binary_ply(faces, order=order)[:-30]
    error = refusal(torn, NAME)
    assert f"announces {len(faces)} faces but holds {whole_faces}," in str(error)
    file = read(torn, NAME, allow_partial=True)
    assert codes(file) == ["partial"]


def test_ascii_cut_short_is_refused_or_read_when_allowed():
    torn = ascii_ply()[:-12]
    assert "announces 6 faces but holds 4" in str(refusal(torn, NAME))
    assert len(whole(read(torn, NAME, allow_partial=True)).faces) == 8


@pytest.mark.parametrize("content", [binary_ply()[:260], ascii_ply()[:230]])
def test_missing_vertices_are_never_made_up(content):
    assert "announces 8 vertices" in str(refusal(content, NAME, allow_partial=True))


@pytest.mark.parametrize("encoding", ["ascii", "binary_little_endian", "binary_big_endian"])
@pytest.mark.parametrize(("vertices", "faces"), [(10**9, 12), (8, 10**9), (10**15, 10**15)])
def test_impossible_counts_are_refused_at_once(encoding, vertices, faces):
    begun = time.perf_counter()
    error = refusal(ply_header(vertices, faces, encoding=encoding) + "\0" * 20, NAME)
    assert time.perf_counter() - begun < 0.5  # s; reading or allocating would take far longer
    assert "000,000" in str(error)


@pytest.mark.parametrize("content", [binary_ply([*CUBE_QUADS.tolist(), [0, 1, 99]]), ascii_ply(faces=[[0, 1, 99]])])
def test_a_vertex_that_is_not_there_is_refused(content):
    error = refusal(content, NAME)
    assert "asks for vertex 99 in face" in str(error)
    assert "numbered 0 to 7" in str(error)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("20 20 20\n", "20 20,5 20\n", "has '20,5' with a decimal comma on line 18; set your program"),
        ("20 20 20\n", "20 x 20\n", "has 'x' on line 18 where a number should stand"),
        ("20 20 20\n", "20 20\n", "too few or too many numbers on line 18"),
        ("4 0 2 3 1\n", "5 0 2 3 1\n", "too few or too many numbers on line 19"),
        ("4 0 2 3 1\n", "4 0 2 3 1.5\n", "a vertex that is no whole number in face 0"),
        ("4 0 2 3 1\n", "-4 0 2 3 1\n", "on line 19"),
        ("property float y", "property furlong y", "has 'property furlong y' on line 6 of its PLY header"),
        ("property float y\n", "", "without points x, y, z"),
        ("format ascii 1.0\n", "", "names no format"),
        ("format ascii 1.0", "format utf7 1.0", "on line 2 of its PLY header"),
        ("element vertex 8", "element vertex many", "on line 4 of its PLY header"),
        ("list uchar", "list float", "on line 9 of its PLY header"),
        ("end_header\n", "", "PLY header"),
    ],
)
def test_each_fault_is_named(old, new, what):
    content = ascii_ply()
    assert old in content
    assert what in str(refusal(content.replace(old, new, 1), NAME))


def test_a_header_without_end_is_refused():
    assert "header without an end" in str(refusal(ascii_ply().split("element face")[0], NAME))


def test_a_list_longer_than_the_file_is_refused():
    body = binary_ply(CUBE_QUADS, count="i")
    altered = body[: len(body) - 20 * 6] + struct.pack("<i", 2**31 - 1) + body[len(body) - 20 * 6 + 4 :]
    assert "holds 0" in str(refusal(altered, NAME))

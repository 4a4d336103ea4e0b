"""OBJ dialects: each gives the body it describes, each fault names its line."""

from __future__ import annotations

import numpy as np
import pytest

from moldvol.geometry.reading import obj as obj_reader
from tests.files import CUBE_FACES, CUBE_QUADS, CUBE_VERTICES, c_prism_obj, obj
from tests.geometry.reading.results import area, codes, is_closed, read, read_on_disk, refusal, volume, whole

NAME = "part.obj"
QUADS = obj()


def with_face_words(form: str) -> str:
    """The cube with each corner written in *form*, as ``{0}/{0}``."""
    faces = ["f " + " ".join(form.format(corner + 1) for corner in quad) for quad in CUBE_QUADS]
    return "\n".join([*QUADS.split("\n")[:8], "vt 0 0", "vn 0 0 1", *faces])


DIALECTS = {
    "quads": QUADS,
    "triangles": obj(faces=CUBE_FACES),
    "negative": with_face_words("{0}").replace("f ", "f -0 ").replace("-0 ", ""),
    "windows line ends": QUADS.replace("\n", "\r\n"),
    "old line ends": QUADS.replace("\n", "\r"),
    "material library that is not there": "mtllib nowhere.mtl\nusemtl gold\n" + QUADS,
    "continued lines": QUADS.replace("f 1 ", "f 1 \\\n"),
    "colours": QUADS.replace("\nv", " 0.5 0.5 0.5\nv").replace("\nf 1", " 1 1 1\nf 1", 1),
    "weights": QUADS.replace("\nv", " 1.0\nv"),
    "corner/texture": with_face_words("{0}/1"),
    "corner/texture/normal": with_face_words("{0}/1/1"),
    "corner//normal": with_face_words("{0}//1"),
    "scientific": obj(number="{:.3e}"),
    "capital exponents": obj(number="{:.1E}"),
    "fortran exponents": obj(number="{:.6E}").replace("E+", "D+"),
    "tabs": QUADS.replace(" ", "\t"),
    "trailing blanks": QUADS.replace("\n", " \t \n"),
    "leading blanks": "  " + QUADS.replace("\n", "\n  "),
    "comments": "# made for a test\n" + QUADS.replace("\nf", " # here\n# a comment\nf"),
    "no newline at the end": QUADS.rstrip(),
    "byte-order mark": "\ufeff" + QUADS,
    "smoothing groups": QUADS.replace("f 1", "s 1\nf 1"),
    "points and lines beside": QUADS + "p 1\nl 1 2\n",
    "faces before their vertices": "\n".join(QUADS.split("\n")[8:] + QUADS.split("\n")[:8]),
}


@pytest.mark.parametrize("content", DIALECTS.values(), ids=DIALECTS)
@pytest.mark.parametrize("bulk_lines", [1, 3, 1000])
def test_every_dialect_gives_the_cube(content, bulk_lines, tmp_path, monkeypatch):
    monkeypatch.setattr(obj_reader, "BULK_LINES", bulk_lines)  # the quick way, both, the careful way
    for file in (read(content, NAME), read_on_disk(tmp_path, content, NAME)):
        assert (file.format, file.unit, file.welded, len(file.parts)) == ("obj", None, False, 1)
        assert volume(file) == pytest.approx(8000, rel=1e-12)
        assert area(file) == pytest.approx(2400, rel=1e-12)
        assert is_closed(whole(file))
        assert file.notices == ()


@pytest.mark.parametrize("bulk_lines", [1, 1000])
def test_negative_numbers_count_back_from_where_they_stand(bulk_lines, monkeypatch):
    monkeypatch.setattr(obj_reader, "BULK_LINES", bulk_lines)
    faces = ["f " + " ".join(str(corner - 8) for corner in quad) for quad in CUBE_QUADS]
    block = "\n".join([*QUADS.split("\n")[:8], *faces])
    other = "\n".join([*obj(CUBE_VERTICES + np.array([50, 0, 0])).split("\n")[:8], *faces])
    file = read(f"{block}\n{other}\n", NAME)
    assert volume(file) == pytest.approx(16000)
    assert np.ptp(whole(file).vertices, axis=0).tolist() == [70, 20, 20]


@pytest.mark.parametrize("rolled_by", range(8))
def test_hollow_outlines_are_cut_by_their_ears(rolled_by):
    file = read(c_prism_obj(rolled_by), NAME)
    assert volume(file) == pytest.approx(7000)
    assert area(file) == pytest.approx(2 * 1000 + 7 * 180)  # a fan would count parts of the ends twice
    assert is_closed(whole(file))


@pytest.mark.parametrize("word", ["o", "g"])
def test_objects_or_groups_are_parts(word):
    faces = QUADS.split("\n")[8:14]
    two = "\n".join([*QUADS.split("\n")[:8], f"{word} lower half", *faces[:3], f"{word} upper half", *faces[3:]])
    file = read(two, NAME)
    assert [part.name for part in file.parts] == ["lower half", "upper half"]
    assert [len(part.mesh.faces) for part in file.parts] == [6, 6]
    assert volume(file) == pytest.approx(8000)


def test_groups_within_objects_are_not_parts():
    faces = QUADS.split("\n")[8:14]
    rows = [*QUADS.split("\n")[:8], "o box", "g side", *faces[:3], "g other side", *faces[3:]]
    assert [part.name for part in read("\n".join(rows), NAME).parts] == ["box"]


def test_vertices_without_faces_do_not_widen_the_part():
    file = read(QUADS + "v 500 500 500\n", NAME)
    assert whole(file).bounds.tolist() == [[0, 0, 0], [20, 20, 20]]


@pytest.mark.parametrize("bulk_lines", [1, 1000])
@pytest.mark.parametrize(("number", "named"), [("99", "99"), ("-99", "-99"), ("0", "0")])
def test_a_vertex_that_is_not_there_is_refused_with_the_line(number, named, bulk_lines, monkeypatch):
    monkeypatch.setattr(obj_reader, "BULK_LINES", bulk_lines)
    lines = QUADS.split("\n")
    lines[10] = f"f 1 2 {number}"
    error = refusal("\n".join(lines), NAME)
    assert error.details["line"] == 11
    assert f"asks for vertex {named} on line 11, but there are 8" in str(error)


@pytest.mark.parametrize(
    ("line", "text", "what"),
    [
        (3, "v 0 20", "has a vertex with 2 numbers instead of three on line 3"),
        (3, "v 0 20,5 0", "has '20,5' with a decimal comma on line 3; set your program to write decimal points"),
        (3, "v 0 banana 0", "has 'banana' on line 3 where a coordinate should stand"),
        (3, "v 0 1_0 0", "has '1_0' on line 3"),
        (10, "f 1 2 x", "has 'x' on line 10 where a vertex number should stand"),
        (10, "f 1.5 2 3", "has '1.5' on line 10"),
        (10, "f 1 2 99999999999999999999", "on line 10"),
    ],
)
@pytest.mark.parametrize("bulk_lines", [1, 1000])
def test_each_fault_names_its_line(line, text, what, bulk_lines, monkeypatch):
    monkeypatch.setattr(obj_reader, "BULK_LINES", bulk_lines)
    lines = QUADS.split("\n")
    lines[line - 1] = text
    assert what in str(refusal("\n".join(lines), NAME))


@pytest.mark.parametrize("rest", ["", "p 1 2 3\n", "l 1 2\nl 2 3\n"])
def test_points_and_lines_alone_are_refused(rest):
    error = refusal("\n".join(QUADS.split("\n")[:8]) + "\n" + rest, NAME)
    assert "holds 8 points but no faces" in str(error)


def test_faces_that_are_not_flat_are_noted():
    vertices = CUBE_VERTICES.copy()
    vertices[7] += 3
    file = read(obj(vertices), NAME)
    assert codes(file) == ["bent-faces"]
    assert "has 3 faces that are not flat" in file.notices[0].message
    assert is_closed(whole(file))


def test_faces_of_two_corners_are_noted():
    file = read(QUADS + "f 1 2\n", NAME)
    assert codes(file) == ["thin-faces"]
    assert volume(file) == pytest.approx(8000)


def test_what_is_no_number_is_handed_on():
    lines = QUADS.split("\n")
    lines[0] = "v nan 0 0"
    assert np.isnan(whole(read("\n".join(lines), NAME)).vertices).any()

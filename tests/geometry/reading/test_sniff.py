"""Bytes decide what a file is; its name only adds a remark."""

from __future__ import annotations

import pytest

from moldvol.errors import RequestError
from moldvol.geometry.reading import FORMATS, read_mesh
from tests.files import ascii_stl, binary_stl, good_files, obj, zipped
from tests.geometry.reading.results import codes, read, refusal, whole

PAGE = "<!DOCTYPE html>\n<html><head><title>404</title></head><body>Not found</body></html>\n"
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256)) * 4


@pytest.mark.parametrize("name", good_files())
@pytest.mark.parametrize("claim", ["part.stl", "part.obj", "part.3mf", "part.jpg", "part", "-"])
def test_the_name_decides_nothing(name, claim):
    content, true_format = good_files()[name], name.rpartition(".")[2]
    file = read(content, claim)
    assert file.format == true_format
    wrong = claim.rpartition(".")[2] in FORMATS and not claim.endswith(true_format)
    assert codes(file) == (["format"] if wrong else [])
    if wrong:
        assert "is really a" in file.notices[0].message
        assert true_format.upper() in file.notices[0].message


@pytest.mark.parametrize("name", ["Part.STL", "PART.Stl"])
def test_extensions_in_capitals_are_the_same(name):
    assert read(binary_stl(), name).notices == ()


def test_the_sentence_names_both():
    assert read(obj(), "arm.stl").notices[0].message == "arm.stl is really an OBJ file and was read as one."


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "is 0 bytes long"),
        (PAGE, "is really a web page, not a mesh; download the file itself"),
        ("\n\n  <html lang='en'>\n", "is really a web page"),
        ("\ufeff" + PAGE, "is really a web page"),
        ("<?xml version='1.0'?><svg/>", "is really an SVG picture"),
        ("<?xml version='1.0'?><Error><Code>AccessDenied</Code></Error>", "is really a markup document"),
        (PNG, "is really a PNG picture, not a mesh"),
        (b"\xff\xd8\xff\xe0" + bytes(200), "is really a JPEG picture"),
        (b"%PDF-1.7\n" + bytes(200), "is really a PDF document"),
        (b"\x1f\x8b\x08" + bytes(200), "is really a gzip archive; unpack it"),
        (b"Rar!\x1a\x07\x01" + bytes(200), "is really a RAR archive"),
        (zipped({"arm.stl": b"x"}), "is really a ZIP archive without a 3MF model (arm.stl is in it)"),
        ("ISO-10303-21;\nHEADER;\n", "holds exact surfaces and no triangles"),
        ("version https://git-lfs.github.com/spec/v1\noid sha256:1\n", "is really a pointer to a mesh kept elsewhere"),
        (ascii_stl().encode("utf-16"), "is really text saved as UTF-16"),
        ('{"asset": {"version": "2.0"}, "buffers": [{"uri": "a.bin"}]}', "is a glTF text file"),
        ("; a printer's file\nG28\nG1 X0 Y0\n", "is really G-code for a printer"),
        ("dear reader\nthis is no mesh\n", "is a text file, but not a mesh in a format known here"),
        ("solid s\nendsolid s\n", "without a single facet"),
        ("solid as a rock\n", "begins like an STL file but has no facets"),
        (bytes(70), "only 70 bytes"),
        (b"\x01" * 3000, "announces 16,843,009 triangles but holds 58"),
    ],
)
def test_what_is_no_mesh_is_called_by_its_name(content, what):
    assert what in str(refusal(content))


def test_bytes_without_any_mark_are_refused():
    assert "is not a mesh in a format known here" in str(refusal(b"\x01\x02" * 20, "part.obj"))


@pytest.mark.parametrize("word", ["stl", "STL", ".stl", " obj ", "glb"])
def test_a_format_asked_for_gives_way_to_the_bytes(word):
    file = read(binary_stl(), "-", format=word)
    assert file.format == "stl"
    assert codes(file) == ([] if "stl" in word.lower() else ["format"])


@pytest.mark.parametrize("word", ["step", "", "stl2"])
def test_an_unknown_format_is_a_wrong_request(word):
    with pytest.raises(RequestError) as caught:
        read_mesh(binary_stl(), format=word)
    assert str(caught.value) == f"'{word}' is not a mesh format; use one of stl, obj, ply, off, 3mf, glb."
    assert caught.value.exit_status == 2


def test_a_file_without_name_is_called_the_mesh():
    file = read_mesh(binary_stl())
    assert (file.name, len(whole(file).faces)) == ("the mesh", 12)


def test_long_comments_before_the_first_statement():
    assert read("# a line of comment\n" * 2000 + obj(), "part").format == "obj"

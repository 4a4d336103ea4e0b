"""OFF in its text forms."""

from __future__ import annotations

import pytest

from tests.files import off
from tests.geometry.reading.results import area, codes, is_closed, read, read_on_disk, refusal, volume, whole

NAME = "part.off"
DIALECTS = {
    "plain": off(),
    "counts on the first line": off().replace("OFF\n\n", "OFF "),
    "comments": off(comment="# made for a test").replace("\n0 0 0\n", "\n# a comment\n0 0 0 # here\n"),
    "comment before": "# made for a test\n" + off(),
    "colours": off(word="COFF", vertex_tail=" 255 0 0 255"),
    "normals": off(word="NOFF", vertex_tail=" 0 0 1"),
    "normals and colours": off(word="CNOFF", vertex_tail=" 0 0 1 1 0 0 1"),
    "texture coordinates": off(word="STOFF", vertex_tail=" 0.5 0.5"),
    "face colours": off(face_tail=" 255 0 0"),
    "windows line ends": off().replace("\n", "\r\n"),
    "old line ends": off().replace("\n", "\r"),
    "no edge count": off().replace("8 6 12", "8 6"),
    "byte-order mark": "\ufeff" + off(),
    "no newline at the end": off().rstrip(),
    "fortran exponents": off().replace("20 ", "2.0D+01 "),
}


@pytest.mark.parametrize("content", DIALECTS.values(), ids=DIALECTS)
def test_every_dialect_gives_the_cube(content, tmp_path):
    for file in (read(content, NAME), read_on_disk(tmp_path, content, NAME)):
        assert (file.format, file.unit, file.welded, file.notices) == ("off", None, False, ())
        assert volume(file) == pytest.approx(8000, rel=1e-12)
        assert area(file) == pytest.approx(2400, rel=1e-12)
        assert is_closed(whole(file))


def test_cut_short_is_refused_or_read_when_allowed():
    torn = off()[:-12]
    assert "announces 6 faces but holds 4" in str(refusal(torn, NAME))
    file = read(torn, NAME, allow_partial=True)
    assert codes(file) == ["partial"]
    assert len(whole(file).faces) == 8


def test_missing_vertices_are_never_made_up():
    torn = "OFF\n8 6 12\n0.0000000 0.0000000 0.0000000\n1.0000000 0.0000000 0.0000000\n"
    assert "announces 8 vertices but holds 2" in str(refusal(torn, NAME, allow_partial=True))


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("8 6 12", "1000000000 6 12", "announces 1,000,000,000 vertices but has room for"),
        ("8 6 12", "8 1000000000 12", "announces 1,000,000,000 faces but has room for"),
        ("8 6 12", "8 six 12", "has 'six' on line 3 where a number should stand"),
        ("8 6 12", "8", "has no counts of vertices, faces and edges on line 3"),
        ("8 6 12", "8 -6 12", "has no counts"),
        ("8 6 12", "8 0 0", "holds 8 points without a surface"),
        ("\n20 0 0\n", "\n20 0\n", "too few or too many numbers on line 5"),
        ("\n20 0 0\n", "\n20,5 0 0\n", "has '20,5' with a decimal comma on line 5"),
        ("4 0 2 3 1", "4 0 2 3", "too few or too many numbers on line 12"),
        ("4 0 2 3 1", "4 0 2 3 8", "asks for vertex 8 in face 0, but its vertices are numbered 0 to 7"),
        ("OFF\n", "OFF BINARY\n", "is a binary OFF file, which is not read here"),
        ("OFF\n", "4OFF\n", "points in other than three dimensions"),
        ("OFF\n", "nOFF\n3\n", "points in other than three dimensions"),
    ],
)
def test_each_fault_is_named(old, new, what):
    assert old in off()
    assert what in str(refusal(off().replace(old, new, 1), NAME))


def test_the_word_alone_is_refused():
    assert "ends after the word OFF" in str(refusal("OFF\n", NAME))

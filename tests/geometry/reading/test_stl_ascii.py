"""ASCII STL as it is really written: every dialect gives the same cube, every fault names its line."""

from __future__ import annotations

import numpy as np
import pytest

from moldvol.geometry.reading import stl_ascii
from moldvol.geometry.reading.stl_ascii import _in_bulk
from tests.files import CUBE_CORNERS, ascii_stl
from tests.geometry.reading.results import area, codes, read, read_on_disk, refusal, volume, whole

PLAIN = ascii_stl()
DIALECTS = {
    "plain": PLAIN,
    "upper case": PLAIN.upper(),
    "windows line ends": PLAIN.replace("\n", "\r\n"),
    "old line ends": PLAIN.replace("\n", "\r"),
    "byte-order mark": "\ufeff" + PLAIN,
    "leading blanks": "\n \t\n  " + PLAIN,
    "tabs": PLAIN.replace("  ", "\t"),
    "utf-8 name": ascii_stl(name="Gußform 鋳型"),
    "latin-1 name": ascii_stl(name="Gußform").encode("latin-1"),
    "name of keywords": ascii_stl(name="facet normal vertex"),
    "name of solids": ascii_stl(name="my solid solid endsolid"),
    "no name": ascii_stl(name=""),
    "end solid": PLAIN.replace("endsolid", "end solid"),
    "all ends apart": PLAIN.replace("end", "end "),
    "fixed point": ascii_stl(number="{:.4f}"),
    "whole numbers": ascii_stl(number="{:.0f}"),
    "scientific": ascii_stl(number="{:.3E}"),
    "fortran exponents": ascii_stl(number="{:.6E}").replace("E+", "D+"),
    "two facets on one line": PLAIN.replace("endfacet\n  facet", "endfacet  facet"),
    "all on few lines": PLAIN.replace("\n ", " "),
    "normals that are no numbers": PLAIN.replace("normal 0 0 0", "normal nan nan nan"),
    "normals of another program": PLAIN.replace("normal 0 0 0", "normal -1.#IND 1.#QNAN -nan(ind)"),
    "no normals": PLAIN.replace("facet normal 0 0 0", "facet"),
    "no newline at the end": PLAIN.rstrip(),
    "blank lines": PLAIN.replace("\n", "\n\n"),
    "no solid line": PLAIN.split("\n", 1)[1],
}


@pytest.mark.parametrize("content", DIALECTS.values(), ids=DIALECTS)
def test_every_dialect_gives_the_cube(content, tmp_path):
    for file in (read(content), read_on_disk(tmp_path, content)):
        assert (file.format, len(file.parts), file.welded) == ("stl", 1, False)
        assert volume(file) == pytest.approx(8000, rel=1e-12)
        assert area(file) == pytest.approx(2400, rel=1e-12)


@pytest.mark.parametrize("content", DIALECTS.values(), ids=DIALECTS)
def test_every_dialect_gives_the_cube_in_small_blocks(content, monkeypatch):
    # Blocks that end anywhere: within facets, names and two-byte ends of line.
    original = stl_ascii.blocks
    monkeypatch.setattr(stl_ascii, "blocks", lambda stream, **options: original(stream, **options, size=61))
    assert volume(read(content)) == pytest.approx(8000, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "expected"), [("Gußform 鋳型", "Gußform 鋳型"), ("two  words", "two words"), ("facet normal vertex",) * 2]
)
def test_the_part_has_the_name_of_the_solid(name, expected):
    assert read(ascii_stl(name=name)).parts[0].name == expected


def test_latin_1_names_are_read():
    assert read(ascii_stl(name="Gußform").encode("latin-1")).parts[0].name == "Gußform"


def test_each_solid_is_a_part():
    file = read(ascii_stl(name="left") + ascii_stl(CUBE_CORNERS + np.array([50, 0, 0]), name="right"))
    assert [part.name for part in file.parts] == ["left", "right"]
    assert [len(part.mesh.faces) for part in file.parts] == [12, 12]
    assert volume(file) == pytest.approx(16000)


def test_empty_solids_between_others_are_passed_over():
    file = read("solid a\nendsolid a\n" + ascii_stl(name="b") + "solid c\nendsolid c\n")
    assert [part.name for part in file.parts] == ["b"]


def test_a_missing_endsolid_is_noted():
    file = read(ascii_stl(end=False))
    assert volume(file) == pytest.approx(8000)
    assert codes(file) == ["no-endsolid"]


def test_nothing_but_a_name_is_refused():
    assert "without a single facet" in str(refusal("solid s\nendsolid s\n"))


def test_cut_within_a_number_is_refused_with_the_line():
    torn = PLAIN[: PLAIN.index("2.000000e+01", 2500) + 3]
    error = refusal(torn)
    line = torn.count("\n") + 1
    assert error.details["line"] == line
    assert f"ends on line {line} within the facet begun on line" in str(error)
    file = read(torn, allow_partial=True)
    assert codes(file) == ["partial"]
    assert len(whole(file).faces) == torn.count("endfacet")


def test_cut_within_the_first_facet_is_refused_even_when_partial_is_allowed():
    assert "within the facet" in str(refusal(PLAIN[:120], allow_partial=True))


def test_a_decimal_comma_is_refused_with_line_and_advice():
    lines = PLAIN.split("\n")
    lines[12] = lines[12].replace("2.0", "2,0")
    error = refusal("\n".join(lines))
    assert error.details["line"] == 13
    assert "'2,000000e+01' with a decimal comma on line 13; set your program to write decimal points" in str(error)


@pytest.mark.parametrize(
    ("line", "text", "what"),
    [
        (4, "vertex 1 2 3\nvertex 1 2 3", "has a facet with 4 corners instead of three on lines 2 to 8"),
        (4, "", "has a facet with 2 corners instead of three on lines 2 to 7"),
        (4, "vertex 1 2 3 4", "more than three numbers on line 4"),
        (4, "vertex 1 2", "has 'vertex' on line 5 where a coordinate should stand"),
        (4, "vertex 1 2 banana", "has 'banana' on line 4"),
        (4, "vertex 1 2 1_0", "has '1_0' on line 4"),
        (3, "", "where 'outer loop' should stand"),
        (7, "", "where 'vertex' or 'endloop' should stand"),
        (8, "", "where 'endfacet' should stand"),
        (2, "face normal 0 0 0", "has 'face' on line 2 where a facet should begin"),
    ],
)
def test_each_fault_names_its_line(line, text, what):
    lines = PLAIN.split("\n")
    lines[line - 1] = text
    assert what in str(refusal("\n".join(lines)))


@pytest.mark.parametrize(("word", "value"), [("nan", np.nan), ("-nan", np.nan), ("inf", np.inf), ("-1.#INF", -np.inf)])
def test_what_is_no_usable_number_is_handed_on(word, value):
    lines = PLAIN.split("\n")
    lines[3] = f"vertex 0 {word} 0"
    found = whole(read("\n".join(lines))).corners()
    assert np.array_equal(found[0, 0, 1], value, equal_nan=True)


def test_nine_digits_far_from_the_origin_are_kept():
    file = read(ascii_stl(CUBE_CORNERS + np.array([1e6, 0, 0]), number="{:.9e}"))
    assert volume(file) == pytest.approx(8000, rel=1e-9)


def test_the_quick_way_gives_up_on_what_is_not_exact():
    facet = PLAIN.split("\n", 1)[1].split("endsolid")[0].encode()
    assert np.array_equal(_in_bulk(facet), CUBE_CORNERS)
    first = b"vertex 0.000000e+00 0.000000e+00 0.000000e+00"
    assert first in facet
    for wrong in (b"vertex 0 0", b"vertex 0 0 0 0", b"vertex 0 0 1_0", b"vertex 0 0 0,5", b"0 0 0 vertex"):
        assert _in_bulk(facet.replace(first, wrong, 1)) is None
    # A number too few here and one too many there.
    assert _in_bulk(facet.replace(first, b"vertex 0 0", 1).replace(b"vertex 2.0", b"vertex 1 2.0", 1)) is None

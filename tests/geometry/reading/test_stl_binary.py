"""Binary STL is told by its size; counts are held against what is there."""

from __future__ import annotations

import struct
import sys
import tracemalloc
from contextlib import suppress
from importlib.util import find_spec

import numpy as np
import pytest

from moldvol.errors import UnreadableMesh
from moldvol.geometry.reading import read_mesh, stl_binary
from tests.files import CUBE_CORNERS, binary_stl
from tests.geometry.reading.results import area, codes, is_closed, read, read_on_disk, refusal, volume, whole

CUBE_MM3 = pytest.approx(8000, rel=1e-12)  # the cube's corners are exact in single precision


@pytest.mark.parametrize(
    "header", [b"made here", b"solid made by cad", b"SOLID", b"facet normal vertex", b"\xff" * 80, b"COLOR=\1\2\3\4"]
)
def test_the_header_may_say_anything(header, tmp_path):
    for file in (read(binary_stl(header=header)), read_on_disk(tmp_path, binary_stl(header=header))):
        assert (file.format, file.unit) == ("stl", None)
        assert volume(file) == CUBE_MM3
        assert area(file) == pytest.approx(2400)
        assert file.notices == ()


def test_colours_in_the_attribute_words_are_passed_over():
    assert volume(read(binary_stl(attribute=0x7C00, header=b"COLOR=\xff\0\0\xff"))) == CUBE_MM3


def test_corners_are_merged_on_disk_only(tmp_path):
    on_disk, in_memory = read_on_disk(tmp_path, binary_stl()), read(binary_stl())
    merging = find_spec("stl_reader") is not None  # it has no wheel for every Python
    assert (on_disk.welded, len(whole(on_disk).vertices)) == ((True, 8) if merging else (False, 36))
    assert (in_memory.welded, len(whole(in_memory).vertices)) == (False, 36)
    assert (whole(on_disk).corners() == whole(in_memory).corners()).all()


def test_zeros_of_either_sign_are_one_place(tmp_path):
    corners = CUBE_CORNERS.copy()
    corners[::2][corners[::2] == 0] = -0.0
    file = read_on_disk(tmp_path, binary_stl(corners))
    if file.welded:
        assert len(np.unique(whole(file).faces)) == 8
    assert is_closed(whole(file))
    assert volume(file) == CUBE_MM3


@pytest.mark.parametrize("missing", [True, False])
def test_without_stl_reader_the_triangles_are_the_same(tmp_path, monkeypatch, missing):
    if missing:
        monkeypatch.setitem(sys.modules, "stl_reader", None)
    else:
        monkeypatch.setattr(stl_binary, "CHUNK_TRIANGLES", 5)  # several pieces
    content = binary_stl(header=b"made here" if missing else b"solid")
    file = read_on_disk(tmp_path, content)
    assert not file.welded
    assert (whole(file).corners() == CUBE_CORNERS).all()


def test_bytes_after_the_last_triangle_are_noted():
    for trailing in (b"\0" * 100, b"x" * 100, b"y" * 33, bytes(range(256))[:100]):
        file = read(binary_stl(trailing=trailing))
        assert volume(file) == CUBE_MM3
        assert codes(file) == ["trailing-bytes"]
        assert f"{len(trailing)} bytes after its last triangle" in file.notices[0].message


def test_a_file_cut_short_is_refused_with_both_counts():
    error = refusal(binary_stl()[:-75])
    assert str(error) == (
        "part.stl announces 12 triangles but holds 10: 2 are missing, so it was probably cut off while being saved or "
        "copied; fetch it again."
    )
    assert error.details == {"announced": 12, "present": 10}


def test_a_file_cut_short_is_read_when_allowed_and_noted():
    file = read(binary_stl()[:-75], allow_partial=True)
    assert len(whole(file).faces) == 10
    assert codes(file) == ["partial"]
    assert "10 of 12 triangles" in file.notices[0].message


def test_an_absurd_count_is_refused_without_allocating(tmp_path):
    path = tmp_path / "part.stl"
    path.write_bytes(binary_stl(count=0xFFFFFFF0))
    tracemalloc.start()
    try:
        with pytest.raises(UnreadableMesh, match="announces 4,294,967,280 triangles but holds 12"):
            read_mesh(path)
        assert tracemalloc.get_traced_memory()[1] < 1 << 20
    finally:
        tracemalloc.stop()


def test_more_triangles_than_announced_are_refused():
    error = refusal(binary_stl(count=6))
    assert "announces 6 triangles but holds 12" in str(error)
    file = read(binary_stl(count=6), allow_partial=True)
    assert len(whole(file).faces) == 6
    assert codes(file) == ["partial"]


def test_a_count_of_zero_with_triangles_there_is_mended_and_noted():
    file = read(binary_stl(count=0))
    assert volume(file) == CUBE_MM3
    assert codes(file) == ["count"]


def test_no_triangles_at_all_are_refused(tmp_path):
    path = tmp_path / "part.stl"
    path.write_bytes(binary_stl(CUBE_CORNERS[:0]))
    with pytest.raises(UnreadableMesh, match="0 triangles"):
        read_mesh(path)
    assert "0 triangles" in str(refusal(binary_stl(CUBE_CORNERS[:0])))


def test_shorter_than_a_header_is_refused():
    assert "only 70 bytes" in str(refusal(binary_stl()[:70]))


def test_a_file_that_went_through_a_text_tool_is_recognised():
    as_text = binary_stl(CUBE_CORNERS - 7).decode("utf-8", "replace").encode()
    assert as_text.count(b"\xef\xbf\xbd") > 5
    assert "damaged by a text conversion" in str(refusal(as_text))
    with_line_feeds = binary_stl(header=b"line\nfeeds\n", attribute=10).replace(b"\n", b"\r\n")
    assert "damaged by a text conversion" in str(refusal(with_line_feeds))


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 3e38])
def test_what_is_no_usable_number_is_handed_on_as_it_is(value, tmp_path):
    corners = CUBE_CORNERS.copy()
    corners[3, 1, 2] = value
    for file in (read(binary_stl(corners)), read_on_disk(tmp_path, binary_stl(corners))):
        found = whole(file).corners()
        assert found.shape == (12, 3, 3)
        assert np.array_equal(found[3, 1, 2], np.float32(value), equal_nan=True)


def test_nothing_but_not_a_number_is_refused(tmp_path):
    content = binary_stl(np.full((12, 3, 3), np.nan))
    assert "no coordinate that is a number" in str(refusal(content))
    with pytest.raises(UnreadableMesh, match="no coordinate that is a number"):
        read_on_disk(tmp_path, content)


def test_the_title_in_the_header_names_the_part():
    assert read(binary_stl(header=b"left arm")).parts[0].name == "left arm"
    assert read(binary_stl(header=bytes(range(80)))).parts[0].name == ""


def test_random_corners_under_every_count_never_crash():
    rng = np.random.default_rng(4)
    data = binary_stl(rng.normal(size=(12, 3, 3)))
    for count in (0, 1, 11, 13, 2**31, 2**32 - 1):
        altered = data[:80] + struct.pack("<I", count) + data[84:]
        with suppress(UnreadableMesh):
            assert len(whole(read(altered)).faces) in (1, 11, 12)

"""Where files stand and what they are called: one sentence for each trouble, no name too strange."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from moldvol.errors import UnreadableMesh
from moldvol.geometry.reading import ReadingLimits, read_mesh
from moldvol.geometry.reading import __name__ as room
from moldvol.geometry.reading.contents import Contents, shown
from tests.files import ascii_stl, binary_stl
from tests.geometry.reading.results import volume

NAMES = [
    "Büste – Größe 2.stl",
    "🦉.stl",
    "-part.stl",
    "two  words 'and' \"quotes\".stl",
    "PART.STL",
    "part",
    "part.obj",
]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("content", [binary_stl(), ascii_stl().encode()])
def test_names_of_every_kind(name, content, tmp_path):
    (tmp_path / name).write_bytes(content)
    for source in (tmp_path / name, str(tmp_path / name)):
        assert volume(read_mesh(source)) == pytest.approx(8000)


def test_a_name_with_a_leading_dash_in_this_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("-part.stl").write_bytes(binary_stl())
    file = read_mesh("-part.stl")
    assert (file.name, volume(file)) == ("-part.stl", pytest.approx(8000))


def test_a_path_of_three_hundred_characters(tmp_path):
    folder = tmp_path / ("a" * 150) / ("b" * 150)
    folder.mkdir(parents=True)
    (folder / "part.stl").write_bytes(binary_stl())
    assert volume(read_mesh(folder / "part.stl")) == pytest.approx(8000)


def test_control_characters_in_a_name_do_not_break_the_line(tmp_path):
    path = tmp_path / "two\nlines\x1b[31m.stl"
    path.write_bytes(binary_stl())
    assert read_mesh(path).name.endswith("two\\nlines\\x1b[31m.stl")
    with pytest.raises(UnreadableMesh) as caught:
        read_mesh(tmp_path / "gone\n.stl")
    assert "\n" not in str(caught.value)


def test_names_that_are_no_text_are_read_and_can_be_printed(tmp_path):
    path = os.fsencode(tmp_path) + b"/B\xfcste.stl"
    with open(path, "wb") as stream:  # noqa: PTH123  a name of bytes
        stream.write(binary_stl())
    file = read_mesh(os.fsdecode(path))
    assert volume(file) == pytest.approx(8000)
    assert file.name.endswith("B\\xfcste.stl")
    file.name.encode("utf-8")


def sentence(source: object, **options: object) -> str:
    with pytest.raises(UnreadableMesh) as caught:
        read_mesh(source, **options)  # type: ignore[arg-type]
    assert caught.value.file == options.get("name", str(source))
    assert caught.value.exit_status == 1
    return str(caught.value)


def test_a_missing_file(tmp_path):
    path = tmp_path / "gone.stl"
    assert sentence(path) == f"{path} is not there; check the name and try again."
    assert sentence(path, name="gone.stl").startswith("gone.stl is not there")
    path.write_bytes(binary_stl())
    assert "is not there: part of its path is a file" in sentence(path / "x.stl")


def test_a_folder(tmp_path):
    assert sentence(tmp_path) == f"{tmp_path} is a folder; name a mesh file in it."


def test_a_link_that_leads_back_to_itself(tmp_path):
    (tmp_path / "a.stl").symlink_to(tmp_path / "b.stl")
    (tmp_path / "b.stl").symlink_to(tmp_path / "a.stl")
    assert "is a link that leads back to itself" in sentence(tmp_path / "a.stl")


def test_a_link_to_a_mesh_is_followed(tmp_path):
    (tmp_path / "a.stl").write_bytes(binary_stl())
    (tmp_path / "b.stl").symlink_to("a.stl")
    assert volume(read_mesh(tmp_path / "b.stl")) == pytest.approx(8000)


def test_a_path_that_is_too_long_or_impossible():
    assert "path is too long" in sentence("x" * 5000 + ".stl")
    with pytest.raises(UnreadableMesh, match="cannot be opened under that name"):
        read_mesh("nul\0byte.stl")
    assert "is not there" in sentence("", name="nothing") or "is a folder" in sentence("", name="nothing")


def refusing_to_open(monkeypatch, error: OSError) -> None:
    def open_(self: Path, *_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr(Path, "open", open_)


def test_no_permission(tmp_path, monkeypatch):
    # Simulated: whoever may do everything (as in many build machines) may also read a file of mode 000.
    path = tmp_path / "part.stl"
    path.write_bytes(binary_stl())
    path.chmod(0)
    refusing_to_open(monkeypatch, PermissionError(13, "Permission denied"))
    assert sentence(path) == f"{path} may not be read by you; check the name and try again."


def test_a_file_removed_while_being_read(tmp_path, monkeypatch):
    path = tmp_path / "part.stl"
    path.write_bytes(ascii_stl().encode())
    original = Contents.head

    def head_then_gone(self: Contents, length: int, start: int = 0) -> bytes:
        data = original(self, length, start)
        path.unlink(missing_ok=True)
        return data

    monkeypatch.setattr(Contents, "head", head_then_gone)
    assert sentence(path) == f"{path} is not there while being read; check it and try again."


@pytest.mark.parametrize("content", [binary_stl(header=b"solid"), binary_stl()])
def test_a_file_that_became_shorter_while_being_read(content, tmp_path, monkeypatch):
    path = tmp_path / "part.stl"
    path.write_bytes(content)
    monkeypatch.setattr(f"{room}.stl_binary._welded", lambda contents: path.write_bytes(content[:400]) and None)
    assert "became shorter while being read" in sentence(path)


def test_a_broken_disk(tmp_path, monkeypatch):
    path = tmp_path / "part.stl"
    path.write_bytes(binary_stl())
    refusing_to_open(monkeypatch, OSError(5, "Input/output error"))
    assert "cannot be read (input/output error)" in sentence(path)


def test_a_pipe_is_drained_and_endless_ones_are_stopped(tmp_path):
    path = tmp_path / "pipe"
    os.mkfifo(path)
    writer = threading.Thread(target=path.write_bytes, args=(binary_stl(),))
    writer.start()
    try:
        assert volume(read_mesh(path, name="pipe")) == pytest.approx(8000)
    finally:
        writer.join()
    with pytest.raises(UnreadableMesh, match="gives more than 10,000,000 bytes"):
        read_mesh("/dev/zero", limits=ReadingLimits(stream_bytes=10_000_000))
    assert "is 0 bytes long" in sentence("/dev/null")


@pytest.mark.parametrize(("name", "expected"), [("a\tb", "a\\tb"), ("ä 鋳", "ä 鋳"), ("\udcff", "\\xff")])
def test_shown_names(name, expected):
    assert shown(name) == expected

"""A file is whole or not there, and never replaced unasked."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from moldvol.errors import RequestError
from moldvol.safe_files import whole_file, write_bytes, write_text


def test_text_is_written_as_it_is(tmp_path: Path) -> None:
    written = write_text(tmp_path / "pours.csv", "21 °C\r\nnext\n")
    assert written.read_bytes() == "21 °C\r\nnext\n".encode()


def test_an_existing_file_is_kept(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.html"
    sheet.write_text("last week", encoding="utf-8")
    with pytest.raises(RequestError) as refusal:
        write_text(sheet, "new")
    assert str(refusal.value) == f"{sheet} exists already; choose another name, or pass --force to replace it."
    assert refusal.value.exit_status == 2
    assert sheet.read_text(encoding="utf-8") == "last week"


def _no_links(*_: object, **__: object) -> None:
    raise PermissionError(errno.EPERM, "Operation not permitted")  # what Linux says of a FAT drive


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_appears_while_ours_is_written_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:
        monkeypatch.setattr(os, "link", _no_links)
    sheet = tmp_path / "sheet.html"
    with (
        pytest.raises(RequestError, match=r"sheet\.html exists already; choose another name"),
        whole_file(sheet) as ours,
    ):
        ours.write_text("ours", encoding="utf-8")
        sheet.write_text("theirs", encoding="utf-8")
    assert sheet.read_text(encoding="utf-8") == "theirs"
    assert list(tmp_path.iterdir()) == [sheet]


def test_a_file_is_written_where_there_are_no_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "link", _no_links)
    sheet = write_text(tmp_path / "sheet.html", "new")
    assert sheet.read_text(encoding="utf-8") == "new"
    assert list(tmp_path.iterdir()) == [sheet]


def test_force_replaces_and_keeps_the_permissions(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.html"
    sheet.write_text("last week", encoding="utf-8")
    sheet.chmod(0o640)
    write_text(sheet, "new", force=True)
    assert sheet.read_text(encoding="utf-8") == "new"
    assert stat.S_IMODE(sheet.stat().st_mode) == 0o640


def test_a_new_file_is_as_readable_as_any_other(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    assert write_bytes(tmp_path / "picture.png", b"x").stat().st_mode == plain.stat().st_mode


def test_a_failed_writer_leaves_everything_as_it_was(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.html"
    sheet.write_text("last week", encoding="utf-8")
    with pytest.raises(ZeroDivisionError), whole_file(sheet, force=True) as beside:
        beside.write_text("half a pa", encoding="utf-8")
        raise ZeroDivisionError
    assert sheet.read_text(encoding="utf-8") == "last week"
    assert list(tmp_path.iterdir()) == [sheet]


def test_the_temporary_name_keeps_the_ending(tmp_path: Path) -> None:
    with whole_file(tmp_path / "core.stl") as beside:
        assert (beside.suffix, beside.parent) == (".stl", tmp_path)
        beside.write_bytes(b"solid")
    assert [found.name for found in tmp_path.iterdir()] == ["core.stl"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "store").mkdir()
    kept = tmp_path / "store" / "pours.csv"
    kept.write_text("old", encoding="utf-8")
    link = tmp_path / "pours.csv"
    link.symlink_to(kept)
    write_text(link, "new", force=True)
    assert link.is_symlink()
    assert kept.read_text(encoding="utf-8") == "new"


def test_a_folder_and_a_missing_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(RequestError) as refusal:
        write_text(tmp_path, "x")
    assert str(refusal.value) == f"{tmp_path} is a folder; give the name of a file in it."
    with pytest.raises(RequestError) as refusal:
        write_text(tmp_path / "gone" / "x.csv", "x")
    assert str(refusal.value) == f"There is no folder {tmp_path / 'gone'}; make it first, or write elsewhere."


def test_a_link_that_leads_back_to_itself_is_refused(tmp_path: Path) -> None:
    loop = tmp_path / "loop.html"
    loop.symlink_to(loop)
    with pytest.raises(RequestError, match=r"loop\.html"):
        write_text(loop, "x", force=True)


def test_a_device_is_written_through() -> None:
    write_text(os.devnull, "x")
    assert not Path(os.devnull).is_file()


def test_a_name_that_is_too_long_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(
        RequestError, match=r"could not be written \(file name too long\); write it to another folder\.$"
    ):
        write_text(tmp_path / ("x" * 300), "x")


def test_what_the_system_refuses_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(RequestError) as refusal:
        write_text(tmp_path / "x.csv", "x")
    expected = f"{tmp_path / 'x.csv'} could not be written (no space left on device); write it to another folder."
    assert str(refusal.value) == expected
    assert list(tmp_path.iterdir()) == []

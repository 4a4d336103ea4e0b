import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from urllib.parse import quote

import pytest

from moldvol.page.uploads import LONGEST_NAME, TooLarge, land, limit_sentence, shown_name


async def chunks(*sizes: int, fails: bool = False) -> AsyncIterator[bytes]:
    for size in sizes:
        yield b"x" * size
    if fails:
        raise ConnectionError


def test_a_file_lands_whole_under_a_name_of_ours(tmp_path: Path) -> None:
    path = asyncio.run(land(chunks(10, 20, 0), tmp_path, 30))
    assert path.parent == tmp_path
    assert path.read_bytes() == b"x" * 30


def test_one_byte_above_the_limit_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(TooLarge):
        asyncio.run(land(chunks(10, 21), tmp_path, 30))
    assert not list(tmp_path.iterdir())


def test_a_browser_that_goes_away_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(ConnectionError):
        asyncio.run(land(chunks(10, fails=True), tmp_path, 30))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ("owl.stl", "owl.stl"),
        ("Büste – Größe 2.stl", "Büste – Größe 2.stl"),
        ("../../etc/passwd", "passwd"),
        ("C:\\masters\\owl.stl", "owl.stl"),
        ("<img src=x onerror=alert(1)>.stl", "<img src=x onerror=alert(1)>.stl"),
        ("two\nlines\u202e.stl", "two�lines�.stl"),
        ("", "the file"),
        ("folder/", "the file"),
        ("a" * 500, "a" * LONGEST_NAME),
    ],
)
def test_a_name_is_only_ever_shown(sent: str, shown: str) -> None:
    assert shown_name(quote(sent)) == shown


def test_the_sentence_about_the_limit_names_file_size_and_limit() -> None:
    assert limit_sentence("owl.stl", 1_500_000_000, 400_000_000).startswith("owl.stl is 1500 MB; this page takes")
    assert "is larger; this page takes files up to 400 MB" in limit_sentence("owl.stl", None, 400_000_000)

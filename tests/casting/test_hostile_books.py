"""Pour books that a disk, a person or another program has spoilt: read, or refused in one sentence, and never lost.

The long run is ``python -m tests.fuzz_shelves``.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from moldvol.casting.pour_book import PourBook
from moldvol.errors import ShelfError
from tests.fuzz_shelves import WILD_CELLS, good_book, one_sentence, spoiled, spoilings, tamper, try_book

SHORT = settings(
    max_examples=100,
    deadline=None,
    database=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
COLUMNS = ("number", "poured_at", "resin", "mould", "planned_g", "actual_g", "net_g", "room_c", "result", "note")


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return good_book(tmp_path_factory.mktemp("good"))


def in_file(folder: Path, content: bytes) -> Path:
    path = folder / "book.sqlite3"
    path.write_bytes(content)
    return path


def test_it_is_good_before(tmp_path: Path, good: bytes) -> None:
    assert try_book(in_file(tmp_path, good)) == "loaded"


@SHORT
@given(edits=spoilings)
def test_a_book_with_bytes_changed(tmp_path: Path, good: bytes, edits: list[tuple[int, bytes]]) -> None:
    try_book(in_file(tmp_path, spoiled(good, edits)))


@SHORT
@given(content=st.binary(min_size=2, max_size=2000))  # SQLite takes a single byte for an empty file
def test_bytes_that_are_no_book(tmp_path: Path, content: bytes) -> None:
    path = in_file(tmp_path, content)
    assert try_book(path) == "refused"
    assert path.read_bytes() == content


@SHORT
@given(column=st.sampled_from(COLUMNS), cell=WILD_CELLS)
def test_a_book_with_cells_changed_behind_its_back(tmp_path: Path, good: bytes, column: str, cell: object) -> None:
    path = in_file(tmp_path, good)
    if tamper(path, column, cell):
        try_book(path)


SCHEMAS = {
    "no table": "DROP TABLE pours",
    "another table": "DROP TABLE pours; CREATE TABLE pours (number INTEGER, words TEXT)",
    "a view in its place": "ALTER TABLE pours RENAME TO hidden; CREATE VIEW pours AS SELECT 1",
    "a newer layout": "PRAGMA user_version = 99",
    "an impossible layout": "PRAGMA user_version = -5",
    "somebody else's": "PRAGMA application_id = 1",
    "a trigger that will not have it": "CREATE TRIGGER no BEFORE INSERT ON pours BEGIN SELECT RAISE(ABORT, 'no'); END",
}


@pytest.mark.parametrize("change", SCHEMAS.values(), ids=SCHEMAS)
def test_a_book_of_another_layout(tmp_path: Path, good: bytes, change: str) -> None:
    path = in_file(tmp_path, good)
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(change)
    assert try_book(path) == "refused"


@pytest.mark.parametrize("cell", ["yesterday", "", 7, b"\x00"])
def test_a_damaged_entry_is_named(tmp_path: Path, good: bytes, cell: object) -> None:
    path = in_file(tmp_path, good)
    assert tamper(path, "poured_at", cell)
    with pytest.raises(ShelfError, match="has a damaged entry, number 1; ") as refusal:
        PourBook(path).pours()
    one_sentence(refusal.value)

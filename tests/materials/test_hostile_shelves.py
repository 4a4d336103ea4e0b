"""Shelves and stock lists that somebody or something has spoilt: a result or one sentence, never anything else.

The long run is ``python -m tests.fuzz_shelves``.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from moldvol.errors import ShelfError
from moldvol.materials.buying.stock import read_stock
from moldvol.materials.shelf import load_shelf
from tests.fuzz_shelves import STOCK, broken, changed, one_sentence, shelves, toml, try_shelf, try_stock

SHORT = settings(
    max_examples=120,
    deadline=None,
    database=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
SHELVES = shelves()
STOCKS = [tomllib.loads(STOCK)]


def in_file(folder: Path, content: str | bytes) -> Path:
    path = folder / "mine.toml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_they_are_good_before(tmp_path: Path) -> None:
    assert {try_shelf(in_file(tmp_path, toml(shelf))) for shelf in SHELVES} == {"loaded"}
    assert try_stock(in_file(tmp_path, STOCK)) == "loaded"


@SHORT
@given(changed(SHELVES))
def test_a_shelf_with_strange_values(tmp_path: Path, content: str) -> None:
    try_shelf(in_file(tmp_path, content))


@SHORT
@given(broken([toml(shelf) for shelf in SHELVES]))
def test_a_shelf_with_strange_bytes(tmp_path: Path, content: bytes) -> None:
    try_shelf(in_file(tmp_path, content))


@SHORT
@given(changed(STOCKS))
def test_a_stock_list_with_strange_values(tmp_path: Path, content: str) -> None:
    try_stock(in_file(tmp_path, content))


@SHORT
@given(broken([STOCK]))
def test_a_stock_list_with_strange_bytes(tmp_path: Path, content: bytes) -> None:
    try_stock(in_file(tmp_path, content))


RESIN = '[resin.own]\nkind = "polyurethane"\n'
HOSTILE = {
    "brackets without end": "a = " + "[" * 100_000,
    "tables without end": "a = " + "{b=" * 100_000,
    "a key of dots": "a." * 20_000 + "a = 1",
    "a heading of dots": f"[{'a.' * 20_000}a]",
    "a number without end": f"{RESIN}pot_life_min = {'9' * 5000}",
    "digits without end": f"{RESIN}pot_life_min = 0.{'1' * 100_000}",
    "an exponent without end": f"{RESIN}pot_life_min = 1e{'9' * 100}",
    "hexadecimal without end": f"{RESIN}pot_life_min = 0x{'f' * 10_000}",
    "no number": f"{RESIN}pot_life_min = nan",
    "a date": f"{RESIN}pot_life_min = 2025-03-01",
    "a key with a line break": '[filler."two\\nlines"]\nkind = 1\n',
    "a key that steers the terminal": '[filler."\\u001b[31mred"]\nkind = 1\n',
    "a key without end": f"[filler.{'a' * 100_000}]\nkind = 1\n",
    "an entry twice": "[filler.a]\n[filler.a]\n",
    "many parts": f"{RESIN}parts = [" + '{name = "A"},' * 10_000 + "]",
    "another encoding": "[filler.größe]\n".encode("utf-16"),
    "zeros": bytes(10_000),
    "too much": b"#" * 1_000_001,
}


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize("read", [lambda path: load_shelf([path]), read_stock], ids=["shelf", "stock list"])
def test_hostile_text_is_refused_in_one_sentence(tmp_path: Path, content: str | bytes, read) -> None:
    with pytest.raises(ShelfError) as refusal:
        read(in_file(tmp_path, content))
    one_sentence(refusal.value)

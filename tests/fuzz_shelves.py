"""Damages good shelves, stock lists and pour books at random: only a result or one sentence may come of it.

``python -m tests.fuzz_shelves --examples 20000`` runs long; the suite runs a short form. Hypothesis makes what fails
small and prints it.
"""

# ruff: noqa: T201  a command of its own, for developers
from __future__ import annotations

import argparse
import contextlib
import copy
import datetime
import sqlite3
import string
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from moldvol.casting.learned_allowance import learned_allowance
from moldvol.casting.mixing.mix import plan_request
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.pour_book import Pour, PourBook
from moldvol.errors import MoldvolError, RequestError, ShelfError
from moldvol.materials import shelf as shelf_module
from moldvol.materials.buying.stock import check_stock, read_stock
from moldvol.materials.shelf import BUILT_IN, load_shelf
from moldvol.present.as_json import dumped
from moldvol.present.mixing import mix
from moldvol.present.mixing.mix import MixTold
from moldvol.present.numbers import Units

STOCK = """
[stock.fast-urethane]
parts = [
  {name = "A", left_kg = 1.2, packs = [{kg = 1, price = 21.5}, {kg = 5, price = 92}]},
  {name = "B", left_kg = 0.9, packs = [{kg = 0.9, price = 20}], paid_per_kg = 19},
]
kits = [{kg = {A = 1, B = 0.9}, price = 38}]
"""


def shelves() -> list[dict[str, Any]]:
    """One good shelf for each entry of the built-in one, so that a change is not lost among many."""
    whole = [tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(BUILT_IN.glob("*.toml"))]
    return [
        {table: {key: values}} for one in whole for table, entries in one.items() for key, values in entries.items()
    ]


# Values that do not belong where they are put, or hardly.
numbers = st.sampled_from(
    [0, -1, 1, 0.0, -0.0, 1e-12, 1e-9, 1e9, 1e308, float("inf"), float("-inf"), float("nan"), 10**400, -(2**63), 2**64]
) | st.floats(width=32)  # fmt: skip
texts = st.sampled_from(
    ["", " ", "\0", "\x1b[31m", "\n", "\u202e", "é" * 5000, "nan", "../../x", "{}", "%s%n"]
) | st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
strange = st.one_of(
    numbers,
    texts,
    st.booleans(),
    st.just(datetime.datetime(2025, 3, 1, 14, 30, tzinfo=datetime.UTC)),
    st.just(datetime.date(2025, 3, 1)),
    st.just(datetime.time(14, 30)),
)
values = st.recursive(
    strange, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4), max_leaves=6
)


UNQUOTED = frozenset(string.ascii_letters + string.digits + " -_,.:;()%/")


def toml(document: dict[str, Any]) -> str:
    """*document* as TOML, all of it inline."""
    return "".join(f"{_quoted(key)} = {_inline(value)}\n" for key, value in document.items())


def _inline(value: Any) -> str:
    match value:
        case bool():
            return str(value).lower()
        case str():
            return _quoted(value)
        case dict():
            return "{" + ", ".join(f"{_quoted(key)} = {_inline(entry)}" for key, entry in value.items()) + "}"
        case list() | tuple():
            return "[" + ", ".join(map(_inline, value)) + "]"
        case datetime.datetime() | datetime.date() | datetime.time():
            return value.isoformat()
        case _:
            return str(value)


def _quoted(text: str) -> str:
    return '"' + "".join(c if c in UNQUOTED else f"\\U{ord(c):08x}" for c in text) + '"'


def _places(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Every container of *tree* with every key or index in it."""
    for key in list(tree) if isinstance(tree, dict) else range(len(tree)):
        yield tree, key
        if isinstance(tree[key], dict | list):
            yield from _places(tree[key])


@st.composite
def changed(draw: st.DrawFn, good: list[dict[str, Any]]) -> str:
    """A good file with one to three values replaced, taken out, or given another key."""
    document = copy.deepcopy(draw(st.sampled_from(good)))
    for _ in range(draw(st.integers(1, 3))):
        places = list(_places(document))
        if not places:
            break
        container, key = draw(st.sampled_from(places))
        kind = draw(st.sampled_from(["replace", "replace", "replace", "remove", "rename"]))
        if kind == "replace":
            container[key] = draw(values)
        elif kind == "remove":
            del container[key]
        elif isinstance(container, dict):
            container[draw(texts)] = container.pop(key)
    return toml(document)


@st.composite
def broken(draw: st.DrawFn, good: list[str]) -> bytes:
    """The text of a good file with bytes put in, taken out, turned over or repeated."""
    data = bytearray(draw(st.sampled_from(good)).encode())
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        stop = min(len(data), start + draw(st.integers(0, 30)))
        match draw(st.integers(0, 4)):
            case 0:
                data[start:stop] = draw(st.binary(max_size=12))
            case 1:
                del data[start:]
            case 2:
                data[start:start] = data[start:stop] * draw(st.integers(1, 50))
            case 3:
                data[start:start] = draw(st.sampled_from([b"[", b"{a=", b"[[", b"'''"])) * draw(st.integers(1, 3000))
            case _:
                data[start:start] = draw(
                    st.sampled_from([b"\xff", b"\xef\xbb\xbf", b"\0", b"\r", b"\xed\xa0\x80", b"="])
                )
    return bytes(data)


def one_sentence(error: MoldvolError) -> None:
    """What may be said of a bad file."""
    said = str(error)
    assert said.endswith((".", "?")) and said.isprintable() and len(said) < 2000, said


def try_shelf(path: Path) -> str:
    """What came of the shelf at *path*: refused or loaded. What is loaded can be mixed, told and written as JSON."""
    try:
        with patch.object(shelf_module, "BUILT_IN", path.parent / "none"):  # to be quick
            shelf = load_shelf([path])
    except ShelfError as error:
        one_sentence(error)
        return "refused"
    for resin in shelf.resins.values():
        if resin.shelf == path.name:
            try:
                plan = plan_request(MixRequest(resin=resin, mass_g=250.0))
            except RequestError as error:
                one_sentence(error)
                continue
            told = MixTold(plan=plan)
            assert "NaN" not in dumped(mix.document(told))
            assert mix.report(told, Units.METRIC).sections
    return "loaded"


def try_stock(path: Path) -> str:
    """What came of the stock list at *path*. What is loaded can be asked."""
    try:
        stock = read_stock(path)
    except ShelfError as error:
        one_sentence(error)
        return "refused"
    for item in stock.items.values():
        with contextlib.suppress(RequestError):
            check_stock(item, {part.name: 1500.0 for part in item.parts})
    return "loaded"


def good_book(folder: Path) -> bytes:
    """A pour book with six pours."""
    book = PourBook(folder / "good.sqlite3")
    for number in range(6):
        book.add(Pour(resin="fast", mould="owl", planned_g=108, actual_g=100 + number, net_g=98, note="a note " * 20))
    return book.path.read_bytes()


# Where in the file (its head counts most), and what is written there; nothing to write cuts it off.
spoilings = st.lists(
    st.tuples(st.integers(0, 120) | st.integers(0, 20_000), st.binary(max_size=8)), min_size=1, max_size=6
)


def spoiled(good: bytes, edits: list[tuple[int, bytes]]) -> bytes:
    """A book with bytes changed or cut off."""
    data = bytearray(good)
    for start, fresh in edits:
        if fresh:
            data[start : start + len(fresh)] = fresh
        else:
            del data[start:]
    return bytes(data)


# What somebody might do to the rows with another program.
WILD_CELLS = st.none() | st.integers(-(2**63), 2**63 - 1) | st.floats() | st.text(max_size=8) | st.binary(max_size=8)


def tamper(path: Path, column: str, cell: Any) -> bool:
    """Put *cell* into *column* of every row behind the book's back; False where SQLite itself does not allow it."""
    with contextlib.closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        try:
            connection.execute(f"UPDATE pours SET {column} = ?", (cell,))
        except (sqlite3.Error, UnicodeEncodeError):
            return False
    return True


def try_book(path: Path) -> str:
    """What came of the pour book at *path*: read, learned from, written on and exported, or refused."""
    book = PourBook(path)
    deeds: list[Callable[[], object]] = [
        book.pours,
        lambda: learned_allowance(book, mould="owl", resin="fast"),
        lambda: book.export_csv(path.with_suffix(".csv"), force=True),
        lambda: book.add(Pour(resin="fast", mould="owl", planned_g=1, actual_g=1)),
    ]
    refused = 0
    for deed in deeds:
        try:
            deed()
        except ShelfError as error:
            one_sentence(error)
            refused += 1
    return "refused" if refused else "loaded"


def main() -> None:
    parser = argparse.ArgumentParser(description="Damage good shelves, stock lists and pour books at random.")
    parser.add_argument("--examples", type=int, default=20_000)
    arguments = parser.parse_args()
    often = settings(
        max_examples=arguments.examples, deadline=None, database=None, suppress_health_check=list(HealthCheck)
    )
    good, stock = shelves(), tomllib.loads(STOCK)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        book = good_book(folder)
        path = folder / "mine.toml"
        outcomes: dict[str, dict[str, int]] = {}

        def door(
            what: str, strategy: st.SearchStrategy[Any], attempt: Callable[[Path], str], place: Path = path
        ) -> None:
            counts = outcomes.setdefault(what, {})

            @often
            @given(strategy)
            def knock(content: Any) -> None:
                if isinstance(content, list):
                    content = spoiled(book, content)
                place.write_bytes(content if isinstance(content, bytes) else content.encode())
                outcome = attempt(place)
                counts[outcome] = counts.get(outcome, 0) + 1

            knock()
            print(what, counts, flush=True)

        door("shelves with strange values", changed(good), try_shelf)
        door("shelves with strange bytes", broken([toml(one) for one in good]), try_shelf)
        door("stock lists with strange values", changed([stock]), try_stock)
        door("stock lists with strange bytes", broken([STOCK]), try_stock)
        door("pour books", spoilings, try_book, folder / "book.sqlite3")
        door("pour books of other bytes", st.binary(max_size=2000), try_book, folder / "book.sqlite3")


if __name__ == "__main__":
    main()

"""A shelf file as typed tables, or one sentence saying what in it is wrong: file, entry, key, what belongs there.

Knows TOML and the words of an error; what the tables mean is `materials.entries`' business.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from moldvol.errors import ShelfError

LEAST, MOST = 1e-9, 1e9  # outside, a zero too many was typed, and sums overflow
MOST_LETTERS = 40  # of a wrong value are shown
MOST_DIGITS = 4000  # Python refuses to write out a few more
MOST_NAMES = 8  # of a list
MOST_DOTS = 300  # in a line: the time to read a key goes with the square of its dots, 20,000 took 5 s
MOST_BYTES = 1_000_000  # a shelf of a thousand entries is a third of this
Entry = TypeVar("Entry", bound=msgspec.Struct)

_EXPECTED = {
    "float": "a number", "int": "a whole number", "str": "a text in quotes", "bool": "true or false",
    "array": "a list in [ ]", "object": "a table in { }", "null": "nothing",
}  # fmt: skip
_PATH = re.compile(r" - at `\$\.?(?P<path>[^`]*)`$")
_STEP = re.compile(r"(?P<key>[^.\[\]]+)|\[(?P<index>\d+|\.\.\.)\]")


@dataclass(frozen=True, slots=True)
class Place:
    """Where in which file: ``my.toml, resin.my-fast``. Every complaint about an entry starts there."""

    file: str
    table: str
    key: str = ""

    def wrong(self, key: str, sentence: str) -> ShelfError:
        """The error for *key* of this entry; *sentence* says what belongs there and ends the line."""
        name = f"{plain(self.table)}.{plain(self.key)}" if self.key else plain(self.table)
        where = ", ".join(part for part in (self.file, name, plain(key, 3 * MOST_LETTERS)) if part)
        return ShelfError(f"{where}: {plain(sentence, len(sentence))}", file=self.file, entry=name, key=key)


def read_tables(path: Path, tables: Iterable[str], *, what: str = "shelf") -> dict[str, dict[str, Any]]:
    """The file's tables by name, each a mapping from entry key to its raw values; only *tables* may occur.

    *what* the file is meant to be: a shelf, or a stock list.

    Raises `ShelfError` for a file that cannot be read, is not TOML, or holds another table.
    """
    known = tuple(tables)
    document = _parse(path, what)
    for table, entries in document.items():
        if table not in known:
            raise ShelfError(
                f"{path.name}, {plain(table)}: a {what} has no such table; {_did_you_mean(table, known)}",
                file=str(path),
                key=table,
            )
        _check_entries(Place(path.name, table), entries)
    return document


def typed_entry(kind: type[Entry], values: Mapping[str, Any], place: Place) -> Entry:
    """*values* as a struct of *kind*. Raises `ShelfError` naming the key that does not fit."""
    for key, number in _numbers(values):
        if number != 0 and not LEAST <= abs(number) <= MOST:
            size = "number of everyday size" if abs(number) < float("inf") else "finite number"
            raise place.wrong(_numbered(key), f"a {size} is expected, not {shown(number)}; correct it.")
    try:
        return msgspec.convert(values, kind)
    except msgspec.ValidationError as error:
        raise _in_words(str(error), kind, values, place) from None


def _parse(path: Path, what: str) -> dict[str, Any]:
    try:
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or str(error)).casefold()
        raise ShelfError(f"{path} cannot be read ({reason}); give a {what} in TOML.", file=str(path)) from error
    if len(content) > MOST_BYTES:
        raise ShelfError(f"{path} is larger than 1 MB, which no {what} is; give a {what} in TOML.", file=str(path))
    if any(line.count(b".") > MOST_DOTS for line in content.splitlines()):
        raise ShelfError(f"{path} has a line with more dots than any {what}; give a {what} in TOML.", file=str(path))
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise ShelfError(
            f"{path} is not UTF-8 text from byte {error.start} on; save it as UTF-8 text.", file=str(path)
        ) from error
    except RecursionError:
        raise ShelfError(f"{path} nests its brackets too deeply; give a {what} in TOML.", file=str(path)) from None
    except tomllib.TOMLDecodeError as error:
        raise ShelfError(f"{path} is not TOML: {_syntax(str(error))}; correct it there.", file=str(path)) from error
    except ValueError as error:  # Python's guard against numbers of thousands of digits
        raise ShelfError(f"{path} holds a number of thousands of digits; correct it there.", file=str(path)) from error


def _syntax(message: str) -> str:
    return message[:1].lower() + message[1:].rstrip(".").replace(" (at", ", at").rstrip(")")


def _check_entries(place: Place, entries: Any) -> None:
    sample = f"write it under a heading such as [{place.table}.my-own]"
    if not isinstance(entries, dict):
        raise place.wrong("", f"a table of entries is expected, not {shown(entries)}; {sample}.")
    for key, values in entries.items():
        if not isinstance(values, dict):
            raise place.wrong(key, f"an entry is expected, not {shown(values)}; {sample}.")


def _numbers(values: Any, path: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(values, int | float):
        yield path, values
    elif isinstance(values, dict):
        for key, value in values.items():
            yield from _numbers(value, f"{path}.{key}" if path else key)
    elif isinstance(values, list):
        for index, value in enumerate(values):
            yield from _numbers(value, f"{path}[{index}]")


def _in_words(message: str, kind: type[msgspec.Struct], values: Mapping[str, Any], place: Place) -> ShelfError:
    at = _PATH.search(message)
    path = at["path"] if at else ""
    rule = message[: at.start()] if at else message
    if unknown := re.fullmatch(r"Object contains unknown field `(.+)`", rule):
        known = _fields_at(kind, path)
        return place.wrong(_join(path, unknown[1]), f"this key is not known; {_did_you_mean(unknown[1], known)}")
    if missing := re.fullmatch(r"Object missing required field `(.+)`", rule):
        return place.wrong(_join(path, missing[1]), "this key is missing; add it.")
    return place.wrong(
        _numbered(path), f"{_expectation(rule)} is expected, not {shown(_at(values, path))}; correct it."
    )


def _expectation(rule: str) -> str:
    if bound := re.fullmatch(r"Expected `(?:float|int)` (>=|<=|>|<) ([-\d.e+]+)", rule):
        words = {">": "above", ">=": "of at least", "<": "below", "<=": "of at most"}
        return f"a number {words[bound[1]]} {float(bound[2]):g}"
    if length := re.fullmatch(r"Expected `(array|str)` of length >= (\d+)", rule):
        return f"a list of at least {length[2]}" if length[1] == "array" else "a text that is not empty"
    if types := re.match(r"Expected `([^`]+)`", rule):
        words_of = [_EXPECTED.get(name, name) for name in types[1].split(" | ") if name != "null"]
        return " or ".join(words_of)
    if rule.startswith("Invalid enum value"):
        return "one of the known words"
    return "something else"


def _at(values: Any, path: str) -> Any:
    for step in _STEP.finditer(path):
        if step["index"] == "...":
            return next((value for value in values.values() if not isinstance(value, str)), values)
        values = values[int(step["index"])] if step["index"] else values[step["key"]]
    return values


def _fields_at(kind: Any, path: str) -> tuple[str, ...]:
    for step in _STEP.finditer(path):
        if step["key"]:
            kind = next(field.type for field in msgspec.structs.fields(kind) if field.encode_name == step["key"])
        kind = _struct_in(kind)
    return tuple(field.encode_name for field in msgspec.structs.fields(kind))


def _struct_in(kind: Any) -> Any:
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        return kind
    inner = (_struct_in(argument) for argument in getattr(kind, "__args__", ()))
    return next((found for found in inner if found is not None), None)


def _join(path: str, key: str) -> str:
    return _numbered(f"{path}.{key}" if path else key)


def _numbered(path: str) -> str:
    """``parts[1].name`` as ``parts 2, name``: people count from one."""
    counted = re.sub(r"\[(\d+)\]", lambda match: f" {int(match[1]) + 1}", path).replace("[...]", "")
    return counted.replace(".", ", ")


def _did_you_mean(word: str, known: Iterable[str]) -> str:
    names = sorted(known)
    near = difflib.get_close_matches(word, names, n=1)
    return f"did you mean {near[0]}?" if near else f"it may be one of {', '.join(names)}."


def plain(text: str, most_letters: int = MOST_LETTERS) -> str:
    """*text* of a file fit for one line of a terminal: what cannot be printed is escaped, what is long is cut."""
    cut = text if len(text) <= most_letters else f"{text[:most_letters]}…"
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in cut)


def listed(names: Sequence[str]) -> str:
    """The *names* of a file in a sentence, the first few of many."""
    more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
    return ", ".join(plain(name) for name in names[:MOST_NAMES]) + more


def shown(value: Any) -> str:
    """A wrong value as the user would know it again, cut where it is long."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            return f'"{plain(value)}"'
        case int() if abs(value) > 10**MOST_DIGITS:
            return "a number of very many digits"
        case int() | float():
            return plain(str(value))
        case dict():
            return "a table"
        case list() | tuple():
            return "an empty list" if not value else "a list"
        case _:
            return str(value)

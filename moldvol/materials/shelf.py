"""The shelf: every resin, rubber, foam, filler and plaster that can be asked for by its key.

The built-in shelf holds generic classes; a user's own file adds to it, and an entry of the same key takes its place.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from moldvol.errors import RequestError
from moldvol.materials.filler import Filler
from moldvol.materials.reading.entries import filler_of, plaster_of, resin_of, small_mould_of
from moldvol.materials.reading.shelf_file import Place, read_tables
from moldvol.materials.resin import Resin
from moldvol.materials.sundries import PlasterPowder, SmallMould
from moldvol.notices import Notice

BUILT_IN = Path(__file__).parent / "shelves"
Item = TypeVar("Item")
_SHORTEST_WORD = 3

_TABLES: Mapping[str, Callable[[Mapping[str, Any], Place], Any]] = MappingProxyType(
    {"resin": resin_of, "filler": filler_of, "plaster": plaster_of, "small_mould": small_mould_of}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """All materials by key. ``notices`` tells which built-in entries a user's file has replaced."""

    resins: Mapping[str, Resin] = field(default_factory=dict)
    fillers: Mapping[str, Filler] = field(default_factory=dict)
    plasters: Mapping[str, PlasterPowder] = field(default_factory=dict)
    small_moulds: Mapping[str, SmallMould] = field(default_factory=dict)
    notices: tuple[Notice, ...] = ()

    @property
    def foams(self) -> Mapping[str, Resin]:
        """The resins that foam."""
        return {key: resin for key, resin in self.resins.items() if resin.kind == "foam"}

    def resin(self, key: str) -> Resin:
        """The resin of that key. Raises `RequestError` with the nearest key for one that is not there."""
        return _find(self.resins, key, "resin")

    def resins_like(self, key: str) -> tuple[str, ...]:
        """The keys of resins that may be meant by *key*, which is on no shelf; none where nothing is near."""
        return _near(self.resins, key)

    def filler(self, key: str) -> Filler:
        """The filler of that key. Raises `RequestError` with the nearest key for one that is not there."""
        return _find(self.fillers, key, "filler")

    def plaster(self, key: str) -> PlasterPowder:
        """The plaster of that key. Raises `RequestError` with the nearest key for one that is not there."""
        return _find(self.plasters, key, "plaster")

    def small_mould(self, key: str) -> SmallMould:
        """The small mould of that key. Raises `RequestError` with the nearest key for one that is not there."""
        return _find(self.small_moulds, key, "small mould")


def load_shelf(paths: Path | str | Sequence[Path | str] = ()) -> Shelf:
    """The built-in shelf with the user's file or files *paths* on top; of two entries with one key the later counts.

    Raises `ShelfError` naming file, entry and key of the first thing that is wrong.
    """
    materials: dict[str, dict[str, Any]] = {table: {} for table in _TABLES}
    for path in sorted(BUILT_IN.glob("*.toml")):
        _put(materials, path)
    files = (paths,) if isinstance(paths, (str, Path)) else paths
    notices = tuple(notice for path in files for notice in _put(materials, Path(path)))
    return Shelf(
        resins=materials["resin"],
        fillers=materials["filler"],
        plasters=materials["plaster"],
        small_moulds=materials["small_mould"],
        notices=notices,
    )


def _put(materials: dict[str, dict[str, Any]], path: Path) -> tuple[Notice, ...]:
    replaced = []
    for table, entries in read_tables(path, _TABLES).items():
        for key, values in entries.items():
            if key in materials[table]:
                replaced.append(Notice("shelf-override", f"{path.name} replaces {table}.{key} of an earlier shelf."))
            materials[table][key] = _TABLES[table](values, Place(path.name, table, key))
    return tuple(replaced)


def _find(items: Mapping[str, Item], key: str, what: str) -> Item:
    if key in items:
        return items[key]
    raise RequestError(f"There is no {what} '{key}' on the shelf; {_hint(items, key)}", what=what, value=key)


def _hint(items: Mapping[str, Item], key: str) -> str:
    if near := _near(items, key):
        return f"did you mean {alternatives(near)}?"
    return f"the shelf has {', '.join(sorted(items)) or 'none'}."


def _near(items: Mapping[str, Item], key: str) -> tuple[str, ...]:
    """A word of several names ("silicone") is answered with all of them, a slip within one name with the nearest."""
    asked = key.casefold().replace("_", "-").replace(" ", "-")
    of_that_word = sorted(name for name in items if _has_words(name, asked))
    return tuple(of_that_word or difflib.get_close_matches(asked, list(items), n=1))


def _has_words(name: str, asked: str) -> bool:
    """Whether every word of *asked* begins a word of *name*: ``tin`` is in ``tin-silicone``, not in ``casting-epoxy``.

    >>> _has_words("tin-silicone", "silicone-tin"), _has_words("casting-epoxy", "tin")
    (True, False)
    """
    words = asked.split("-")
    parts = name.casefold().split("-")
    return min(map(len, words)) >= _SHORTEST_WORD and all(
        any(part.startswith(word) for part in parts) for word in words
    )


def alternatives(names: Sequence[str]) -> str:
    """*names*, at least one, as they stand in a question.

    >>> alternatives(["a"]), alternatives(["a", "b", "c"])
    ('a', 'a, b or c')
    """
    return " or ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]

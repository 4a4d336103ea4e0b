"""The stock list: what is left of each part, what packs cost, and so what a job takes and what must be bought.

A file of the user's own, in TOML; prices are in whatever currency they think in::

    [stock.fast-urethane]            # the key on the shelf of resins, fillers or plasters
    parts = [
      {name = "A", left_kg = 1.2, packs = [{kg = 1, price = 21.5}, {kg = 5, price = 92}]},
      {name = "B", left_kg = 0.9, packs = [{kg = 0.9, price = 20}], paid_per_kg = 19},
    ]
    kits = [{kg = {A = 1, B = 0.9}, price = 38}]

What is used is valued at ``paid_per_kg``; without it at the first pack of that part, or else the first kit with it.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any

import msgspec

from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative
from moldvol.materials.buying.purchase import Pack, Purchase, cheapest_purchase
from moldvol.materials.reading.shelf_file import Place, listed, read_tables, typed_entry
from moldvol.notices import Notice

Above0 = Annotated[float, msgspec.Meta(gt=0)]
NotNegative = Annotated[float, msgspec.Meta(ge=0)]
Text = Annotated[str, msgspec.Meta(min_length=1)]


class PackEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """A pack that can be bought, as written."""

    kg: Above0
    price: NotNegative


class KitEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """A kit of several parts, as written."""

    kg: dict[str, Above0]
    price: NotNegative


class StockPartEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """What is left of one part, as written."""

    name: Text
    left_kg: NotNegative
    packs: tuple[PackEntry, ...] = ()
    paid_per_kg: NotNegative | None = None


class StockEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """What is left of one resin, as written."""

    parts: Annotated[tuple[StockPartEntry, ...], msgspec.Meta(min_length=1)]
    kits: Annotated[tuple[KitEntry, ...], msgspec.Meta(max_length=3)] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPart:
    """What is left of one part. *price_per_g* values what a job uses of it; ``None`` if no price is stated."""

    name: str
    left_g: float
    price_per_g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockItem:
    """One material of the list: its parts, and every pack it is sold in."""

    key: str
    parts: tuple[StockPart, ...]
    packs: tuple[Pack, ...] = ()

    def part(self, name: str) -> StockPart | None:
        """The part of that name, in any case; ``None`` if the list does not have it."""
        return next((part for part in self.parts if part.name.casefold() == name.casefold()), None)


@dataclass(frozen=True, slots=True)
class Stock:
    """The whole list by key."""

    file: str
    items: Mapping[str, StockItem] = field(default_factory=lambda: MappingProxyType({}))

    def item(self, key: str) -> StockItem:
        """The material of that key. Raises `RequestError` with the nearest key for one that is not listed."""
        if key in self.items:
            return self.items[key]
        near = difflib.get_close_matches(key, list(self.items), n=1)
        hint = f"did you mean {near[0]}?" if near else f"it has {', '.join(sorted(self.items)) or 'nothing'}."
        raise RequestError(f"There is no '{key}' in the stock list {self.file}; {hint}", file=self.file, value=key)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartAnswer:
    """One part of the job: needed, on the shelf, short, and what the needed grams are worth."""

    name: str
    needed_g: float
    left_g: float
    cost: float | None

    @property
    def short_g(self) -> float:
        """What is missing of this part."""
        return max(0.0, self.needed_g - self.left_g)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockAnswer:
    """Is there enough, what to buy, what the job costs. Costs are ``None`` where a price is missing."""

    key: str
    casts: int
    parts: tuple[PartAnswer, ...]
    purchase: Purchase | None
    notices: tuple[Notice, ...] = ()

    @property
    def enough(self) -> bool:
        """Whether every part suffices."""
        return all(part.short_g == 0 for part in self.parts)

    @property
    def job_cost(self) -> float | None:
        """What the job uses up, whether bought for it or not."""
        costs = [part.cost for part in self.parts]
        known = [cost for cost in costs if cost is not None]
        return math.fsum(known) if len(known) == len(costs) else None

    @property
    def cost_per_cast(self) -> float | None:
        """The cost of the job, shared over its casts."""
        return None if self.job_cost is None else self.job_cost / self.casts


def read_stock(path: Path | str) -> Stock:
    """The stock list in a file. Raises `ShelfError` naming file, entry and key of the first thing that is wrong."""
    place = Path(path)
    entries = read_tables(place, ["stock"], what="stock list").get("stock", {})
    items = {key: _item(values, Place(place.name, "stock", key)) for key, values in entries.items()}
    return Stock(place.name, MappingProxyType(items))


def check_stock(item: StockItem, needed_g: Mapping[str, float], *, casts: int = 1) -> StockAnswer:
    """Whether *item* has the *needed_g* of each part, for all *casts* together, and what to buy if not.

    A part that the list does not have counts as used up, with a notice. Raises `RequestError` for no casts.
    """
    if casts < 1:
        raise RequestError(f"A job of {casts} casts needs nothing; give 1 or more.")
    parts = tuple(_answer(item, name, grams) for name, grams in needed_g.items())
    short_g = {_listed_name(item, part.name): part.short_g for part in parts if part.short_g > 0}
    purchase = cheapest_purchase(short_g, item.packs) if short_g else None
    unlisted = [part.name for part in parts if item.part(part.name) is None]
    notices = tuple(Notice("part-not-in-stock", f"The stock list has no {item.key} {name}.") for name in unlisted)
    if short_g and purchase is None:
        message = f"There is too little {item.key}, and the stock list states no pack that holds all that is short."
        notices += (Notice("no-pack-known", message),)
    return StockAnswer(key=item.key, casts=casts, parts=parts, purchase=purchase, notices=notices)


def _answer(item: StockItem, name: str, needed_g: float) -> PartAnswer:
    grams = not_negative(needed_g, f"mass of {name} needed in g")
    listed = item.part(name)
    per_g = None if listed is None else listed.price_per_g
    return PartAnswer(
        name=name,
        needed_g=grams,
        left_g=0.0 if listed is None else listed.left_g,
        cost=None if per_g is None else grams * per_g,
    )


def _listed_name(item: StockItem, name: str) -> str:
    listed = item.part(name)
    return name if listed is None else listed.name


def _item(values: Mapping[str, Any], place: Place) -> StockItem:
    entry = typed_entry(StockEntry, values, place)
    names = [part.name for part in entry.parts]
    if len({name.casefold() for name in names}) < len(names):
        raise place.wrong("parts", f"every part needs a name of its own, not {listed(names)}; rename one.")
    kits = tuple(_kit(kit, number, names, place) for number, kit in enumerate(entry.kits, start=1))
    cans = tuple(
        Pack(MappingProxyType({part.name: pack.kg * 1000}), pack.price) for part in entry.parts for pack in part.packs
    )
    parts = tuple(
        StockPart(name=part.name, left_g=part.left_kg * 1000, price_per_g=_price_per_g(part, cans + kits))
        for part in entry.parts
    )
    return StockItem(key=place.key, parts=parts, packs=cans + kits)


def _kit(kit: KitEntry, number: int, names: list[str], place: Place) -> Pack:
    for name in kit.kg:
        if name not in names:
            raise place.wrong(
                f"kits {number}, kg, {name}", f"one of the parts {listed(names)} is expected; correct it."
            )
    if len(kit.kg) < 2:
        raise place.wrong(f"kits {number}, kg", "a kit holds two parts or more; list a single can under its part.")
    return Pack(MappingProxyType({name: kg * 1000 for name, kg in kit.kg.items()}), kit.price)


def _price_per_g(part: StockPartEntry, packs: tuple[Pack, ...]) -> float | None:
    if part.paid_per_kg is not None:
        return part.paid_per_kg / 1000
    usual = next((pack for pack in packs if part.name in pack.holds_g), None)
    return None if usual is None else usual.price / sum(usual.holds_g.values())

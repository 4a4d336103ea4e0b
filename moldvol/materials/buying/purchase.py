"""The cheapest way to buy what is short, in the pack sizes on sale: single cans, and kits that hold several parts.

Masses in whole grams, prices in whole thousandths of the user's currency, so that sums are exact and ties are ties.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from moldvol.errors import RequestError

MOST_SHORT_G = 1_000_000.0
MOST_KIT_COUNTS = 200_000
_GRAIN_G = 1e-6


@dataclass(frozen=True, slots=True)
class Pack:
    """A can of one part, or a kit of several: grams by part's name, and what it costs."""

    holds_g: Mapping[str, float]
    price: float


@dataclass(frozen=True, slots=True)
class Bought:
    """So many of one pack."""

    pack: Pack
    count: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy, and what it costs together."""

    packs: tuple[Bought, ...]
    cost: float


def cheapest_purchase(short_g: Mapping[str, float], packs: Sequence[Pack]) -> Purchase | None:
    """The packs that cover every part's *short_g* for least money; of equal prices, the one with least over.

    ``None`` if some part that is short is in no pack. Raises `RequestError` for a shortage beyond a tonne.

    Method: every sensible count of kits in turn, then for each part on its own the least cost of covering what remains
    (covering knapsack by dynamic programming, Bellman 1957). Exact to the gram.

    >>> cans = [Pack({"A": 1000}, 24), Pack({"A": 5000}, 95)]
    >>> [(bought.count, bought.pack.price) for bought in cheapest_purchase({"A": 6200}, cans).packs]
    [(2, 24), (1, 95)]
    """
    wanted = {part: math.ceil(grams - _GRAIN_G) for part, grams in short_g.items() if grams > _GRAIN_G}
    if sum(wanted.values()) > MOST_SHORT_G:
        raise RequestError(f"{sum(wanted.values()) / 1000:g} kg to buy is beyond a workshop's packs; ask for less.")
    kits = [pack for pack in packs if len(pack.holds_g) > 1]
    tables = {part: _Table.of(part, grams, packs) for part, grams in wanted.items()}
    best = min(_offers(wanted, kits, tables), key=lambda offer: offer[0], default=None)
    return None if best is None else _purchase(best[1], wanted, kits, tables)


_Price = tuple[int, int]  # (thousandths, grams bought): less money first, then less to store
_NOT_FOR_SALE: _Price = (-1, 0)


def _price_of(pack: Pack) -> _Price:
    return round(pack.price * 1000), sum(_whole_g(grams) for grams in pack.holds_g.values())


def _whole_g(grams: float) -> int:
    return math.floor(grams + _GRAIN_G)


@dataclass(frozen=True, slots=True)
class _Table:
    """Least price of covering 0, 1, 2, … steps of one part by single cans, and the can to take first."""

    step_g: int
    prices: list[_Price]
    first: list[Pack | None]

    @classmethod
    def of(cls, part: str, most_g: int, packs: Sequence[Pack]) -> _Table:
        cans = [pack for pack in packs if set(pack.holds_g) == {part} and _whole_g(pack.holds_g[part]) > 0]
        step_g = math.gcd(*(_whole_g(can.holds_g[part]) for can in cans)) or 1
        table = cls(step_g, [(0, 0)], [None])
        sizes = [(_whole_g(can.holds_g[part]) // step_g, *_price_of(can), can) for can in cans]
        for steps in range(1, math.ceil(most_g / step_g) + 1 if cans else 1):
            cost, grams, can = min(
                (
                    (table.prices[max(0, steps - size)][0] + cost, table.prices[max(0, steps - size)][1] + grams, can)
                    for size, cost, grams, can in sizes
                ),
                key=lambda offer: offer[:2],
            )
            table.prices.append((cost, grams))
            table.first.append(can)
        return table

    def price(self, grams: int) -> _Price:
        steps = math.ceil(grams / self.step_g)
        return self.prices[steps] if steps < len(self.prices) else _NOT_FOR_SALE

    def cans(self, part: str, grams: int) -> Iterator[Pack]:
        while grams > 0:
            can = self.first[math.ceil(grams / self.step_g)]
            if can is None:  # unreachable: a price was asked before
                return
            yield can
            grams -= _whole_g(can.holds_g[part])


def _offers(
    wanted: Mapping[str, int], kits: Sequence[Pack], tables: Mapping[str, _Table]
) -> Iterator[tuple[_Price, tuple[int, ...]]]:
    """(price, count of each kit) of every way that covers what is wanted."""
    ranges = [range(_most_of(kit, wanted) + 1) for kit in kits]
    if math.prod(map(len, ranges)) > MOST_KIT_COUNTS:
        raise RequestError("There are too many ways to combine these kits; ask for less, or list fewer kits.")
    for counts in itertools.product(*ranges):
        prices = [tables[part].price(grams) for part, grams in _after_kits(wanted, kits, counts).items()]
        if _NOT_FOR_SALE not in prices:
            prices += [
                (count * cost, count * grams) for count, (cost, grams) in zip(counts, map(_price_of, kits), strict=True)
            ]
            yield (sum(cost for cost, _ in prices), sum(grams for _, grams in prices)), counts


def _most_of(kit: Pack, wanted: Mapping[str, int]) -> int:
    useful = [
        math.ceil(wanted[part] / whole)
        for part, held in kit.holds_g.items()
        if part in wanted and (whole := _whole_g(held))
    ]
    return max(useful, default=0)


def _after_kits(wanted: Mapping[str, int], kits: Sequence[Pack], counts: Sequence[int]) -> dict[str, int]:
    return {
        part: max(0, grams - sum(n * _whole_g(kit.holds_g.get(part, 0.0)) for kit, n in zip(kits, counts, strict=True)))
        for part, grams in wanted.items()
    }


def _purchase(
    counts: Sequence[int], wanted: Mapping[str, int], kits: Sequence[Pack], tables: Mapping[str, _Table]
) -> Purchase:
    bought = [Bought(kit, count) for kit, count in zip(kits, counts, strict=True) if count]
    for part, grams in _after_kits(wanted, kits, counts).items():
        cans = list(tables[part].cans(part, grams))
        kinds = {id(can): can for can in cans}.values()
        bought += sorted(
            (Bought(can, sum(can is other for other in cans)) for can in kinds), key=lambda b: b.pack.price
        )
    return Purchase(tuple(bought), math.fsum(entry.count * entry.pack.price for entry in bought))

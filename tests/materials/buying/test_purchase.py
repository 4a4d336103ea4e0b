"""The cheapest packs: as cheap as trying everything, always enough, and whole kits where they pay."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.buying.purchase import Bought, Pack, Purchase, cheapest_purchase

prices = st.integers(0, 50).map(float)
sizes = st.integers(1, 9).map(lambda n: n * 100.0)
single = st.builds(lambda part, grams, price: Pack({part: grams}, price), st.sampled_from("AB"), sizes, prices)
kit = st.builds(lambda a, b, price: Pack({"A": a, "B": b}, price), sizes, sizes, prices)
shortages = st.fixed_dictionaries({"A": st.integers(0, 900).map(float), "B": st.integers(0, 900).map(float)})

ROUNDING_G = 1e-6  # a microgram is no shortage: grams that are sums of others end in such digits


def least_by_trying(short_g: dict[str, float], packs: list[Pack]) -> float | None:
    enough = []
    for counts in itertools.product(range(10), repeat=len(packs)):
        held = {
            part: sum(n * pack.holds_g.get(part, 0) for n, pack in zip(counts, packs, strict=True)) for part in "AB"
        }
        if all(held[part] >= short_g[part] for part in "AB"):
            enough.append(sum(n * pack.price for n, pack in zip(counts, packs, strict=True)))
    return min(enough, default=None)


def grams_of(part: str, found: Purchase) -> float:
    return sum(bought.count * bought.pack.holds_g.get(part, 0) for bought in found.packs)


@given(shortages, st.lists(single, max_size=2), st.lists(kit, max_size=1))
def test_as_cheap_as_trying_everything(short_g: dict[str, float], cans: list[Pack], kits: list[Pack]) -> None:
    found = cheapest_purchase(short_g, cans + kits)
    expected = least_by_trying(short_g, cans + kits)
    assert (None if found is None else found.cost) == expected
    if found:
        assert all(grams_of(part, found) >= grams for part, grams in short_g.items())


@given(st.floats(0.5, 4000), st.lists(st.tuples(st.floats(100, 5000), st.floats(0, 90)), min_size=1, max_size=4))
def test_odd_sizes_are_always_enough(short_g: float, sold: list[tuple[float, float]]) -> None:
    found = cheapest_purchase({"A": short_g}, [Pack({"A": grams}, price) for grams, price in sold])
    assert found is not None
    assert grams_of("A", found) >= short_g - ROUNDING_G


def test_a_kit_pays_when_both_parts_are_short() -> None:
    cans = [Pack({"A": 1000}, 24), Pack({"B": 900}, 24)]
    both = Pack({"A": 1000, "B": 900}, 38)
    bought = cheapest_purchase({"A": 800, "B": 700}, [*cans, both])
    only_a = cheapest_purchase({"A": 800}, [*cans, both])
    assert bought is not None and bought.packs == (Bought(both, 1),)
    assert only_a is not None and only_a.packs == (Bought(cans[0], 1),)


def test_of_two_equal_prices_the_one_with_least_over() -> None:
    small, large = Pack({"A": 1000}, 20), Pack({"A": 5000}, 20)
    bought = cheapest_purchase({"A": 900}, [large, small])
    assert bought is not None and bought.packs == (Bought(small, 1),)


def test_what_nobody_sells_cannot_be_bought() -> None:
    assert cheapest_purchase({"A": 10, "B": 10}, [Pack({"A": 1000}, 24)]) is None


def test_nothing_short_costs_nothing() -> None:
    found = cheapest_purchase({"A": 0}, [])
    assert found is not None and (found.packs, found.cost) == ((), 0)


def test_more_than_a_workshop_buys_is_refused() -> None:
    with pytest.raises(RequestError) as refusal:
        cheapest_purchase({"A": 2e6}, [Pack({"A": 1000}, 24)])
    assert str(refusal.value) == "2000 kg to buy is beyond a workshop's packs; ask for less."


def test_too_many_ways_are_refused() -> None:
    kits = [Pack({"A": 1.0 + n, "B": 1.0}, 1) for n in range(3)]
    with pytest.raises(RequestError) as refusal:
        cheapest_purchase({"A": 1000, "B": 1000}, kits)
    assert str(refusal.value) == "There are too many ways to combine these kits; ask for less, or list fewer kits."

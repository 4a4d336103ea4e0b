"""The stock list: is there enough, what to buy, what it costs; and one sentence for whatever is wrong in the file."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError, ShelfError
from moldvol.materials.buying.stock import Stock, StockItem, StockPart, check_stock, read_stock

LIST = """
[stock.fast-urethane]
parts = [
  {name = "A", left_kg = 1.2, packs = [{kg = 1, price = 21.5}, {kg = 5, price = 92}]},
  {name = "B", left_kg = 0.9, packs = [{kg = 0.9, price = 20}], paid_per_kg = 19},
]
kits = [{kg = {A = 1, B = 0.9}, price = 38}]

[stock.pottery-plaster]
parts = [{name = "plaster", left_kg = 20}]
"""


def stock_from(tmp_path: Path, text: str) -> Stock:
    path = tmp_path / "stock.toml"
    path.write_text(text, encoding="utf-8")
    return read_stock(path)


def test_there_is_enough(tmp_path: Path) -> None:
    item = stock_from(tmp_path, LIST).item("fast-urethane")
    answer = check_stock(item, {"A": 500, "B": 450}, casts=4)
    assert answer.enough
    assert answer.purchase is None
    assert answer.notices == ()
    assert answer.job_cost == pytest.approx(500 * 0.0215 + 450 * 0.019)
    assert answer.cost_per_cast == pytest.approx((500 * 0.0215 + 450 * 0.019) / 4)


def test_what_is_short_is_bought_cheapest(tmp_path: Path) -> None:
    item = stock_from(tmp_path, LIST).item("fast-urethane")
    answer = check_stock(item, {"a": 2000, "B": 1800})
    assert not answer.enough
    assert [part.short_g for part in answer.parts] == pytest.approx([800, 900])
    assert answer.purchase is not None
    assert [(bought.count, bought.pack.price) for bought in answer.purchase.packs] == [(1, 38)]


def test_no_price_no_cost_and_no_pack_no_purchase(tmp_path: Path) -> None:
    answer = check_stock(stock_from(tmp_path, LIST).item("pottery-plaster"), {"plaster": 25_000})
    assert (answer.enough, answer.purchase, answer.job_cost, answer.cost_per_cast) == (False, None, None, None)
    assert answer.notices[0].message == (
        "There is too little pottery-plaster, and the stock list states no pack that holds all that is short."
    )


def test_a_part_that_is_not_listed_is_said(tmp_path: Path) -> None:
    answer = check_stock(stock_from(tmp_path, LIST).item("fast-urethane"), {"A": 1, "catalyst": 2})
    assert [notice.code for notice in answer.notices] == ["part-not-in-stock", "no-pack-known"]
    assert answer.notices[0].message == "The stock list has no fast-urethane catalyst."


@given(st.floats(0, 1e5), st.floats(0, 1e5), st.floats(0, 1))
def test_short_and_left_make_the_need(needed_g: float, left_g: float, per_g: float) -> None:
    item = StockItem(key="x", parts=(StockPart(name="A", left_g=left_g, price_per_g=per_g),))
    (part,) = check_stock(item, {"A": needed_g}).parts
    assert part.short_g == max(0, needed_g - left_g)
    assert part.cost == needed_g * per_g


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            '[stock.x]\nparts = [{name = "A", left_kg = "1,2"}]',
            'stock.toml, stock.x, parts 1, left_kg: a number is expected, not "1,2"; correct it.',
        ),
        (
            '[stock.x]\nparts = [{name = "A", left_kg = -1}]',
            "stock.toml, stock.x, parts 1, left_kg: a number of at least 0 is expected, not -1; correct it.",
        ),
        (
            '[stock.x]\nparts = [{name = "A"}]',
            "stock.toml, stock.x, parts 1, left_kg: this key is missing; add it.",
        ),
        (
            '[stock.x]\nparts = [{name = "A", left_kg = 1}, {name = "a", left_kg = 1}]',
            "stock.toml, stock.x, parts: every part needs a name of its own, not A, a; rename one.",
        ),
        (
            '[stock.x]\nparts = [{name = "A", left_kg = 1}]\nkits = [{kg = {A = 1, C = 1}, price = 3}]',
            "stock.toml, stock.x, kits 1, kg, C: one of the parts A is expected; correct it.",
        ),
        (
            '[stock.x]\nparts = [{name = "A", left_kg = 1}]\nkits = [{kg = {A = 1}, price = 3}]',
            "stock.toml, stock.x, kits 1, kg: a kit holds two parts or more; list a single can under its part.",
        ),
        (
            '[stock.x]\nparts = [{name = "A", left_kg = 1, packs = [{kg = 0, price = 3}]}]',
            "stock.toml, stock.x, parts 1, packs 1, kg: a number above 0 is expected, not 0; correct it.",
        ),
        (
            '[stock.x]\nparts = [{name = "A", left_kg = inf}]',
            "stock.toml, stock.x, parts 1, left_kg: a finite number is expected, not inf; correct it.",
        ),
    ],
)
def test_what_is_wrong_in_the_file_is_one_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    with pytest.raises(ShelfError) as refusal:
        stock_from(tmp_path, text)
    assert str(refusal.value) == sentence


def test_a_file_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(ShelfError, match=r"cannot be read \(no such file or directory\)"):
        read_stock(tmp_path / "stock.toml")


def test_a_material_that_is_not_listed_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RequestError) as refusal:
        stock_from(tmp_path, LIST).item("fast-urethan")
    assert str(refusal.value) == (
        "There is no 'fast-urethan' in the stock list stock.toml; did you mean fast-urethane?"
    )


def test_a_job_of_no_casts_is_refused() -> None:
    with pytest.raises(RequestError) as refusal:
        check_stock(StockItem(key="x", parts=()), {}, casts=0)
    assert str(refusal.value) == "A job of 0 casts needs nothing; give 1 or more."

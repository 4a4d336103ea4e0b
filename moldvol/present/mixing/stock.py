"""How the answer of a stock list is told: is there enough, what to buy, what the job uses up."""

from __future__ import annotations

from typing import Any

from moldvol.materials.buying.purchase import Purchase
from moldvol.materials.buying.stock import StockAnswer
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section, Table


def stock_section(answer: StockAnswer, units: Units) -> Section:
    """Is there enough, and what to buy."""
    rows = tuple(
        (
            part.name,
            numbers.in_grams(part.needed_g, units),
            numbers.in_grams(part.left_g, units),
            numbers.in_grams(part.short_g, units) if part.short_g else "enough",
        )
        for part in answer.parts
    )
    lines = []
    if answer.purchase is not None:
        lines.append(Row("Buy", _packs(answer.purchase, units), f"for {numbers.money(answer.purchase.cost)}"))
    if answer.job_cost is not None:
        each = f"{numbers.money(answer.cost_per_cast or 0.0)} each" if answer.casts > 1 else ""
        lines.append(Row("Uses up", numbers.money(answer.job_cost), each))
    return Section("The stock", tuple(lines), Table(("", "needed", "left", "short"), rows, frozenset({1, 2, 3})))


def _packs(purchase: Purchase, units: Units) -> str:
    return ", ".join(
        f"{bought.count} × pack of "
        + " + ".join(f"{numbers.mass(grams, units)} {name}" for name, grams in bought.pack.holds_g.items())
        for bought in purchase.packs
    )


def stock_document(answer: StockAnswer) -> dict[str, Any]:
    """The ``stock`` object."""
    purchase = answer.purchase
    return {
        "enough": answer.enough,
        "parts": [
            {"name": part.name, "needed_g": part.needed_g, "left_g": part.left_g, "short_g": part.short_g}
            for part in answer.parts
        ],
        "buy": []
        if purchase is None
        else [{"count": bought.count, "holds_g": dict(bought.pack.holds_g)} for bought in purchase.packs],
        "buy_cost": None if purchase is None else purchase.cost,
        "job_cost": answer.job_cost,
        "cost_per_cast": answer.cost_per_cast,
        "warnings": warnings(answer.notices),
    }

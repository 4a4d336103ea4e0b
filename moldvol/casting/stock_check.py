"""Whether the stock list has enough for a mix, and what is to be bought."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from moldvol.casting.pots import PotPlan
from moldvol.casting.recipe import MixPlan
from moldvol.materials.stock import StockAnswer, check_stock, read_stock


def check_mix(stock: Path, plan: MixPlan, pots: PotPlan | None, casts: int = 1) -> StockAnswer:
    """The answer of the list in the file *stock* for *plan*, or for its *pots* with what stays in them.

    Raises `ShelfError` for a list that cannot be read, `RequestError` where the resin is not on it.
    """
    mixes = [pot.mix for pot in pots.pots] if pots else [plan]
    needed: Counter[str] = Counter()
    for mix in mixes:
        needed.update({part.name: part.to_add_g for part in mix.components if part.role != "addition"})
    return check_stock(read_stock(stock).item(plan.request.resin.key), needed, casts=casts)

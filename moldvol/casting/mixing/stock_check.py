"""Whether the stock list has enough for a mix, fillers included, and what is to be bought."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from moldvol.casting.mixing.pots import PotPlan
from moldvol.casting.mixing.recipe import MixPlan
from moldvol.materials.buying.purchase import Purchase
from moldvol.materials.buying.stock import Stock, StockAnswer, check_stock, read_stock
from moldvol.notices import Notice


def check_mix(stock: Path, plan: MixPlan, pots: PotPlan | None, casts: int = 1) -> StockAnswer:
    """The answer of the list in the file *stock* for *plan*, or for its *pots* with what stays in them.

    A filler is looked up under its own key; a notice names one that is not listed. Raises `ShelfError` for a list that
    cannot be read, `RequestError` where the resin is not on it.
    """
    mixes = [pot.mix for pot in pots.pots] if pots else [plan]
    needed: Counter[str] = Counter()
    for mix in mixes:
        needed.update({part.name: part.to_add_g for part in mix.components})
    fillers = {addition.filler.name: addition.filler.key for addition in plan.request.additions}
    listed = read_stock(stock)
    own = {name: grams for name, grams in needed.items() if name not in fillers}
    answers = [check_stock(listed.item(plan.request.resin.key), own, casts=casts)]
    for name, key in fillers.items():
        answers.append(_of_filler(listed, key, name, needed[name], casts))
    return _together(answers)


def _of_filler(listed: Stock, key: str, name: str, needed_g: float, casts: int) -> StockAnswer:
    item = listed.items.get(key)
    if item is None:
        said = Notice(
            "filler-not-in-stock", f"The stock list has no {key}, and {needed_g:.1f} g of {name} go into the mix."
        )
        return StockAnswer(key=key, casts=casts, parts=(), purchase=None, notices=(said,))
    return check_stock(item, {item.parts[0].name: needed_g}, casts=casts)


def _together(answers: Sequence[StockAnswer]) -> StockAnswer:
    bought = [answer.purchase for answer in answers if answer.purchase is not None]
    purchase = Purchase(
        packs=tuple(pack for one in bought for pack in one.packs), cost=math.fsum(one.cost for one in bought)
    )
    return StockAnswer(
        key=answers[0].key,
        casts=answers[0].casts,
        parts=tuple(part for answer in answers for part in answer.parts),
        purchase=purchase if bought else None,
        notices=tuple(notice for answer in answers for notice in answer.notices),
    )

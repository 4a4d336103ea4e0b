"""How ``moldvol mix`` is told: the weigh-out, the pots, the stock."""

from __future__ import annotations

from typing import Any

from moldvol.casting.pots import PotPlan
from moldvol.casting.recipe import MixPlan
from moldvol.materials.stock import StockAnswer
from moldvol.present import numbers, pots, weigh_out
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table


def report(plan: MixPlan, split: PotPlan | None, stock: StockAnswer | None, casts: int, units: Units) -> Report:
    """The sheet of a mix."""
    resin = plan.request.resin
    sections = [weigh_out.weigh_out_section(plan, units)] if split is None else [pots.pots_section(split, units)]
    sections.append(_figures_section(plan, casts, units))
    if stock is not None:
        sections.append(stock_section(stock, units))
    notices = (*(split.notices if split else plan.notices), *(stock.notices if stock else ()))
    return Report(
        title=f"{numbers.mass(plan.total_mass_g, units)} of {resin.name}",
        verdict="Correction of what is in the cup." if plan.request.poured else "",
        sections=tuple(sections),
        warnings=tuple(dict.fromkeys(notice.message for notice in notices)),
        cautions=plan.cautions,
        job="Mix",
        about=(Row("Resin", resin.name, resin.key),),
    )


def _figures_section(plan: MixPlan, casts: int, units: Units) -> Section:
    """What the recipe rests on, each figure with its grade."""
    resin = plan.request.resin
    rows = [
        Row("Ratio", "", _graded(resin.grade_of("parts"))),
        Row("Density", f"{resin.cured_density_g_ml:g} g/ml cured", _graded(resin.grade_of("cured_density_g_ml"))),
        Row("Pot life", numbers.duration(resin.pot_life_s), _graded(resin.grade_of("pot_life_s"))),
        Row("Smallest batch", numbers.mass(plan.smallest_batch_g, units), "that this scale holds in ratio"),
    ]
    if plan.surplus_g > 0:
        rows.append(Row("Left over", numbers.mass(plan.surplus_g, units), "more than was wanted, to keep the ratio"))
    if plan.cost is not None:
        each = f"{numbers.money(plan.cost / casts)} each" if casts > 1 else ""
        rows.append(Row("Cost", numbers.money(plan.cost), f"{each} {_graded(resin.grade_of('price_per_kg'))}".strip()))
    return Section("What it rests on", tuple(rows))


def _graded(grade: object) -> str:
    return str(grade) if grade is not None else "not stated"


def stock_section(answer: StockAnswer, units: Units) -> Section:
    """Is there enough, and what to buy."""
    rows = tuple(
        (
            part.name,
            numbers.mass(part.needed_g, units),
            numbers.mass(part.left_g, units),
            numbers.mass(part.short_g, units) if part.short_g else "enough",
        )
        for part in answer.parts
    )
    lines = []
    if answer.purchase is not None:
        packs = ", ".join(
            f"{bought.count} × pack of "
            + " + ".join(f"{numbers.mass(grams, units)} {name}" for name, grams in bought.pack.holds_g.items())
            for bought in answer.purchase.packs
        )
        lines.append(Row("Buy", packs, f"for {numbers.money(answer.purchase.cost)}"))
    if answer.job_cost is not None:
        each = f"{numbers.money(answer.cost_per_cast or 0.0)} each" if answer.casts > 1 else ""
        lines.append(Row("Uses up", numbers.money(answer.job_cost), each))
    return Section("The stock", tuple(lines), Table(("", "needed", "left", "short"), rows, frozenset({1, 2, 3})))


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


def document(plan: MixPlan, split: PotPlan | None, stock: StockAnswer | None, casts: int) -> dict[str, Any]:
    """The mix as one JSON object; its keys stand at the top level."""
    return {
        **weigh_out.document(plan),
        "casts": casts,
        "pots": None if split is None else pots.document(split),
        "stock": None if stock is None else stock_document(stock),
    }

"""How ``moldvol mix`` is told: the weigh-out, the pots, the stock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from moldvol.casting.mixing.pots import PotPlan
from moldvol.casting.mixing.recipe import MixPlan
from moldvol.materials.buying.stock import StockAnswer
from moldvol.notices import Notice
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing import pots, stock, weigh_out
from moldvol.present.mixing.figures import figures_section
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, grave, messages


@dataclass(frozen=True, slots=True, kw_only=True)
class MixTold:
    """All there is to tell of a mix: its plan, the pots it is split into, the stock, and how many casts share it.

    ``ratio_notices`` are about a ratio worked out from the user's own figures.
    """

    plan: MixPlan
    split: PotPlan | None = None
    stock: StockAnswer | None = None
    casts: int = 1
    ratio_notices: tuple[Notice, ...] = ()

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What is to be said, each thing once."""
        recipe = self.plan.notices if self.split is None else self.split.notices
        said = (*self.ratio_notices, *recipe, *(self.stock.notices if self.stock else ()))
        return tuple(dict.fromkeys(said))


def report(told: MixTold, units: Units) -> Report:
    """The sheet of a mix."""
    plan, resin = told.plan, told.plan.request.resin
    sections = [
        pots.weighing_section(plan, told.split, units),
        figures_section(plan, told.casts, units),
    ]
    if told.stock is not None:
        sections.append(stock.stock_section(told.stock, units))
    return Report(
        title=f"{numbers.mass(plan.total_mass_g, units)} of {resin.name}",
        verdict=_verdict(told),
        sections=tuple(sections),
        warnings=messages(told.notices),
        grave=grave(told.notices),
        cautions=plan.cautions,
        job="Mix",
        about=(Row("Resin", resin.name, resin.key),),
        line=pots.in_one_line(plan, told.split, units),
    )


def _verdict(told: MixTold) -> str:
    """What is still missing in a cup that was begun."""
    return weigh_out.correction(told.plan) if told.plan.request.poured else ""


def document(told: MixTold) -> dict[str, Any]:
    """The mix as one JSON object; its keys stand at the top level."""
    return {
        **weigh_out.document(told.plan),
        "casts": told.casts,
        "pots": None if told.split is None else pots.document(told.split),
        "stock": None if told.stock is None else stock.stock_document(told.stock),
        "warnings": warnings(told.notices),
    }

"""The mould to be made of the part."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mould.air import air_when_cast
from moldvol.casting.mould.jacket import JacketRequest
from moldvol.casting.mould.plan import plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.page.told import Plan, Question, ToPour
from moldvol.present.moulds import mould
from moldvol.present.moulds.mould_pictures import mould_drawing
from moldvol.present.moulds.mould_steps import steps

USUAL_PLASTER = "pottery-plaster"


def plan_of_mould(question: Question) -> Plan:
    """Rubber, box or jacket, and how the mould is cast in afterwards."""
    asked, part = question.asked, question.part
    plan = plan_mould(part.solid, _request(question))
    question.progress("Looking for trapped air", 0.6)
    air = air_when_cast(plan)
    pots = tuple(asked.bench.pots(pour.mix.request) for pour in plan.pours)
    told = mould.Told(plan, air, tuple(split for split in pots if split is not None))
    grams = plan.needed.density_g_ml / 1000
    return Plan(
        report=mould.report(told, asked.units),
        pours=tuple(
            ToPour.of(
                pour.name.capitalize(), pour.mix, pour.volume_mm3 * grams, mould=question.mould_itself, pots=in_pots
            )
            for pour, in_pots in zip(plan.pours, pots, strict=True)
        ),
        plots=lambda: [mould_drawing(plan, air)],
        steps=lambda: steps(plan, asked.units),
        shows_part=True,
    )


def _request(question: Question) -> MouldRequest:
    """The mould asked for, the usual wherever nothing was said."""
    asked = question.asked
    block = asked.style == "block"
    said: dict[str, Any] = {"parts": asked.mould_parts} if block else {}
    if asked.rubber_mm is not None:
        said["clearance_mm" if block else "thickness_mm"] = asked.rubber_mm
    jacket = JacketRequest(kind="none") if block else JacketRequest(powder=question.shelf.plaster(USUAL_PLASTER))
    return MouldRequest(
        mix=question.mix_of(asked.rubber), style=asked.style, jacket=jacket, allowance=asked.allowance, **said
    )

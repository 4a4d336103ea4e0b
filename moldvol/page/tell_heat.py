"""How hot a cast of the part gets, and what would cool it."""

from __future__ import annotations

from moldvol.casting.heat_of_cast import USUAL_RUBBER_MM, HeatRequest, plan_cast_heat
from moldvol.page.told import Plan, Question
from moldvol.present.heating import heat

ROOM_C = 22.0


def plan_of_heat(question: Question) -> Plan:
    """The heat of a solid or a hollow cast in its mould."""
    asked = question.asked
    request = HeatRequest(
        resin=question.mix.resin,
        mould=asked.heat_mould,
        mould_mm=asked.rubber_mm or USUAL_RUBBER_MM,
        wall_mm=asked.wall_mm if asked.heat_cast == "hollow" else None,
        room_c=ROOM_C if asked.bench_c is None else asked.bench_c,
        pot_ml=asked.pot_ml,
    )
    plan = plan_cast_heat(
        question.body.solid,
        question.body.field,
        request,
        lambda share: question.progress("Working out the heat", share),
    )
    return Plan(report=heat.report(plan, asked.units), plots=lambda: heat.pictures(plan, asked.units))

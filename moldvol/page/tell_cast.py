"""The part itself, a solid cast of it, and what it holds where it is a mould."""

from __future__ import annotations

from moldvol.casting.cast import CastRequest, plan_cast
from moldvol.casting.fill import plan_fill
from moldvol.casting.fill_request import FillRequest
from moldvol.page.told import Plan, Question, ToPour
from moldvol.present import cast, measure
from moldvol.present.moulds import fill
from moldvol.present.moulds.fill_pictures import fill_drawings


def plan_part(question: Question) -> Plan:
    """What was read and measured."""
    return Plan(report=measure.report(question.part.measured, question.asked.units))


def plan_solid(question: Question) -> Plan:
    """A solid cast."""
    part, asked = question.part, question.asked
    request = CastRequest(mix=question.mix, copies=asked.copies, allowance=asked.allowance)
    plan = plan_cast(part.solid, request, wall=part.measured.wall)
    pots = asked.bench.pots(plan.mix.request)
    return Plan(
        report=cast.report(plan, pots, asked.units),
        pours=(ToPour.of("Solid cast", plan.mix, plan.net_mass_g, mould=question.mould, pots=pots),),
    )


def plan_holds(question: Question) -> Plan:
    """What the part holds, taken for a mould or for a master whose inside is the cavity."""
    asked = question.asked
    plan = plan_fill(question.part.solid, FillRequest(mix=question.mix, allowance=asked.allowance))
    needed = plan.needed
    pots = asked.bench.pots(needed.mix.request) if needed else None
    filling = needed and ToPour.of("The filling", needed.mix, needed.net_mass_g, mould=question.mould, pots=pots)
    return Plan(
        report=fill.report(plan, pots, asked.units),
        pours=(filling,) if filling else (),
        plots=lambda: fill_drawings(plan, asked.units),
        steps=lambda: fill.steps(plan, asked.units),
        shows_part=True,
    )

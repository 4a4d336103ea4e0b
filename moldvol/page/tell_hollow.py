"""A hollow cast coat by coat, and all ways of casting side by side."""

from __future__ import annotations

import numpy as np

from moldvol.casting.compare import plan_compare
from moldvol.casting.hollow import HollowRequest, plan_hollow
from moldvol.casting.mixing.mix import density_of
from moldvol.page.draft import curve_walls_mm, knows_curve
from moldvol.page.told import Plan, Question, ToPour
from moldvol.present.hollowing import compare, hollow
from moldvol.present.hollowing.curve import Curve, curve_drawing
from moldvol.present.hollowing.cut import cut_drawing


def plan_of_hollow(question: Question) -> Plan:
    """A hollow cast."""
    asked, body = question.asked, question.body
    plan = plan_hollow(body, _request(question))
    walls = [coat.wall_mm for coat in plan.coats]
    pours = [  # a coat is never split over pots: it must be in the mould before the next
        ToPour.of(f"Coat {coat.number} of {len(walls)}", coat.mix, coat.mass_g, mould=question.mould)
        for coat in plan.coats
    ]
    return Plan(
        report=hollow.report(plan, asked.units),
        pours=tuple(pours),
        plots=lambda: [cut_drawing(body.field, walls, reach=body.reach, units=asked.units)],
        curve=lambda: [curve_drawing(_curve(question), asked.units)],
        knows_curve=lambda: knows_curve(body),
        steps=lambda: hollow.steps(plan, asked.units),
    )


def plan_side_by_side(question: Question) -> Plan:
    """Solid, and hollow at three walls."""
    asked, bench = question.asked, question.asked.bench
    plan = plan_compare(
        question.body,
        [question.mix],
        walls_beside(asked.wall_mm),
        copies=asked.copies,
        allowance=asked.allowance,
        mixing_s=bench.mixing_s,
        pouring_s=bench.pouring_s,
    )
    return Plan(
        report=compare.report(plan, asked.units),
        curve=lambda: [curve_drawing(_curve(question), asked.units)],
    )


def walls_beside(wall_mm: float) -> list[float]:
    """The walls shown side by side: a thinner one, the one asked for, a thicker one.

    >>> walls_beside(4.0)
    [3.0, 4.0, 6.0]
    """
    return [0.75 * wall_mm, wall_mm, 1.5 * wall_mm]


def _request(question: Question) -> HollowRequest:
    asked, bench = question.asked, question.asked.bench
    return HollowRequest(
        mix=question.mix,
        wall_mm=asked.wall_mm,
        coats=asked.coats,
        copies=asked.copies,
        allowance=asked.allowance,
        mixing_s=bench.mixing_s,
        pouring_s=bench.pouring_s,
    )


def _curve(question: Question) -> Curve:
    """What every wall takes, up to the deepest place."""
    body, wall_mm = question.body, question.asked.wall_mm
    walls = sorted({*curve_walls_mm(body), wall_mm})
    return Curve(
        walls_mm=np.array(walls),
        shells=[body.shell(wall) for wall in walls],
        solid_mm3=body.field.solid_mm3,
        area_mm2=body.solid.area_mm2,
        density_g_ml=density_of(question.mix),
        chosen_mm=wall_mm,
    )

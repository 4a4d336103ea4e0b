"""What is done in turn to make a mould, for the printed sheet."""

from __future__ import annotations

from collections.abc import Iterator

from moldvol.casting.mould.plan import MouldPlan
from moldvol.casting.mould.pours import Pour
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.report import Step


def steps(plan: MouldPlan, units: Units) -> tuple[Step, ...]:
    """From the master to the mould it comes out of."""
    before = (Step(what, before=True) for what in _before(plan, units))
    return (*before, *_rubber(plan, units), *_after(plan, units))


def _before(plan: MouldPlan, units: Units) -> Iterator[str]:
    yield "Seal a porous master and brush on release agent"
    yield from _stand(plan, units)
    if plan.box is not None:
        yield "Screw the box together and seal its joints with clay"
    if plan.style == "poured-over":
        clay = numbers.length(plan.request.thickness_mm, units)
        yield f"Lay {clay} of clay over the master, build the jacket on it, then take the clay out"


def _stand(plan: MouldPlan, units: Units) -> Iterator[str]:
    if plan.request.on_board:
        yield "Fix the master to the board so that nothing creeps under it"
    elif plan.request.parts == 2:
        height = numbers.length(plan.parting_above_foot_mm, units)
        yield f"Bed the master in clay up to the parting, about {height} above its foot"
        if plan.keys is not None:
            yield f"Stand {plan.keys.count} half-balls on the clay, for the pits of the keys"
    else:
        room = numbers.length(plan.request.clearance.sides_mm, units)
        yield f"Hold the master by its sprue, {room} free on every side"


def _rubber(plan: MouldPlan, units: Units) -> Iterator[Step]:
    if plan.coats:
        return  # the table of the coats is worked through by itself
    pump = ", degas" if plan.degassing is not None else ""
    for number, pour in enumerate(plan.pours):
        if number:
            yield Step("Turn it over, take the clay off, brush release agent on the rubber")
        yield Step(
            f"{_named(pour)}: mix{pump}, pour in a thin stream at the lowest corner",
            amount=numbers.in_grams(pour.mix.total_mass_g, units),
            remark=f"within {numbers.duration(pour.mix.one_cup_life_s)} of the first stir",
        )


def _named(pour: Pour) -> str:
    return pour.name[:1].upper() + pour.name[1:]


def _after(plan: MouldPlan, units: Units) -> Iterator[Step]:
    if plan.style == "glove" and plan.jacket is not None:
        yield Step(
            "Build the jacket over the rubber, in halves where it would be held",
            amount=numbers.in_grams(plan.jacket.mass_g, units),
        )
    demould_s = plan.mix.request.resin.demould_s
    yield Step(
        "Leave the rubber to set",
        remark="" if demould_s is None else f"{numbers.duration(demould_s)} after the last mix, by the shelf",
    )
    cut = plan.style == "block" and plan.request.parts == 1 and not plan.request.on_board
    yield Step("Cut the block open in a wavy line and take the master out" if cut else "Take the master out")

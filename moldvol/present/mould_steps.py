"""What is done in turn to make a mould, for the printed sheet."""

from __future__ import annotations

from collections.abc import Iterator

from moldvol.casting.mould import MouldPlan
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.report import Step


def steps(plan: MouldPlan, units: Units) -> tuple[Step, ...]:
    """From the master to the mould it comes out of."""
    return (*_before(plan, units), *_rubber(plan, units), *_after(plan, units))


def _before(plan: MouldPlan, units: Units) -> Iterator[Step]:
    if plan.request.on_board:
        yield Step("Fix the master to the board so that nothing creeps under it")
    elif plan.request.parts == 2:
        height = numbers.length(plan.parting_above_foot_mm, units)
        yield Step("Bed the master in clay up to the parting", amount=f"about {height} above its foot")
        keys = plan.keys
        if keys is not None:
            yield Step("Press the pits for the keys into the clay", amount=f"{keys.count} of them")
    else:
        yield Step("Hang the master in the box on its sprue", amount=numbers.length(plan.request.clearance_mm, units),
                   remark="free on every side")  # fmt: skip
    yield Step("Seal a porous master, and brush on release agent")
    if plan.box is not None:
        yield Step("Screw the box together and seal its joints with clay")
    if plan.style == "poured-over":
        yield Step("Lay clay as thick as the rubber over the master, build the jacket on it, then take the clay out",
                   amount=numbers.length(plan.request.thickness_mm, units))  # fmt: skip


def _rubber(plan: MouldPlan, units: Units) -> Iterator[Step]:
    verb = "brush on" if plan.coats else "pour in a thin stream at the lowest corner"
    pump = ", degas" if plan.degassing is not None else ""
    for number, pour in enumerate(plan.pours):
        if number and not plan.coats:
            yield Step("Turn it over, take the clay off, brush release agent on the rubber")
        yield Step(
            f"{pour.name[:1].upper()}{pour.name[1:]}: mix{pump}, {verb}",
            amount=numbers.mass(pour.mix.total_mass_g, units),
            remark=f"within {numbers.duration(pour.mix.one_cup_life_s)} of the first stir",
        )


def _after(plan: MouldPlan, units: Units) -> Iterator[Step]:
    if plan.style == "glove" and plan.jacket is not None:
        yield Step("Build the jacket over the rubber, in halves where it would be held",
                   amount=numbers.mass(plan.jacket.mass_g, units))  # fmt: skip
    demould_s = plan.mix.request.resin.demould_s
    rest = "" if demould_s is None else numbers.duration(demould_s)
    yield Step("Leave the rubber to set", amount=rest)
    cut = plan.style == "block" and plan.request.parts == 1 and not plan.request.on_board
    yield Step("Cut the block open in a wavy line and take the master out" if cut else "Take the master out")

"""How a left-over is told: what to fill, and what is lost all the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from moldvol.casting.mixing.leftover import LeftoverPlan, SmallCavity
from moldvol.materials.cautions import cautions_for
from moldvol.materials.resin import Resin
from moldvol.present import numbers
from moldvol.present.mixing.figures import grade_name
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table


@dataclass(frozen=True, slots=True)
class Told:
    """A plan with the moulds it chose from and the resin that is left."""

    plan: LeftoverPlan
    cavities: tuple[SmallCavity, ...]
    resin: Resin


def report(told: Told, units: Units) -> Report:
    """The sheet of a left-over, read while the resin is thickening: what to fill comes first."""
    plan = told.plan
    rows = [
        Row("Fills", numbers.mass(plan.used_g, units)),
        Row("Wasted", numbers.mass(max(plan.wasted_g, 0.0), units), _why_wasted(told)),
        Row("Hurry", f"within {numbers.duration(told.resin.pot_life_s)}", _from_when(told.resin, units)),
    ]
    if plan.wasted_g < 0.05:
        rows[1] = Row("Wasted", "nothing")
    return Report(
        f"{numbers.mass(plan.leftover_g, units)} of {told.resin.name} left over",
        _verdict(told, units),
        (Section("The moulds", tuple(rows), _moulds(told, units)),),
        cautions=cautions_for(told.resin),
        line=_verdict(told, units),
    )


def _from_when(resin: Resin, units: Units) -> str:
    at = numbers.temperature(resin.pot_life_temperature_c, units)
    return f"from when its parts met, at {at}; {grade_name(resin, 'pot_life_s')}"


def _why_wasted(told: Told) -> str:
    filled = {filling.name: filling.count for filling in told.plan.fillings}
    if all(filled.get(cavity.name, 0) == cavity.at_most for cavity in told.cavities):
        return "every mould is full"
    return "too little for any mould that is still empty"


def _verdict(told: Told, units: Units) -> str:
    fillings = told.plan.fillings
    if not fillings:
        smallest = min(told.cavities, key=lambda cavity: cavity.mass_g)
        return f"It fills none: the smallest, {smallest.name}, takes {numbers.mass(smallest.mass_g, units)}."
    names = [f"{filling.count} × {filling.name}" if filling.count > 1 else filling.name for filling in fillings]
    return f"Fill {' and '.join([', '.join(names[:-1]), names[-1]] if len(names) > 1 else names)}."


def _moulds(told: Told, units: Units) -> Table:
    filled = {filling.name: filling.count for filling in told.plan.fillings}
    rows = tuple(
        (
            cavity.name,
            numbers.mass(cavity.mass_g, units),
            "any" if cavity.at_most is None else str(cavity.at_most),
            str(filled.get(cavity.name, "–")),
        )
        for cavity in sorted(told.cavities, key=lambda cavity: -cavity.mass_g)
    )
    return Table(("mould", "takes", "ready", "fill"), rows, frozenset({1, 2, 3}))


def document(told: Told) -> dict[str, Any]:
    """The plan as one JSON object."""
    plan = told.plan
    return {
        "leftover": {
            "resin": told.resin.key,
            "leftover_g": plan.leftover_g,
            "used_g": plan.used_g,
            "wasted_g": max(plan.wasted_g, 0.0),
            "fillings": [
                {"name": filling.name, "count": filling.count, "mass_g": filling.mass_g} for filling in plan.fillings
            ],
            "moulds": [
                {"name": cavity.name, "mass_g": cavity.mass_g, "at_most": cavity.at_most} for cavity in told.cavities
            ],
        },
        "warnings": [],
        "cautions": list(cautions_for(told.resin)),
    }

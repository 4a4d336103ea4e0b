"""How pots are told: how many, how much in each, and by when each must be poured."""

from __future__ import annotations

from typing import Any

from moldvol.casting.pots import PotPlan
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section, Table
from moldvol.present.weigh_out import component_json, decimals_of


def pots_section(plan: PotPlan, units: Units) -> Section:
    """The pots in the order they are mixed, with the reading of each part."""
    first = plan.pots[0].mix
    decimals = decimals_of(first.request.scale.readability_g)
    names = tuple(component.name for component in first.components)
    rows = tuple(
        (
            str(pot.number),
            *(f"{component.reading_g:.{decimals}f} g" for component in pot.mix.components),
            f"{pot.mass_g:.{decimals}f} g",
            numbers.clock(pot.start_s),
            numbers.clock(pot.pour_by_s),
        )
        for pot in plan.pots
    )
    count = "1 pot" if len(plan.pots) == 1 else f"{len(plan.pots)} pots"
    stays = f"; {numbers.mass(plan.lost_g, units)} stays in them" if plan.lost_g else ""
    lines = [
        Row("In all", count, f"of at most {plan.usable_ml:.4g} ml{stays}"),
        Row("Pot life", numbers.duration(plan.pot_life_s), "of one such pot, from the moment its parts meet"),
        Row("Done after", numbers.duration(plan.finished_s)),
    ]
    bigger = plan.bigger_pot
    if bigger is not None:
        verdict = "would do" if bigger.allowed else "will not do"
        lines.append(Row("One big pot", f"of {bigger.volume_ml:g} ml {verdict}", bigger.reason))
    table = Table(
        ("pot", *names, "in all", "start", "pour by"),
        rows,
        frozenset(range(1, len(names) + 4)),
        ticks=True,
        large=frozenset(range(len(names) + 2)),
    )
    remarks = ("Start and pour-by run from the first pot, minutes:seconds.",)
    return Section("Pots, one after the other", tuple(lines), table, remarks)


def document(plan: PotPlan) -> dict[str, Any]:
    """The ``pots`` object beside a mix."""
    bigger = plan.bigger_pot
    return {
        "count": len(plan.pots),
        "needed_g": plan.needed_g,
        "lost_g": plan.lost_g,
        "mixed_g": plan.mixed_g,
        "usable_ml": plan.usable_ml,
        "pot_life_s": plan.pot_life_s,
        "finished_s": plan.finished_s,
        "pots": [
            {
                "number": pot.number,
                "mass_g": pot.mass_g,
                "start_s": pot.start_s,
                "poured_s": pot.poured_s,
                "pour_by_s": pot.pour_by_s,
                "components": [component_json(component) for component in pot.mix.components],
            }
            for pot in plan.pots
        ],
        "bigger_pot": None
        if bigger is None
        else {
            "volume_ml": bigger.volume_ml,
            "mass_g": bigger.mass_g,
            "allowed": bigger.allowed,
            "reason": bigger.reason,
        },
        "warnings": warnings(plan.notices),
    }

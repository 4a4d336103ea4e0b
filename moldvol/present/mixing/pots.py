"""How pots are told: how many, how much in each, and by when each must be poured."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from moldvol.casting.mixing.mix import MixPlan
from moldvol.casting.mixing.pots import Pot, PotPlan
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing import weigh_out
from moldvol.present.mixing.weigh_out import (
    catalyst_by_volume,
    component_json,
    portions,
    reading,
)
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section, Table


def weighing_section(mix: MixPlan, split: PotPlan | None, units: Units) -> Section:
    """What is weighed of *mix*, pot by pot where it is *split*."""
    return weigh_out.weigh_out_section(mix, units) if split is None else pots_section(split, units)


def pots_section(plan: PotPlan, units: Units) -> Section:
    """The pots in the order they are mixed, with the reading of each part."""
    first = plan.pots[0].mix
    names = tuple(component.name for component in first.components)
    lines = [
        Row("In all", _count(plan), f"of at most {plan.usable_ml:.4g} ml each"),
        Row("Mixed", numbers.mass(plan.mixed_g, units), f"{numbers.mass(plan.needed_g, units)} reaches the mould"),
    ]
    if plan.lost_g:
        lines.append(Row("Stays in pots", numbers.mass(plan.lost_g, units), plan.loss_origin))
    if first.catalyst is not None:
        lines.append(
            Row("Catalyst", f"{first.catalyst.percent:g} % on top", f"{catalyst_by_volume(first.catalyst)} to a pot")
        )
    lines += [
        Row("Pot life", numbers.duration(plan.pot_life_s), _of_one_pot(plan, units)),
        Row("Done after", numbers.duration(plan.finished_s)),
    ]
    bigger = plan.bigger_pot
    if bigger is not None:
        verdict = "would do" if bigger.allowed else "will not do"
        lines.append(Row("One big pot", f"of {bigger.volume_ml:g} ml {verdict}", bigger.reason))
    table = Table(
        ("pot", *names, "in all", "start", "pour by"),
        tuple(row for pot in plan.pots for row in _rows(pot)),
        frozenset(range(1, len(names) + 4)),
        ticks=True,
        large=frozenset(range(len(names) + 2)),
    )
    remarks: tuple[str, ...] = ("Start and pour-by run from the first pot, minutes:seconds.",)
    if len(names) > 2:
        remarks += ("Below each pot stands what the scale shows when all goes into that one pot.",)
    return Section("Pots, one after the other", tuple(lines), table, remarks)


def in_one_line(mix: MixPlan, split: PotPlan | None, units: Units) -> str:
    """*mix* in a sentence, by the pots of its *split* where it is split."""
    if split is None:
        return weigh_out.in_one_line(mix, units)
    return f"Mix {numbers.mass(split.mixed_g, units)} in {_count(split)}: {portions_of(split)}."


def portions_of(plan: PotPlan) -> str:
    """What is weighed for each pot, those that are alike named once: ``2 × (48 g A, 43 g B), (47 g A, 43 g B)``."""
    if len(plan.pots) == 1:
        return portions(plan.pots[0].mix)
    alike = [(len(list(same)), text) for text, same in groupby(portions(pot.mix) for pot in plan.pots)]
    return ", ".join(f"{count} × ({text})" if count > 1 else f"({text})" for count, text in alike)


def _count(plan: PotPlan) -> str:
    return "1 pot" if len(plan.pots) == 1 else f"{len(plan.pots)} pots"


def _rows(pot: Pot) -> list[tuple[str, ...]]:
    """What to weigh for a pot, and below it the display of the scale, where that is not clear from the sum alone."""
    step = pot.mix.request.scale.readability_g
    weighed = [reading(component.reading_g, step) for component in pot.mix.components]
    rows = [
        (str(pot.number), *weighed, reading(pot.mass_g, step), numbers.clock(pot.start_s), numbers.clock(pot.pour_by_s))
    ]
    if len(weighed) > 2:
        shown = [reading(component.scale_reading_g, step) for component in pot.mix.components]
        rows.append(("shows", *shown, "", "", ""))
    return rows


def _of_one_pot(plan: PotPlan, units: Units) -> str:
    first = plan.pots[0]
    at = numbers.temperature(first.mix.bench_c, units)
    return f"of {numbers.mass(first.mass_g, units)} in one pot at {at}, from the first stir"


def document(plan: PotPlan) -> dict[str, Any]:
    """The ``pots`` object beside a mix."""
    bigger = plan.bigger_pot
    return {
        "count": len(plan.pots),
        "needed_g": plan.needed_g,
        "lost_g": plan.lost_g,
        "loss_origin": plan.loss_origin,
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

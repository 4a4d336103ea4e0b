"""How a recipe is told: what to weigh, and what the scale shows on the way."""

from __future__ import annotations

import math
from typing import Any

from moldvol.casting.mixing.mix import Component, MixPlan
from moldvol.materials.chemistry.catalyst import CatalystDose
from moldvol.materials.weighing.scales import step_in_ounces, told_step
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing.figures import grade_name
from moldvol.present.numbers import Units, significant
from moldvol.present.report import Row, Section, Table
from moldvol.quantities import G_PER_OUNCE

MOST_DROPS = 120  # nobody counts further, nor should
HARDLY_SHOWN = 0.1  # of a catalyst's mass: a step of the scale that is off by more is no dose
WORTH_TELLING = 0.005  # of the volume: from there on liquid and set are told apart
NOT_SHOWN = 0.9  # of a part's mass: it would not go in at all, or twice


def weigh_out_section(plan: MixPlan, units: Units, heading: str = "Weigh out into one cup") -> Section:
    """The table that is read with gloves on: part, grams, reading; after an over-pour what is still to be added."""
    resin = plan.request.resin
    in_one_cup = f"{numbers.mass(plan.total_mass_g, units)} in one cup at {numbers.temperature(plan.bench_c, units)}"
    lines = [
        Row("Rubber" if resin.kind == "silicone" else "Resin", resin.name, resin.key),
        Row("Mix in all", numbers.mass(plan.total_mass_g, units), _volume(plan, units)),
        Row(
            "Pour within",
            f"{numbers.duration(plan.one_cup_life_s)} of the first stir",
            f"{in_one_cup}; {grade_name(resin, 'pot_life_s')}",
        ),
        Row("Ratio", f"± {numbers.per_cent(plan.ratio_error_percent / 100)}", _ratio_remark(plan)),
    ]
    if plan.catalyst is not None:
        lines.append(Row("Catalyst", f"{plan.catalyst.percent:g} % on top", catalyst_by_volume(plan.catalyst)))
    return Section(heading, tuple(lines), table=_corrections(plan) if plan.request.poured else _recipe(plan))


def _volume(plan: MixPlan, units: Units) -> str:
    """What it fills in the cup and what when it has set: a little less, or of a foam many times as much."""
    volume = numbers.volume(plan.total_volume_ml * 1000, units)
    if plan.request.resin.kind == "foam":
        return f"{volume} when it has risen"
    liquids = [component.volume_ml for component in plan.components if component.volume_ml is not None]
    if len(liquids) < len(plan.components):
        return f"{volume} when it has set"
    liquid_ml = math.fsum(liquids)
    if abs(liquid_ml - plan.total_volume_ml) < WORTH_TELLING * plan.total_volume_ml:
        return volume
    return f"{numbers.volume(liquid_ml * 1000, units)} in the cup, {volume} when it has set"


def _recipe(plan: MixPlan) -> Table:
    rows = tuple(_component_row(component, plan.request.scale.readability_g) for component in plan.components)
    columns = ("", "weigh", "scale shows", "that is")
    return Table(columns, rows, frozenset({1, 2, 3}), ticks=True, large=frozenset({0, 2}))


def _corrections(plan: MixPlan) -> Table:
    step = plan.request.scale.readability_g
    rows = tuple(
        (
            component.name,
            reading(component.poured_g, step) if component.poured_g else "–",
            reading(component.to_add_g, step) if component.to_add_g else "–",
            reading(component.scale_reading_g, step),
        )
        for component in plan.components
    )
    columns = ("", "in the cup", "add", "scale shows")
    return Table(columns, rows, frozenset({1, 2, 3}), ticks=True, large=frozenset({0, 2, 3}))


def correction(plan: MixPlan) -> str:
    """What to add to a cup with too much of something in it, in the order of the recipe."""
    step = plan.request.scale.readability_g
    steps = [
        f"{reading(component.to_add_g, step)} of {component.name} (until the scale shows "
        f"{reading(component.scale_reading_g, step)})"
        for component in plan.components
        if component.to_add_g
    ]
    return f"Add {', then '.join(steps)}." if steps else "Nothing is missing in the cup: the ratio is held."


def in_one_line(plan: MixPlan, units: Units) -> str:
    """The weigh-out in a sentence: what goes into the cup."""
    if plan.request.poured:
        return correction(plan)
    return f"Mix {numbers.mass(plan.total_mass_g, units)}: {portions(plan)}."


def portions(plan: MixPlan) -> str:
    """What is weighed for one cup: ``143 g A, 128 g B``."""
    step = plan.request.scale.readability_g
    return ", ".join(f"{to_weigh(component, step)} {component.name}" for component in plan.components)


def catalyst_by_volume(dose: CatalystDose) -> str:
    """The dose for a syringe; counted in drops only while anybody would count them."""
    drops = f", about {dose.drops} drops" if dose.drops <= MOST_DROPS else ""
    return f"{dose.volume_ml:.3g} ml{drops}"


def _ratio_remark(plan: MixPlan) -> str:
    likely = numbers.per_cent(plan.ratio_error_rss_percent / 100)
    step = plan.request.scale.readability_g
    return (
        f"at worst, ± {likely} likely, on a scale of {told_step(step)} steps; the resin forgives "
        f"{plan.tolerance_percent:g} %"
    )


def _component_row(component: Component, step: float) -> tuple[str, str, str, str]:
    return (
        component.name,
        to_weigh(component, step),
        reading(component.scale_reading_g, step),
        f"{significant(component.volume_ml)} ml" if component.volume_ml is not None else "",
    )


def to_weigh(component: Component, step: float) -> str:
    """The reading for *component* alone; of what the scale does not show, or of a catalyst that it can hardly show, the
    mass and the volume instead: to weigh none of it, or twice as much, is worse than to measure it in a syringe."""
    off = abs(component.reading_g - component.mass_g)
    bearable = HARDLY_SHOWN if component.role == "catalyst" else NOT_SHOWN
    if off <= bearable * component.mass_g:
        return reading(component.reading_g, step)
    measured = "" if component.volume_ml is None else f" = {component.volume_ml:.2g} ml"
    if step_in_ounces(step) is not None:
        return f"{component.mass_g / G_PER_OUNCE:.2g} oz{measured}"
    return f"{component.mass_g:.2g} g{measured}"


def reading(mass_g: float, step: float) -> str:
    """A mass as a display of this *step* in g shows it: with its decimals, and in ounces if its steps are of ounces.

    >>> reading(104.1, 0.1), reading(104.1, 1), reading(104.1, 0.05 * G_PER_OUNCE)
    ('104.1 g', '104 g', '3.67 oz')
    """
    ounces = step_in_ounces(step)
    if ounces is None:
        return f"{mass_g:.{decimals_of(step)}f} g"
    return f"{mass_g / G_PER_OUNCE:.{decimals_of(ounces)}f} oz"


def decimals_of(step: float) -> int:
    """Decimals that a display of this *step* shows; of a step of ounces, those that grams beside it deserve.

    >>> decimals_of(1), decimals_of(0.1), decimals_of(0.05), decimals_of(0.05 * G_PER_OUNCE)
    (0, 1, 2, 0)
    """
    if step_in_ounces(step) is not None:
        return max(0, -math.floor(math.log10(step)))
    text = f"{step:.6f}".rstrip("0")
    return len(text.partition(".")[2])


def component_json(component: Component) -> dict[str, Any]:
    """One thing that goes into the cup."""
    return {
        "name": component.name,
        "role": component.role,
        "mass_g": component.mass_g,
        "volume_ml": component.volume_ml,
        "reading_g": component.reading_g,
        "scale_reading_g": component.scale_reading_g,
        "poured_g": component.poured_g,
        "to_add_g": component.to_add_g,
    }


def document(plan: MixPlan) -> dict[str, Any]:
    """The ``mix`` object of the contract."""
    return {
        "resin": plan.request.resin.key,
        "total_mass_g": plan.total_mass_g,
        "total_volume_ml": plan.total_volume_ml,
        "density_g_ml": plan.density_g_ml,
        "components": [component_json(component) for component in plan.components],
        "ratio_error_percent": plan.ratio_error_percent,
        "ratio_error_rss_percent": plan.ratio_error_rss_percent,
        "ratio_tolerance_percent": plan.tolerance_percent,
        "smallest_batch_g": plan.smallest_batch_g,
        "surplus_g": plan.surplus_g,
        "filler_share": plan.filler_share,
        "catalyst": None if plan.catalyst is None else _catalyst_json(plan.catalyst),
        "pot_life_s": plan.pot_life_s,
        "one_cup_life_s": plan.one_cup_life_s,
        "halving_rule_s": plan.halving_rule_s,
        "bench_c": plan.bench_c,
        "cost": plan.cost,
        "grades": {figure: str(grade) for figure, grade in plan.request.resin.grades.items()},
        "warnings": warnings(plan.notices),
        "cautions": list(plan.cautions),
    }


def _catalyst_json(dose: CatalystDose) -> dict[str, Any]:
    return {"percent": dose.percent, "mass_g": dose.mass_g, "volume_ml": dose.volume_ml, "drops": dose.drops}

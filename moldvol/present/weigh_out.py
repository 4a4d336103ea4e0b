"""How a recipe is told: what to weigh, and what the scale shows on the way."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mix import Component, MixPlan
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section, Table


def weigh_out_section(plan: MixPlan, units: Units, heading: str = "Weigh out into one cup") -> Section:
    """The table that is read with gloves on: part, grams, reading."""
    resin = plan.request.resin
    step = plan.request.scale.readability_g
    rows = tuple(_component_row(component, step) for component in plan.components)
    lines = [
        Row("Resin", resin.name, resin.key),
        Row("Mix in all", numbers.mass(plan.total_mass_g, units), numbers.volume(plan.total_volume_ml * 1000, units)),
        Row("Pour within", numbers.duration(plan.pot_life_s), _pot_life_remark(plan)),
        Row("Ratio", f"± {numbers.per_cent(plan.ratio_error_percent / 100)}", _ratio_remark(plan)),
    ]
    if plan.catalyst is not None:
        dose = plan.catalyst
        drops = f"{dose.volume_ml:.3g} ml, about {dose.drops} drops"
        lines.append(Row("Catalyst", f"{dose.percent:g} % on top", drops))
    return Section(
        heading,
        tuple(lines),
        table=Table(
            ("", "weigh", "scale shows", "that is"), rows, frozenset({1, 2, 3}), ticks=True, large=frozenset({0, 2})
        ),
    )


def _ratio_remark(plan: MixPlan) -> str:
    step = plan.request.scale.readability_g
    return f"is what a scale of {step:g} g steps can hold; the resin forgives {plan.tolerance_percent:g} %"


def _pot_life_remark(plan: MixPlan) -> str:
    resin = plan.request.resin
    return f"pot life at {plan.bench_c:g} °C, stated for {resin.pot_life_mass_g:g} g; a larger pot sets sooner"


def _component_row(component: Component, step: float) -> tuple[str, str, str, str]:
    decimals = decimals_of(step)
    return (
        component.name,
        f"{component.reading_g:.{decimals}f} g",
        f"{component.scale_reading_g:.{decimals}f} g",
        f"{component.volume_ml:.4g} ml" if component.volume_ml is not None else "",
    )


def decimals_of(step: float) -> int:
    """Decimals that a display of this *step* shows.

    >>> decimals_of(1), decimals_of(0.1), decimals_of(0.05)
    (0, 1, 2)
    """
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
        "pot_life_s": plan.pot_life_s,
        "bench_c": plan.bench_c,
        "cost": plan.cost,
        "warnings": warnings(plan.notices),
        "cautions": list(plan.cautions),
    }

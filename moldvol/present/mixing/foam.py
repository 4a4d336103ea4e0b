"""How a foam is told: little liquid, a large core, and no time."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mixing.pots import PotPlan
from moldvol.casting.mixing.rising import FoamPlan
from moldvol.notices import Notice
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing import pots, weigh_out
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, grave, messages


def report(plan: FoamPlan, split: PotPlan | None, units: Units) -> Report:
    """The sheet of a foam."""
    charge = plan.charge
    return Report(
        f"{numbers.mass(charge.liquid_mass_g, units)} of {plan.mix.request.resin.name}",
        f"It fills a core of {numbers.volume(charge.core_volume_mm3, units)} when it has risen.",
        (
            pots.weighing_section(plan.mix, split, units),
            _rise(plan, units),
        ),
        messages(_notices(plan, split)),
        plan.mix.cautions,
        line=pots.in_one_line(plan.mix, split, units),
        grave=grave(_notices(plan, split)),
    )


def _rise(plan: FoamPlan, units: Units) -> Section:
    charge, resin = plan.charge, plan.mix.request.resin
    free, held = (f"{1000 * density:.3g} kg/m³" for density in (charge.free_rise_g_ml, charge.moulded_g_ml))
    liquid = numbers.volume(charge.liquid_volume_ml * 1000, units)
    rows = [
        Row("Liquid", liquid, f"rises to {numbers.significant(charge.expansion_ratio, 3)} × that"),
        Row("Risen freely", free, str(resin.grade_of("cured_density_g_ml") or "")),
        Row("In the core", held, f"packed {numbers.per_cent(charge.overpack)} tighter"),
    ]
    if plan.mix.cost is not None:
        rows.append(Row("Cost", numbers.money(plan.mix.cost), str(resin.grade_of("price_per_kg") or "")))
    return Section("How it rises", tuple(rows))


def _notices(plan: FoamPlan, split: PotPlan | None) -> tuple[Notice, ...]:
    return plan.notices if split is None else (*plan.charge.notices, *split.notices)


def document(plan: FoamPlan, split: PotPlan | None) -> dict[str, Any]:
    """The plan as one JSON object."""
    charge = plan.charge
    return {
        "foam": {
            "resin": plan.mix.request.resin.key,
            "core_volume_mm3": charge.core_volume_mm3,
            "free_rise_g_ml": charge.free_rise_g_ml,
            "moulded_g_ml": charge.moulded_g_ml,
            "overpack": charge.overpack,
            "liquid_mass_g": charge.liquid_mass_g,
            "liquid_volume_ml": charge.liquid_volume_ml,
            "expansion_ratio": charge.expansion_ratio,
            "cost": plan.mix.cost,
        },
        "mix": weigh_out.document(plan.mix),
        "pots": None if split is None else pots.document(split),
        "warnings": warnings(_notices(plan, split)),
        "cautions": list(plan.mix.cautions),
    }

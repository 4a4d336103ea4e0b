"""How a solid cast is told."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from moldvol.casting.cast import CastPlan
from moldvol.casting.mixing.pots import PotPlan
from moldvol.notices import Notice
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.measure import line_about, solid_json, solid_report, wall_json, wall_section
from moldvol.present.mixing import pots, weigh_out
from moldvol.present.mixing.figures import grade_name
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, grave, messages


def report(plan: CastPlan, split: PotPlan | None, units: Units) -> Report:
    """The sheet of a solid cast: the mesh, the amounts, the weigh-out or the pots."""
    copies = plan.request.copies
    head = solid_report(plan.solid, units, "Solid cast" if copies == 1 else f"{copies} solid casts")
    walls = (wall_section(plan.wall, units),) if plan.wall else ()
    mixed = pots.in_one_line(plan.mix, split, units)
    return replace(head, line=line_about(plan.solid, mixed)).followed_by(
        *walls,
        _cast_section(plan, units),
        pots.weighing_section(plan.mix, split, units),
        warnings=messages(_notices(plan, split)),
        grave=grave(_notices(plan, split)),
        cautions=plan.cautions,
        about=(Row("Resin", plan.request.mix.resin.name, plan.request.mix.resin.key),),
    )


def _notices(plan: CastPlan, split: PotPlan | None) -> tuple[Notice, ...]:
    """With pots, what is said of one cup with everything in it does not matter."""
    if split is None:
        return plan.notices
    own = tuple(notice for notice in plan.notices if notice not in plan.mix.notices)
    return own + split.notices


def _cast_section(plan: CastPlan, units: Units) -> Section:
    request = plan.request
    copies = f" × {request.copies}" if request.copies > 1 else ""
    resin = request.mix.resin
    density = f"cured, {plan.density_g_ml:.4g} g/ml, {grade_name(resin, 'cured_density_g_ml')}"
    rows = [Row("One cast", numbers.mass(plan.mass_each_g, units), density)]
    if plan.void_mass_g > 0.001 * plan.mass_each_g:
        rows.append(Row("of which", numbers.mass(plan.void_mass_g, units), "fills rooms that the master has sealed"))
    if plan.sprue_volume_mm3:
        sprue = plan.sprue_volume_mm3 * plan.density_g_ml / 1000
        rows.append(Row("Sprues", numbers.mass(sprue, units), "on each cast"))
    doubt = (
        f"± {numbers.mass(plan.net_mass_error_g, units, 2)} from the mesh"
        if plan.net_mass_error_g > 5e-4 * plan.net_mass_g
        else ""
    )
    rows.append(Row(f"Net{copies}", numbers.mass(plan.net_mass_g, units), doubt))
    rows.append(
        Row(
            "Allowance",
            numbers.mass(plan.allowance_g, units),
            f"{numbers.per_cent(plan.allowance)}, {plan.allowed.origin}{_cup_loss(plan, units)}",
        )
    )
    rows.append(Row("To mix", numbers.mass(plan.total_mass_g, units), weight="amount"))
    if plan.cost is not None:
        each = f"{numbers.money(plan.cost / request.copies)} each, " if request.copies > 1 else ""
        price = f"{each}in the shelf's currency, {grade_name(resin, 'price_per_kg')}"
        rows.append(Row("Material cost", numbers.money(plan.cost), price))
    return Section("The cast", tuple(rows))


def _cup_loss(plan: CastPlan, units: Units) -> str:
    loss = plan.request.cup_loss_g
    return f", and {numbers.mass(loss, units)} that stays in the cup" if loss else ""


def document(plan: CastPlan, split: PotPlan | None) -> dict[str, Any]:
    """The plan as one JSON object."""
    mesh = solid_json(plan.solid)
    return {
        **mesh,
        "wall": wall_json(plan.wall) if plan.wall else None,
        "cast": {
            "resin": plan.request.mix.resin.key,
            "copies": plan.request.copies,
            "cast_volume_mm3": plan.cast_volume_mm3,
            "sprue_volume_mm3": plan.sprue_volume_mm3,
            "mass_each_g": plan.mass_each_g,
            "void_mass_g": plan.void_mass_g,
            "net_mass_g": plan.net_mass_g,
            "net_mass_error_g": plan.net_mass_error_g,
            "allowance_percent": 100 * plan.allowance,
            "allowance_source": plan.allowance_source,
            "allowance_g": plan.allowance_g,
            "total_mass_g": plan.total_mass_g,
            "cost": plan.cost,
        },
        "mix": weigh_out.document(plan.mix),
        "pots": None if split is None else pots.document(split),
        "warnings": [*mesh["warnings"], *warnings(_notices(plan, split))],
        "cautions": list(plan.cautions),
    }

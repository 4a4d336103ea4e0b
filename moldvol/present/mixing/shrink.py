"""How the size of a master is told."""

from __future__ import annotations

from typing import Any

from moldvol.casting.enlarging import ShrinkPlan
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table, grave, messages


def report(plan: ShrinkPlan, units: Units) -> Report:
    """The sheet: the factor, the sizes, and what shrinks."""
    larger = "larger" if plan.scale_factor >= 1 else "smaller"
    change = numbers.per_cent(abs(plan.scale_factor - 1))
    sizes = Table(
        ("cast", "master", "more"),
        tuple(
            (
                numbers.fine_length(size.wanted_mm, units),
                numbers.fine_length(size.master_mm, units),
                numbers.fine_length(size.master_mm - size.wanted_mm, units),
            )
            for size in plan.sizes
        ),
        frozenset({0, 1, 2}),
    )
    steps = tuple(
        Row(step.what, f"{'grows' if step.linear < 0 else 'shrinks'} {numbers.per_cent(abs(step.linear))}", step.origin)
        for step in plan.steps
    )
    factor = Row("Scale it by", f"{plan.scale_factor:.5f}", "in every direction")
    return Report(
        f"Make the master {change} {larger} than the cast.",
        "",
        (
            Section("The master", (factor,), sizes if plan.sizes else None),
            Section("What shrinks on the way", steps),
        ),
        messages(plan.notices),
        line=_line(plan, f"{change} {larger}", units),
        grave=grave(plan.notices),
    )


def _line(plan: ShrinkPlan, change: str, units: Units) -> str:
    sizes = [
        f"{numbers.fine_length(size.master_mm, units)} for {numbers.fine_length(size.wanted_mm, units)}"
        for size in plan.sizes
    ]
    scaled = f"Scale the master by {plan.scale_factor:.5f} ({change} than the cast)"
    return f"{scaled}: {', '.join(sizes)}." if sizes else f"{scaled}."


def document(plan: ShrinkPlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    return {
        "shrink": {
            "scale_factor": plan.scale_factor,
            "linear_shrinkage": plan.linear_shrinkage,
            "steps": [
                {"what": step.what, "linear_shrinkage": step.linear, "origin": step.origin} for step in plan.steps
            ],
            "sizes": [{"wanted_mm": size.wanted_mm, "master_mm": size.master_mm} for size in plan.sizes],
        },
        "warnings": warnings(plan.notices),
    }

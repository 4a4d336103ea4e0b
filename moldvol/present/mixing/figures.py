"""What a recipe rests on: each figure behind it with its grade, and what the scale can hold."""

from __future__ import annotations

from collections.abc import Sequence

from moldvol.casting.mixing.recipe import MixPlan
from moldvol.materials.mixtures.additions import STIFFENS_FROM, STOPS_POURING, Addition
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.scales import Scale, told_step
from moldvol.present import numbers
from moldvol.present.mixing.resins import ratio
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section


def figures_section(plan: MixPlan, casts: int, units: Units) -> Section:
    """Ratio, densities, pot life, tolerance, scale and price of *plan*, with where each comes from."""
    resin = plan.request.resin
    rows = [
        Row("Ratio", ratio(resin), graded(resin.grade_of("parts" if resin.catalyst is None else "catalyst"))),
        Row("Density", f"{resin.cured_density_g_ml:g} g/ml cured", graded(resin.grade_of("cured_density_g_ml"))),
        *_additions(plan),
        *_pot_life(plan, units),
        Row("Forgives", f"{plan.tolerance_percent:g} %", graded(resin.grade_of("ratio_tolerance"))),
        Row("Scale", f"{told_step(plan.request.scale.readability_g)} steps", _vouched(plan.request.scale)),
        Row("Smallest batch", numbers.mass(plan.smallest_batch_g, units), "that this scale holds in ratio"),
    ]
    if plan.surplus_g > 0:
        rows.append(Row("Left over", numbers.mass(plan.surplus_g, units), "more than was wanted, to keep the ratio"))
    if plan.cost is not None:
        each = f"{numbers.money(plan.cost / casts)} each; " if casts > 1 else ""
        rows.append(Row("Cost", numbers.money(plan.cost), f"{each}{graded(resin.grade_of('price_per_kg'))}"))
    return Section("What it rests on", tuple(rows))


def graded(grade: object) -> str:
    """The grade of a figure in words."""
    return str(grade) if grade is not None else "not stated"


def grade_name(resin: Resin, figure: str) -> str:
    """The bare grade of a figure, without its source, for a sheet that has no room for it."""
    grade = resin.grade_of(figure)
    return "not stated" if grade is None else grade.name


def _additions(plan: MixPlan) -> Sequence[Row]:
    rows = [_addition(addition) for addition in plan.request.additions]
    if plan.filler_share > 0:
        pours = f"pours up to {100 * STIFFENS_FROM:.0f} to {100 * STOPS_POURING:.0f} %"
        rows.append(Row("Grains", f"{numbers.per_cent(plan.filler_share)} of the volume", pours))
        rows.append(Row("Mix", f"{plan.density_g_ml:.4g} g/ml cured", "volumes add"))
    return rows


def _addition(addition: Addition) -> Row:
    filler = addition.filler
    amount = f"{filler.density_g_ml:g} g/ml"
    return Row(filler.key, amount, graded(filler.grades.get("density_g_ml")))


def _pot_life(plan: MixPlan, units: Units) -> Sequence[Row]:
    resin = plan.request.resin
    at = numbers.temperature(resin.pot_life_temperature_c, units)
    energy, grade = resin.activation_energy_j_mol / 1000, resin.grade_of("activation_energy_j_mol")
    by = f"by {energy:g} kJ/mol, {grade.name}" if grade is not None else f"by {energy:g} kJ/mol"
    stated = Row(
        "Pot life",
        numbers.duration(resin.pot_life_s),
        f"of {numbers.mass(resin.pot_life_mass_g, units)} at {at}; {graded(resin.grade_of('pot_life_s'))}",
    )
    rule = "halves for each 10 °C"
    if plan.bench_c == resin.pot_life_temperature_c:
        return stated, *_haste(plan), Row("Warmer", rule, f"as a rule of thumb; reckoned here {by}")
    here = Row(f"At {numbers.temperature(plan.bench_c, units)}", numbers.duration(plan.pot_life_s), by)
    return stated, *_haste(plan), here, Row("Rule of thumb", numbers.duration(plan.halving_rule_s), rule)


def _haste(plan: MixPlan) -> Sequence[Row]:
    """Why a pot with more catalyst than usual lives shorter, even in a colder room."""
    dose, usual = plan.catalyst, plan.request.resin.catalyst
    if dose is None or usual is None or dose.haste <= 1:
        return ()
    faster = f"{numbers.significant(dose.haste, 2)} times as fast"
    doses = f"with {dose.percent:g} % of catalyst in place of {usual.percent_usual:g} %"
    return (Row("Sets", faster, f"{doses}; from memory: inversely with the dose"),)


def _vouched(scale: Scale) -> str:
    if scale.accuracy_class is None:
        return "no class marked: counted as class III in use"
    return f"class {scale.accuracy_class}, nothing vouched for below {scale.least_load_g:g} g (OIML R 76)"

"""How a laminate is told: what to cut, then what to mix, session by session."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mixing.recipe import Component
from moldvol.casting.mould.lay_up import Batch, LaminatePlan, Portion
from moldvol.materials.mixtures.laminate import glass_share
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing.figures import grade_name
from moldvol.present.mixing.weigh_out import to_weigh
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table, grave, messages


def report(plan: LaminatePlan, units: Units) -> Report:
    """The sheet of a laminate."""
    layers = sum(len(batch.mats_g_m2) for batch in plan.batches)
    sessions = len(plan.made.sessions)
    area, thickness = numbers.area(plan.request.area_mm2, units), numbers.length(plan.made.total_mm, units)
    return Report(
        f"A laminate of {area}, {thickness} thick",
        f"{_counted(layers, 'mat')} in {_counted(sessions, 'session')}.",
        (batches_section(plan, units), _piece(plan, units)),
        messages(plan.notices),
        plan.cautions,
        line=_line(plan, units),
        grave=grave(plan.notices),
    )


def _line(plan: LaminatePlan, units: Units) -> str:
    batches = (
        f"{batch.what.lower()}: {', '.join([*_cut(batch), *(_portion(one, plan, units) for one in batch.portions)])}"
        for batch in plan.batches
    )
    return f"Cut {numbers.area(plan.laid_mm2, units)} of every mat; {'; '.join(batches)}."


def _cut(batch: Batch) -> tuple[str, ...]:
    return (_mats(batch),) if batch.mats_g_m2 else ()


def _portion(portion: Portion, plan: LaminatePlan, units: Units) -> str:
    return f"{_weighed(portion, plan, units)} {portion.name}"


def _weighed(portion: Portion, plan: LaminatePlan, units: Units) -> str:
    """What to weigh of *portion*; of a dose that the scale does not show its volume too."""
    weighed = Component(
        name=portion.name,
        role=portion.role,
        mass_g=portion.mass_g,
        volume_ml=portion.volume_ml,
        reading_g=portion.reading_g,
        scale_reading_g=portion.reading_g,
    )
    return to_weigh(weighed, plan.request.scale.readability_g)


def batches_section(plan: LaminatePlan, units: Units) -> Section:
    """What to cut and what to mix, session by session."""
    rows = []
    for batch in plan.batches:
        for number, portion in enumerate(batch.portions):
            first = number == 0
            rows.append(
                (
                    batch.what if first else "",
                    _mats(batch) if first else "",
                    portion.name,
                    _weighed(portion, plan, units),
                    "" if portion.volume_ml is None else f"{numbers.significant(portion.volume_ml, 3)} ml",
                    numbers.duration(batch.pot_life_s) if first else "",
                )
            )
    columns = ("", "mats", "weigh", "", "that is", "pot life")
    laid = numbers.area(plan.laid_mm2, units)
    offcuts = plan.request.offcuts
    cut = Row(
        "Cut",
        f"{laid} of every mat",
        f"with {numbers.per_cent(offcuts)} for laps and offcuts" if offcuts else "nothing added for laps and offcuts",
    )
    remark = "Pot life is that of a pot of 100 g: mix a session in small pots, one after the other."
    return Section("What to mix", (cut,), Table(columns, tuple(rows), frozenset({3, 4, 5})), (remark,))


def _mats(batch: Batch) -> str:
    mats = batch.mats_g_m2
    if not mats:
        return ""
    if len(set(mats)) == 1:
        return f"{len(mats)} × {numbers.significant(mats[0])} g/m²"
    return " + ".join(numbers.significant(mat) for mat in mats) + " g/m²"


def _piece(plan: LaminatePlan, units: Units) -> Section:
    made, lay_up = plan.made, plan.made.lay_up
    rows = [
        Row("Thick", numbers.length(made.total_mm, units), _of_it_gel_coat(plan, units)),
        Row("Weighs", numbers.mass(plan.mass_g, units), "without the catalyst and what is cut off"),
        Row(
            "Glass", numbers.per_cent(glass_share(lay_up)), f"by weight, at {lay_up.resin_ratio:g} of resin to 1 of mat"
        ),
        Row("Resin", f"{lay_up.resin_g_ml:g} g/ml cured", grade_name(plan.request.resin, "cured_density_g_ml")),
        Row("Mat in all", numbers.mass(made.mat_g, units)),
        Row("Resin in all", numbers.mass(made.resin_g, units)),
    ]
    if made.gel_coat_g:
        rows.append(Row("Gel coat", numbers.mass(made.gel_coat_g, units), _wet_film(plan, units)))
    if plan.cost is not None:
        price = f"in the shelf's currency, without the mat; {grade_name(plan.request.resin, 'price_per_kg')}"
        rows.append(Row("Cost", numbers.money(plan.cost), price))
    return Section("The piece", tuple(rows))


def _of_it_gel_coat(plan: LaminatePlan, units: Units) -> str:
    gel_coat_mm = plan.made.lay_up.gel_coat_mm
    return f"of it {numbers.length(gel_coat_mm, units)} of gel coat" if gel_coat_mm else ""


def _wet_film(plan: LaminatePlan, units: Units) -> str:
    lay_up = plan.made.lay_up
    wet = f"{numbers.length(lay_up.gel_coat_mm, units)} as measured wet, at {lay_up.gel_coat_g_ml:g} g/ml"
    cured = plan.request.gel_coat.cured_density_g_ml
    return wet if cured == lay_up.gel_coat_g_ml else f"{wet}; {cured:g} g/ml when it has set"


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def document(plan: LaminatePlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    made = plan.made
    return {
        "laminate": {
            "resin": plan.request.resin.key,
            "gel_coat_resin": plan.request.gel_coat.key,
            "area_mm2": plan.request.area_mm2,
            "laid_mm2": plan.laid_mm2,
            "thickness_mm": made.total_mm,
            "gel_coat_g": made.gel_coat_g,
            "mat_g": made.mat_g,
            "resin_g": made.resin_g,
            "glass_share": glass_share(made.lay_up),
            "mass_g": plan.mass_g,
            "cost": plan.cost,
            "batches": [batch_json(batch) for batch in plan.batches],
        },
        "warnings": warnings(plan.notices),
        "cautions": list(plan.cautions),
    }


def batch_json(batch: Batch) -> dict[str, Any]:
    """One batch: its mats and what is weighed for it."""
    return {
        "what": batch.what,
        "mats_g_m2": list(batch.mats_g_m2),
        "mat_g": batch.mat_g,
        "mass_g": batch.mass_g,
        "catalyst_percent": batch.catalyst_percent,
        "pot_life_s": batch.pot_life_s,
        "components": [
            {
                "name": portion.name,
                "role": portion.role,
                "mass_g": portion.mass_g,
                "volume_ml": portion.volume_ml,
                "reading_g": portion.reading_g,
            }
            for portion in batch.portions
        ],
    }

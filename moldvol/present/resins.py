"""How the shelf is told, with where each figure comes from."""

from __future__ import annotations

from typing import Any

from moldvol.materials.resin import Resin
from moldvol.materials.shelf import Shelf
from moldvol.present import numbers
from moldvol.present.report import Report, Row, Section, Table

# Figure, how it is called, how it is written.
_FIGURES = (
    ("cured_density_g_ml", "Density", lambda x: f"{x:g} g/ml cured"),
    ("pot_life_s", "Pot life", numbers.duration),
    ("gel_time_s", "Gels after", numbers.duration),
    ("demould_s", "Demould after", numbers.duration),
    ("largest_section_mm", "Largest section", numbers.length),
    ("viscosity_pa_s", "Viscosity", lambda x: f"{1000 * x:g} mPa·s"),
    ("shrinkage", "Shrinkage", lambda x: f"{numbers.per_cent(x)} linear"),
    ("price_per_kg", "Price", lambda x: f"{numbers.money(x)} per kg"),
    ("ratio_tolerance", "Ratio within", numbers.per_cent),
    ("activation_energy_j_mol", "Activation", lambda x: f"{x / 1000:g} kJ/mol"),
    ("heat_of_reaction_j_g", "Heat of cure", lambda x: f"{x:g} J/g"),
    ("peak_c", "Peak", lambda x: f"{x:g} °C"),
)


def shelf_report(shelf: Shelf) -> Report:
    """All resins and rubbers in one table."""
    rows = tuple(
        (
            resin.key,
            ratio(resin),
            f"{resin.cured_density_g_ml:g}",
            numbers.duration(resin.pot_life_s),
            numbers.length(resin.largest_section_mm) if resin.largest_section_mm else "–",
            numbers.money(resin.price_per_kg) if resin.price_per_kg is not None else "–",
        )
        for resin in shelf.resins.values()
    )
    columns = ("name", "ratio", "g/ml", "pot life", "section", "per kg")
    section = Section(
        "Resins, rubbers and foams",
        table=Table(columns, rows, frozenset({2, 3, 4, 5})),
        remarks=(
            "Generic classes, not products: put your own cans on a shelf of your own (--shelf) from their data sheets.",
            "'moldvol resins NAME' shows where each figure comes from.",
        ),
    )
    return Report("The shelf", "", (section,), tuple(notice.message for notice in shelf.notices))


def resin_report(resin: Resin) -> Report:
    """One resin with the grade and source of each of its figures."""
    rows = [Row("Parts", ratio(resin), _grade(resin, "parts"))]
    for field, label, write in _FIGURES:
        value = getattr(resin, field)
        if value is not None:
            rows.append(Row(label, write(value), _grade(resin, field)))
    remarks = (resin.note,) if resin.note else ()
    return Report(
        f"{resin.key}: {resin.name}",
        f"{resin.kind}, shelf: {resin.shelf}",
        (Section("Figures", tuple(rows), remarks=remarks),),
    )


def ratio(resin: Resin) -> str:
    """The mix ratio as it stands on the can.

    A polyester's single part is followed by its catalyst.
    """
    by_volume = resin.given_by_volume
    amounts = ":".join(
        f"{part.by_volume if by_volume else part.by_weight:.4g}" for part in resin.parts if len(resin.parts) > 1
    )
    if resin.catalyst is not None:
        catalyst = resin.catalyst
        return f"{catalyst.percent_low:g}–{catalyst.percent_high:g} % catalyst"
    return f"{amounts} by {'volume' if by_volume else 'weight'}"


def _grade(resin: Resin, field: str) -> str:
    grade = resin.grade_of(field)
    return str(grade) if grade else ""


def shelf_document(shelf: Shelf) -> dict[str, Any]:
    """The shelf as one JSON object."""
    return {"resins": [resin_document(resin) for resin in shelf.resins.values()]}


def resin_document(resin: Resin) -> dict[str, Any]:
    """One resin as a JSON object."""
    figures = {field: getattr(resin, field) for field, _, _ in _FIGURES}
    grades = {field: str(grade) for field, grade in resin.grades.items()}
    parts = [
        {
            "name": part.name,
            "by_weight": part.by_weight,
            "by_volume": part.by_volume,
            "density_g_ml": part.density_g_ml,
        }
        for part in resin.parts
    ]
    return {"key": resin.key, "name": resin.name, "kind": resin.kind, "parts": parts, **figures, "grades": grades}

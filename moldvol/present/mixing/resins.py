"""How the shelf is told, with where each figure comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from moldvol.materials.filler import Filler
from moldvol.materials.resin import Resin
from moldvol.materials.shelf import Shelf
from moldvol.materials.sundries import PlasterPowder
from moldvol.present import numbers
from moldvol.present.as_json import warnings
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

_NOT_TOLD = {"grades", "shelf"}


def shelf_report(shelf: Shelf) -> Report:
    """All resins and rubbers in one table."""
    rows = tuple(
        (
            resin.key,
            ratio(resin),
            f"{resin.cured_density_g_ml:g}",
            numbers.duration(resin.pot_life_s),
            f"{resin.largest_section_mm:g}" if resin.largest_section_mm else "–",
            _price(resin.price_per_kg),
        )
        for resin in shelf.resins.values()
    )
    columns = ("name", "ratio", "g/ml", "pot life", "mm", "per kg")
    section = Section(
        "Resins, rubbers and foams",
        table=Table(columns, rows, frozenset({2, 3, 4, 5})),
        remarks=(
            "mm is the thickest section to pour at once.",
            "Generic classes, not products: put your own cans on a shelf of your own (--shelf) from their data sheets.",
            "'moldvol resins NAME' shows where each figure comes from.",
        ),
    )
    sections = (section, _fillers(shelf), _plasters(shelf), *_small_moulds(shelf))
    keys = " ".join([*shelf.resins, *shelf.fillers, *shelf.plasters, *shelf.small_moulds])
    return Report("The shelf", "", sections, tuple(notice.message for notice in shelf.notices), line=keys)


def _fillers(shelf: Shelf) -> Section:
    rows = tuple(
        (filler.key, f"{filler.density_g_ml:g}", _dose(filler), _price(filler.price_per_kg))
        for filler in shelf.fillers.values()
    )
    columns = ("name", "g/ml", "usual, by weight of resin", "per kg")
    return Section("Fillers, powders and pigments", table=Table(columns, rows, frozenset({1, 2, 3})))


def _dose(filler: Filler) -> str:
    if filler.percent_high is None:
        return "–"
    return f"{filler.percent_low or 0:g} to {filler.percent_high:g} %"


def _plasters(shelf: Shelf) -> Section:
    rows = tuple(
        (
            plaster.key,
            f"{plaster.consistency:g}",
            f"{plaster.consistency_low:g} to {plaster.consistency_high:g}",
            _price(plaster.price_per_kg),
        )
        for plaster in shelf.plasters.values()
    )
    columns = ("name", "water to 100", "usual", "per kg")
    return Section("Plasters", table=Table(columns, rows, frozenset({1, 2, 3})))


def _small_moulds(shelf: Shelf) -> tuple[Section, ...]:
    rows = tuple(
        (mould.key, mould.name, f"{mould.volume_ml:g} ml", str(mould.count)) for mould in shelf.small_moulds.values()
    )
    columns = ("name", "", "holds", "ready")
    return (Section("Small moulds", table=Table(columns, rows, frozenset({2, 3}))),) if rows else ()


def _price(per_kg: float | None) -> str:
    return "–" if per_kg is None else numbers.money(per_kg)


def filler_report(filler: Filler) -> Report:
    """One filler with the grade and source of each of its figures."""
    rows = [Row("Density", f"{filler.density_g_ml:g} g/ml of the grain", _grade(filler, "density_g_ml"))]
    if filler.percent_high is not None:
        rows.append(Row("Usual dose", f"{_dose(filler)} by weight of resin", _grade(filler, "percent_high")))
    rows.append(
        Row("Packs to", f"{numbers.per_cent(filler.packing_limit)} of the volume", _grade(filler, "packing_limit"))
    )
    if filler.price_per_kg is not None:
        rows.append(Row("Price", f"{numbers.money(filler.price_per_kg)} per kg", _grade(filler, "price_per_kg")))
    return _one(filler, filler.kind, rows)


def plaster_report(plaster: PlasterPowder) -> Report:
    """One plaster with the grade and source of each of its figures."""
    usual = f"{plaster.consistency_low:g} to {plaster.consistency_high:g} usual"
    grade = _grade(plaster, "consistency")
    rows = [
        Row("Consistency", f"{plaster.consistency:g} of water to 100", "; ".join(filter(None, (usual, grade)))),
        Row("Powder", f"{plaster.powder_density_g_ml:g} g/ml", _grade(plaster, "powder_density_g_ml")),
    ]
    if plaster.setting_expansion is not None:
        expansion = f"{numbers.per_cent(plaster.setting_expansion)} linear"
        rows.append(Row("Grows", expansion, _grade(plaster, "setting_expansion")))
    if plaster.price_per_kg is not None:
        rows.append(Row("Price", f"{numbers.money(plaster.price_per_kg)} per kg", _grade(plaster, "price_per_kg")))
    return _one(plaster, "plaster", rows)


def _one(item: Filler | PlasterPowder, kind: str, rows: Sequence[Row]) -> Report:
    remarks = (item.note,) if item.note else ()
    section = Section("Figures", tuple(rows), remarks=remarks)
    title = f"{item.key}: {item.name}"
    line = f"{title}, {rows[0].value}."
    return Report(title, f"{kind}, shelf: {item.shelf}", (section,), line=line)


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
        line=(
            f"{resin.key}: {resin.name}, {ratio(resin)}, {resin.cured_density_g_ml:g} g/ml, "
            f"pot life {numbers.duration(resin.pot_life_s)}."
        ),
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


def _grade(item: Resin | Filler | PlasterPowder, field: str) -> str:
    grade = item.grades.get(field)
    return str(grade) if grade else ""


def shelf_document(shelf: Shelf) -> dict[str, Any]:
    """The shelf as one JSON object."""
    return {
        "resins": [resin_document(resin) for resin in shelf.resins.values()],
        "fillers": [item_document(filler) for filler in shelf.fillers.values()],
        "plasters": [item_document(plaster) for plaster in shelf.plasters.values()],
        "small_moulds": [
            {"key": mould.key, "name": mould.name, "volume_ml": mould.volume_ml, "count": mould.count}
            for mould in shelf.small_moulds.values()
        ],
        "warnings": warnings(shelf.notices),
    }


def item_document(item: Filler | PlasterPowder) -> dict[str, Any]:
    """One filler or plaster as a JSON object."""
    figures = {field.name: getattr(item, field.name) for field in fields(item) if field.name not in _NOT_TOLD}
    return {**figures, "grades": {field: str(grade) for field, grade in item.grades.items()}}


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

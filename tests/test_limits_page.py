"""What the page of limits says of the built-in shelf is what the shelf says of itself."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

import moldvol.materials
from moldvol.materials.grade import GRADE_NAMES
from tests.manual import ROOT

SHELVES = Path(moldvol.materials.__file__).parent / "shelves"
PAGE = (ROOT / "docs" / "limits.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| ([^|*]+?) \| (\d+) of (\d+) \| (\d+|–) \| (\d+|–) \| (\d+|–) \|$", PAGE, re.MULTILINE)
# What a row of the page counts: file of the shelf, its table, and the keys that state the figure.
FIGURES = {
    "ratio and densities of the parts": ("resins", "resin", {"parts"}),
    "density when cured": ("resins", "resin", {"cured_density_g_ml"}),
    "pot life": ("resins", "resin", {"pot_life_min"}),
    "gel time": ("resins", "resin", {"gel_time_min"}),
    "time to demould": ("resins", "resin", {"demould_min", "demould_h"}),
    "thickest section at once": ("resins", "resin", {"largest_section_mm"}),
    "price": ("resins", "resin", {"price_per_kg"}),
    "viscosity": ("resins", "resin", {"viscosity_mpas"}),
    "shrinkage": ("resins", "resin", {"shrinkage_percent"}),
    "whether it can be turned": ("resins", "resin", {"sets"}),
    "dose of a catalyst": ("resins", "resin", {"catalyst"}),
    "heat of reaction": ("resins", "resin", {"heat_of_reaction_j_g"}),
    "peak in a cup": ("resins", "resin", {"peak_c"}),
    "density of a filler's grain": ("fillers", "filler", {"density_g_ml"}),
    "largest dose of a filler": ("fillers", "filler", {"percent_high"}),
    "water to a plaster": ("sundries", "plaster", {"consistency"}),
    "density of a plaster's grain": ("sundries", "plaster", {"powder_density_g_ml"}),
}


def graded(shelf: str, table: str, keys: set[str]) -> tuple[Counter[str], int]:
    """How often each grade stands behind a figure, and how many entries there are."""
    entries: dict[str, Any] = tomllib.loads((SHELVES / f"{shelf}.toml").read_text(encoding="utf-8"))[table]
    found = (entry["grades"][key] for entry in entries.values() for key in keys & set(entry["grades"]))
    return Counter(grade.partition(":")[0] for grade in found), len(entries)


def test_every_row_is_counted() -> None:
    assert [row[0] for row in ROWS] == list(FIGURES)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_grades_are_those_of_the_shelf(row: tuple[str, ...]) -> None:
    grades, entries = graded(*FIGURES[row[0]])
    assert set(grades) <= set(GRADE_NAMES)
    counted = (grades["common practice"], grades["from memory"], grades["published"] + grades["standard"])
    assert row[1:] == (str(grades.total()), str(entries), *(str(number or "–") for number in counted))

"""What a sheet takes to the scale: under which name it is booked, and in how many cups."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from moldvol.casting.hollow_part import field_of
from moldvol.casting.learned_allowance import FEWEST_POURS, learned_allowance
from moldvol.casting.pour_book import PourBook, mould_made_from, mould_named_by
from moldvol.geometry.reading import read_mesh
from moldvol.materials.shelf import load_shelf
from moldvol.page.knobs import Asked
from moldvol.page.part import Part
from moldvol.page.session import Session
from moldvol.page.tellings import PLANS
from moldvol.page.told import Question, ToPour
from tests.page.hands import SAMPLES

pytestmark = pytest.mark.usefixtures("coarse_grids")

OWL = "owl_finial.stl"


@cache
def owl() -> Part:
    part = Part.made(read_mesh(SAMPLES / OWL), Asked(), lambda *_: None)
    part.field = field_of(part.solid, interior_points=10_000)
    return part


def pours(tab: str, asked: Asked) -> tuple[ToPour, ...]:
    return PLANS[tab](Question(owl(), asked, load_shelf(), lambda *_: None)).pours


@pytest.mark.parametrize("tab", ["solid", "hollow", "holds"])
def test_casts_are_booked_under_the_mould_s_name(tab: str) -> None:
    assert {pour.mould for pour in pours(tab, Asked())} == {mould_named_by(OWL)}


@pytest.mark.parametrize("style", ["block", "glove", "poured-over"])
def test_rubber_is_booked_for_the_mould_itself_as_on_the_command_line(style: str) -> None:
    assert {pour.mould for pour in pours("mould", Asked(style=style))} == {mould_made_from(OWL)}  # type: ignore[arg-type]


def test_rubber_poured_for_a_mould_teaches_nothing_of_casts_in_it(tmp_path: Path) -> None:
    book, session = PourBook(tmp_path / "pours.sqlite3"), Session("key")
    (rubber,) = pours("mould", Asked())
    for _ in range(FEWEST_POURS):
        session.begin_pour(rubber)
        pour = session.pour
        assert pour is not None
        while pour.current is not None:
            pour.tick()
        pour.empty_cup()
        book.add(pour.for_the_book())
    assert learned_allowance(book, mould=mould_named_by(OWL), resin="slow-urethane").pours == 0
    assert learned_allowance(book, mould=mould_made_from(OWL)).pours == FEWEST_POURS


def test_a_coat_is_one_cup_however_small_the_pot() -> None:
    """As on the command line, where a hollow cast knows no pots: a coat must be in the mould before the next."""
    coats, cast = pours("hollow", Asked(pot_ml=20.0)), pours("solid", Asked(pot_ml=20.0))
    assert [len(coat.cups) for coat in coats] == [1, 1]
    assert [coat.planned_g for coat in coats] == [coat.planned_g for coat in pours("hollow", Asked())]
    assert len(cast[0].cups) > 1
    assert cast[0].planned_g > pours("solid", Asked())[0].planned_g  # what stays in the pots comes on top


def test_rubber_is_weighed_in_the_pots_of_the_sheet() -> None:
    (rubber,) = pours("mould", Asked(pot_ml=100.0))
    assert len(rubber.cups) > 1

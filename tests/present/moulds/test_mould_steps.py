"""The steps of a mould: what comes before the weigh-out, and nothing that the tables tell already."""

from __future__ import annotations

import pytest

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.jacket import JacketRequest
from moldvol.casting.mould.plan import plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.materials.shelf import load_shelf
from moldvol.present.moulds.mould_steps import steps
from moldvol.present.numbers import Units
from moldvol.present.report import Step
from tests import shapes
from tests.casting.test_fill import solid

pytestmark = pytest.mark.usefixtures("coarse_grids")

PLATE = solid(shapes.box(60, 40, 20).mesh)
LONGEST_AMOUNT = 9  # letters that stand large beside a step on paper


def told(units: Units = Units.METRIC, **asked: object) -> tuple[Step, ...]:
    mix = MixRequest(resin=load_shelf().resins["tin-silicone"])
    return steps(plan_mould(PLATE, MouldRequest(mix=mix, **asked)), units)


def words(found: tuple[Step, ...]) -> str:
    return "\n".join(step.what for step in found)


def test_two_halves_are_bedded_turned_and_poured_twice():
    found = told(parts=2)
    assert "Bed the master in clay up to the parting, about 10 mm above its foot" in words(found)
    assert [step.what.partition(":")[0] for step in found if step.amount] == ["First half", "Second half"]
    assert "Turn it over" in words(found) and "Cut the block open" not in words(found)


def test_a_closed_block_is_cut_open():
    assert "Hold the master by its sprue, 12 mm free on every side" in words(told())
    assert "Cut the block open" in words(told())


def test_a_glove_has_its_coats_in_the_table_alone():
    found = told(style="glove", jacket=JacketRequest(kind="none"))
    assert "coat" not in words(found).casefold() and "jacket" not in words(found)
    assert "Build the jacket" in words(told(style="glove"))


def test_the_jacket_comes_first_where_rubber_is_poured_under_it():
    found = told(style="poured-over")
    assert any("Lay 8 mm of clay" in step.what for step in found if step.before)


@pytest.mark.parametrize("units", list(Units))
def test_amounts_are_short_and_what_comes_before_comes_first(units):
    found = told(units, parts=2, clearance_mm=80)
    assert all(len(step.amount) <= LONGEST_AMOUNT for step in found)
    before = [step.before for step in found]
    assert before == sorted(before, reverse=True)

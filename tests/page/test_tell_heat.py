"""The heat tab tells the same heat as the command line."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from moldvol.casting.hollow_part import field_of
from moldvol.geometry.reading import read_mesh
from moldvol.materials.shelf import load_shelf
from moldvol.page.knobs import Asked
from moldvol.page.part import Part
from moldvol.page.tellings import PLANS
from moldvol.page.told import Plan, Question

pytestmark = pytest.mark.usefixtures("coarse_heat")

HAND = Path(__file__).parents[2] / "sample_meshes" / "puppet_hand.stl"


@cache
def hand() -> Part:
    part = Part.made(read_mesh(HAND), Asked(), lambda *_: None)
    part.field = field_of(part.solid, interior_points=10_000)
    return part


def told(resin: str, **asked: Any) -> Plan:
    return PLANS["heat"](Question(hand(), Asked(resin=resin, **asked), load_shelf(), lambda *_: None))


def test_the_tab_says_how_hot_and_draws_it() -> None:
    plan = told("fast-urethane")
    assert plan.report.sections[0].heading == "How hot"
    assert any("estimate" in warning for warning in plan.report.warnings)
    assert len(plan.plots()) == 2


def test_a_hollow_cast_in_another_mould_is_told_as_such() -> None:
    plan = told("fast-urethane", heat_cast="hollow", wall_mm=2.0, heat_mould="plaster", bench_c=25.0)
    first = plan.report.sections[0].rows[0]
    assert "hollow, wall 2 mm" in first.value
    assert "25 °C" in first.remark

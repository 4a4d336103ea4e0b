"""The heat tab tells the same heat as the command line."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from moldvol.casting.hollow_part import field_of
from moldvol.geometry.reading import read_mesh
from moldvol.materials.shelf import load_shelf
from moldvol.page.knobs import Asked
from moldvol.page.part import Part
from moldvol.page.tellings import PLANS
from moldvol.page.told import Plan, Question

HAND = Path(__file__).parents[2] / "sample_meshes" / "puppet_hand.stl"


@cache
def hand() -> Part:
    part = Part.made(read_mesh(HAND), Asked(), lambda *_: None)
    part.field = field_of(part.solid, interior_points=10_000)
    return part


def told(resin: str) -> Plan:
    return PLANS["heat"](Question(hand(), Asked(resin=resin), load_shelf(), lambda *_: None))


def test_the_tab_says_how_hot_and_draws_it() -> None:
    plan = told("fast-urethane")
    assert plan.report.sections[0].heading == "How hot"
    assert any("estimate" in warning for warning in plan.report.warnings)
    assert len(plan.plots()) == 2

"""Parts of a shelf entry whose ratio follows from the figures of a data sheet."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from moldvol.errors import ShelfError
from moldvol.materials.grade import Grade
from moldvol.materials.reading.entries import resin_of
from moldvol.materials.reading.shelf_file import Place
from moldvol.materials.resin import Part, Resin

EPOXY = 'kind = "epoxy"\ncured_density_g_ml = 1.12\npot_life_min = 40\n'
ROUNDED = 0.05  # the printed figure reckons with 4200 and 56 100, which are rounded
URETHANE = 'kind = "polyurethane"\ncured_density_g_ml = 1.05\npot_life_min = 4\n'


def entry(text: str) -> Resin:
    values: dict[str, Any] = tomllib.loads(text)
    return resin_of(values, Place("my.toml", "resin", "mine"))


def wrong(text: str) -> str:
    with pytest.raises(ShelfError) as raised:
        entry(text)
    return str(raised.value).removeprefix("my.toml, resin.mine, ")


def test_an_epoxy_by_its_equivalent_weights() -> None:
    resin = entry(EPOXY + "eew = 190\nahew = 43")
    assert resin.parts == (
        Part(name="resin", by_weight=100),
        Part(name="hardener", by_weight=pytest.approx(100 * 43 / 190)),
    )
    assert resin.grade_of("parts") == Grade("own figure", "EEW 190, AHEW 43")


def test_a_urethane_by_oh_value_nco_and_index() -> None:
    resin = entry(URETHANE + "oh_value = 400\nnco_percent = 31.5\nindex = 1.05")
    assert resin.parts[1].by_weight == pytest.approx(99.82, abs=ROUNDED)
    assert entry(URETHANE.replace("polyurethane", "foam") + "oh_value = 400\nnco_percent = 31.5").kind == "foam"


def test_parts_may_still_be_named_and_weighed() -> None:
    named = 'parts = [{name = "base", density_g_ml = 1.15}, {name = "amine", density_g_ml = 0.95}]\n'
    resin = entry(EPOXY + named + "eew = 190\nahew = 43")
    assert [(part.name, part.density_g_ml) for part in resin.parts] == [("base", 1.15), ("amine", 0.95)]


def test_the_ratio_is_as_good_as_its_figures() -> None:
    resin = entry(EPOXY + 'eew = 190\nahew = 43\n[grades]\neew = "data sheet: 2025"')
    assert resin.grade_of("parts") == Grade("data sheet", "EEW 190, AHEW 43")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (EPOXY, "parts: this key is missing; add it."),
        (EPOXY + "eew = 190", "eew: the EEW alone makes no ratio; give the AHEW too."),
        (EPOXY + "index = 1.05", "index: an index of 1.05 needs an OH value and an NCO content; give both."),
        (
            EPOXY + "eew = 190\nahew = 43\noh_value = 4\nnco_percent = 30",
            "eew: EEW and AHEW are for an epoxy, OH value and NCO for a polyurethane; give one pair.",
        ),
        (
            URETHANE + "eew = 190\nahew = 43",
            "eew: only for a resin of the kind epoxy, not polyurethane; give its parts instead.",
        ),
        (
            EPOXY + "oh_value = 400\nnco_percent = 30",
            "oh_value: only for a resin of the kind polyurethane or a foam, not epoxy; give its parts instead.",
        ),
        (
            EPOXY + 'parts = [{name = "a", by_weight = 2}, {name = "b"}]\neew = 190\nahew = 43',
            "parts 1: the ratio follows from EEW 190, AHEW 43 already; remove one of the two.",
        ),
        (
            EPOXY + 'parts = [{name = "a"}]\neew = 190\nahew = 43',
            "parts: two parts are expected with EEW 190, AHEW 43, not 1; name resin and hardener.",
        ),
        (
            EPOXY + 'parts = [{name = "a"}, {name = "A"}]\neew = 190\nahew = 43',
            "parts: every part needs a name of its own, not a, a; rename one.",
        ),
        (
            EPOXY + "eew = 4\nahew = 43",
            "eew: the epoxide equivalent weight (EEW) in g is 4; give a number from 40 to 10000.",
        ),
        (EPOXY + "eew = -190\nahew = 43", "eew: a number above 0 is expected, not -190; correct it."),
    ],
)
def test_figures_that_make_no_ratio(text: str, said: str) -> None:
    assert wrong(text) == said

"""A ratio from a data sheet takes the place of the shelf's, and of nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from moldvol.errors import RequestError
from moldvol.materials.chemistry.own_ratio import parts_from_figures, with_parts
from moldvol.materials.chemistry.stoichiometry import epoxy_parts, urethane_parts
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.ratio import mass_shares


def first_of(kind: str):
    return next(resin for resin in load_shelf().resins.values() if resin.kind == kind)


def test_an_epoxy_by_its_equivalents() -> None:
    shelf_resin = first_of("epoxy")
    own = with_parts(shelf_resin, epoxy_parts(eew=190, ahew=43))
    assert [part.name for part in own.parts] == ["resin", "hardener"]
    assert mass_shares(own)[1] == pytest.approx(43 / (190 + 43))
    assert str(own.grade_of("parts")) == "own figure: EEW 190, AHEW 43"
    assert replace(own, parts=shelf_resin.parts, grades=shelf_resin.grades) == shelf_resin


@pytest.mark.parametrize("kind", ["polyurethane", "foam"])
def test_a_polyurethane_by_its_values(kind: str) -> None:
    own = with_parts(first_of(kind), urethane_parts(oh_value=400, nco_percent=31.5, index=105))
    assert [part.name for part in own.parts] == ["polyol", "isocyanate"]
    assert own.parts[1].by_weight == pytest.approx(99.8, abs=0.1)


def test_figures_of_another_kind_are_refused() -> None:
    silicone = first_of("silicone")
    with pytest.raises(RequestError) as refusal:
        with_parts(silicone, epoxy_parts(eew=190, ahew=43))
    assert str(refusal.value) == (
        f"{silicone.name} is silicone, and EEW 190, AHEW 43 belongs to an epoxy; choose another resin."
    )


def test_no_figures_no_ratio() -> None:
    assert parts_from_figures() is None


def test_either_pair_makes_a_ratio() -> None:
    assert parts_from_figures(eew=190, ahew=43) == epoxy_parts(eew=190, ahew=43)
    assert parts_from_figures(oh_value=80, nco_percent=23.1) == urethane_parts(oh_value=80, nco_percent=23.1)
    with_index = parts_from_figures(oh_value=80, nco_percent=23.1, index=105)
    assert with_index == urethane_parts(oh_value=80, nco_percent=23.1, index=1.05)


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        ({"eew": 190}, "The EEW alone makes no ratio; give the AHEW too."),
        ({"nco_percent": 31}, "The NCO content alone makes no ratio; give the OH value too."),
        ({"index": 105}, "An index of 105 needs an OH value and an NCO content; give both."),
        (
            {"eew": 190, "ahew": 43, "oh_value": 80, "nco_percent": 23},
            "EEW and AHEW are for an epoxy, OH value and NCO for a polyurethane; give one pair.",
        ),
    ],
)
def test_half_a_pair_is_refused(figures: dict[str, float], sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        parts_from_figures(**figures)
    assert str(refusal.value) == sentence

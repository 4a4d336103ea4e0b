"""Ratios from data-sheet figures: laws that hold for any figures, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.chemistry.stoichiometry import (
    WATER_EQUIVALENT_G,
    active_hydrogen_equivalent_g,
    blend_eew,
    carbon_dioxide_ml,
    epoxy_parts,
    index_as_ratio,
    isocyanate_equivalent_g,
    polyol_equivalent_g,
    urethane_parts,
)

ROUNDING = 1e-12  # the same few multiplications in another order

oh_values = st.floats(20, 1800)
nco_contents = st.floats(3, 48)
indices = st.floats(0.8, 3.0)
weights = st.floats(0.1, 1000)


@given(oh_value=oh_values, nco_percent=nco_contents, index=indices)
def test_equivalents_match(oh_value: float, nco_percent: float, index: float) -> None:
    mix = urethane_parts(oh_value=oh_value, nco_percent=nco_percent, index=index)
    isocyanate = mix.hardener_per_100 / isocyanate_equivalent_g(nco_percent)
    assert isocyanate == pytest.approx(index * 100 / polyol_equivalent_g(oh_value), rel=ROUNDING)


@given(oh_value=oh_values, nco_percent=nco_contents, water=st.floats(0, 5))
def test_water_asks_for_what_it_uses_up(oh_value: float, nco_percent: float, water: float) -> None:
    dry = urethane_parts(oh_value=oh_value, nco_percent=nco_percent)
    wet = urethane_parts(oh_value=oh_value, nco_percent=nco_percent, water_percent=water)
    extra = water / WATER_EQUIVALENT_G * isocyanate_equivalent_g(nco_percent)
    assert wet.hardener_per_100 == pytest.approx(dry.hardener_per_100 + extra, rel=ROUNDING)


def test_acid_value_counts_like_oh() -> None:
    assert polyol_equivalent_g(50, acid_value=6) == polyol_equivalent_g(56)


@pytest.mark.parametrize(("typed", "ratio"), [(0.5, 0.5), (1.0, 1.0), (5.0, 5.0), (50, 0.5), (100, 1.0), (500, 5.0)])
def test_index_is_read_as_ratio_or_per_cent(typed: float, ratio: float) -> None:
    assert index_as_ratio(typed) == pytest.approx(ratio)


@pytest.mark.parametrize("typed", [0, -1, 0.4, 7, 49, 501, float("nan")])
def test_an_index_that_is_neither_is_refused(typed: float) -> None:
    with pytest.raises(RequestError) as refusal:
        index_as_ratio(typed)
    assert str(refusal.value) == f"The index is {typed:g}; give it like 1.05 or 105."


def test_an_unusual_index_is_remarked_on() -> None:
    codes = [
        [notice.code for notice in urethane_parts(oh_value=80, nco_percent=23.1, index=index).notices]
        for index in (0.8, 1.0, 1.5)
    ]
    assert codes == [["index-low"], [], ["index-high"]]


def test_water_is_remarked_on_with_its_gas() -> None:
    (notice,) = urethane_parts(oh_value=80, nco_percent=23.1, water_percent=0.1).notices
    assert notice.message == "The water in 1 kg of this polyol sets free 1.3 litres of gas: a foam."


@given(eew=st.floats(100, 1000), ahew=st.floats(10, 300))
def test_epoxides_meet_as_many_hydrogens(eew: float, ahew: float) -> None:
    resin, hardener = epoxy_parts(eew=eew, ahew=ahew).parts
    assert resin / eew == pytest.approx(hardener / ahew, rel=ROUNDING)


@given(st.lists(st.tuples(weights, st.floats(100, 1000)), min_size=1, max_size=6), weights)
def test_a_blend_lies_between_its_resins_and_filler_raises_it(
    portions: list[tuple[float, float]], filler_g: float
) -> None:
    eews = [eew for _, eew in portions]
    blend = blend_eew(portions)
    assert min(eews) * (1 - ROUNDING) <= blend <= max(eews) * (1 + ROUNDING)
    assert blend_eew([*portions, (filler_g, None)]) > blend


def test_a_blend_without_epoxy_is_refused() -> None:
    with pytest.raises(RequestError) as refusal:
        blend_eew([(10, None)])
    assert str(refusal.value) == "The blend holds no epoxy; give at least one portion its EEW."


@given(st.floats(0, 100), st.floats(-10, 60))
def test_gas_grows_with_water_and_warmth(water_g: float, temperature_c: float) -> None:
    here = carbon_dioxide_ml(water_g, temperature_c=temperature_c)
    assert carbon_dioxide_ml(2 * water_g, temperature_c=temperature_c) == pytest.approx(2 * here, rel=ROUNDING)
    assert carbon_dioxide_ml(water_g, temperature_c=temperature_c + 1) >= here


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: isocyanate_equivalent_g(0),
            "The NCO content in per cent is 0; give a number from 0.1 to 60.",
        ),
        (lambda: polyol_equivalent_g(0), "The OH value in mg KOH/g is 0; give a number from 1 to 6300."),
        (
            lambda: epoxy_parts(eew=0.5, ahew=43),
            "The epoxide equivalent weight (EEW) in g is 0.5; give a number from 40 to 10000.",
        ),
        (
            lambda: epoxy_parts(eew=190, ahew=0),
            "The active-hydrogen equivalent weight (AHEW) in g is 0; give a number from 7 to 2000.",
        ),
        (lambda: carbon_dioxide_ml(-1), "The mass of water in g is -1; give 0 or more."),
        (
            lambda: active_hydrogen_equivalent_g(146.2, 0),
            "The number of active hydrogens is 0; give a number above 0.",
        ),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

"""Glass and resin over an area: masses and thickness agree, ounces say per what, heat is let out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.mixtures.laminate import (
    LayUp,
    gel_coat_mass_g,
    glass_share,
    laminate,
    layer_thickness_mm,
    layers_for_thickness,
    parse_areal_weight_g_m2,
)

ROUNDING = 1e-12
ratios = st.floats(0.5, 5)
mats = st.lists(st.floats(100, 900), min_size=1, max_size=9).map(tuple)


def density_g_ml(lay_up: LayUp) -> float:
    """Of glass and resin whose volumes add."""
    glass = glass_share(lay_up)
    return 1 / (glass / lay_up.glass_g_ml + (1 - glass) / lay_up.resin_g_ml)


@given(st.floats(1e3, 1e8), mats, ratios)
def test_mass_is_thickness_times_density(area_mm2: float, layers: tuple[float, ...], ratio: float) -> None:
    lay_up = LayUp(resin_ratio=ratio)
    made = laminate(area_mm2, layers, lay_up)
    volume_ml = area_mm2 * made.laminate_mm / 1000
    assert made.mat_g + made.resin_g == pytest.approx(volume_ml * density_g_ml(lay_up), rel=ROUNDING)
    assert made.mat_g / (made.mat_g + made.resin_g) == pytest.approx(glass_share(lay_up), rel=ROUNDING)


@given(mats, st.integers(1, 5))
def test_sessions_make_up_the_whole(layers: tuple[float, ...], at_once: int) -> None:
    made = laminate(1e6, layers, LayUp(layers_at_once=at_once, gel_coat_mm=0))
    assert sum((session.mats_g_m2 for session in made.sessions), ()) == layers
    assert max(len(session.mats_g_m2) for session in made.sessions) <= at_once
    assert sum(session.catalyst_g for session in made.sessions) == pytest.approx(made.catalyst_g, rel=ROUNDING)


@given(st.floats(0.6, 30), st.floats(100, 900), ratios)
def test_as_many_layers_as_needed_and_no_more(thickness_mm: float, mat: float, ratio: float) -> None:
    lay_up = LayUp(resin_ratio=ratio)
    layers = layers_for_thickness(thickness_mm, mat, lay_up)
    each = layer_thickness_mm(mat, lay_up)
    slack = 1e-6
    assert layers * each + lay_up.gel_coat_mm >= thickness_mm - slack
    assert layers == 1 or (layers - 1) * each + lay_up.gel_coat_mm < thickness_mm + slack


def test_a_thickness_reached_exactly_needs_no_further_mat() -> None:
    lay_up = LayUp(gel_coat_mm=0)
    assert layers_for_thickness(3 * layer_thickness_mm(450, lay_up), 450, lay_up) == 3


# Arithmetic: w/2.56 + w × ratio/1.20, worked out apart.
@pytest.mark.parametrize(
    ("mat", "ratio", "thickness_mm"),
    [(225, 2.0, 0.463), (300, 2.0, 0.617), (450, 2.0, 0.926), (600, 2.5, 1.484), (225, 2.5, 0.557)],
)
def test_layer_thickness(mat: float, ratio: float, thickness_mm: float) -> None:
    assert layer_thickness_mm(mat, LayUp(resin_ratio=ratio)) == pytest.approx(thickness_mm, abs=6e-4)


@pytest.mark.parametrize(
    ("typed", "g_m2"),
    [
        ("450", 450), ("450 g/m2", 450), ("450gsm", 450), ("450g/m²", 450), ("0,45 kg/m^2", 450),
        ("3/4oz/ft2", 228.86), ("1oz/ft²", 305.15), ("1 1/2 oz / sq ft", 457.73), ("2oz/ft2", 610.30),
        ("10oz/yd2", 339.06),
    ],
)  # fmt: skip
def test_mats_are_read_as_sold(typed: str, g_m2: float) -> None:
    assert parse_areal_weight_g_m2(typed) == pytest.approx(g_m2, abs=0.005)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("1.5oz", "'1.5oz' does not say per what; write oz/ft2 for mat or oz/yd2 for cloth."),
        ("thick", "'thick' is not a mat's weight by area; write it like 450, 450g/m2 or 1.5oz/ft2."),
        ("0", "'0' weighs nothing; write a mat like 450, 450g/m2 or 1.5oz/ft2."),
        ("nan", "'nan' weighs nothing; write a mat like 450, 450g/m2 or 1.5oz/ft2."),
        ("fat/m2", "'fat' is not a mass; write it like 250g, 0.5kg or 2lb."),
    ],
)
def test_other_weights_are_refused(typed: str, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        parse_areal_weight_g_m2(typed)
    assert str(refusal.value) == sentence


def test_heat_is_remarked_on_from_the_second_session() -> None:
    assert laminate(1e6, (450,) * 3, LayUp()).notices == ()
    (notice,) = laminate(1e6, (450,) * 5, LayUp()).notices
    assert notice.message == "Lay up at most 3 mats wet on wet, then let them set and cool: 2 sessions in all."


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: laminate(1e6, (), LayUp()),
            "A laminate needs at least one mat; give their weights like 300,450,450.",
        ),
        (lambda: laminate(0, (450,), LayUp()), "The area in mm² is 0; give a number above 0."),
        (lambda: laminate(1, (0,), LayUp()), "The weight of the mat in g/m² is 0; give a number above 0."),
        (lambda: gel_coat_mass_g(-1, LayUp()), "The area in mm² is -1; give 0 or more."),
        (
            lambda: LayUp(resin_ratio=0),
            "The ratio of resin to mat by weight is 0; give a number from 0.3 to 10.",
        ),
        (lambda: LayUp(layers_at_once=0), "The number of layers laid up at once is 0; give a number from 1 to 10."),
        (
            lambda: LayUp(glass_g_ml=0),
            "The density of a part of the laminate in g/ml is 0; give a number above 0.",
        ),
        (
            lambda: layers_for_thickness(0, 450, LayUp()),
            "The thickness of the jacket in mm is 0; give a number above 0.",
        ),
    ],
)
def test_impossible_figures_are_refused(call, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        call()
    assert str(refusal.value) == sentence

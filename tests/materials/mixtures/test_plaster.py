"""Slurry by consistency: what goes in comes out, thicker is heavier, and too little water is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.errors import RequestError
from moldvol.materials.mixtures.plaster import (
    plaster_adiabatic_rise_c,
    plaster_for_bag,
    plaster_for_volume,
)

ROUNDING = 1e-12
consistencies = st.floats(19, 150)


@given(st.floats(1, 1e8), consistencies)
def test_mass_and_volume_are_kept(volume_mm3: float, consistency: float) -> None:
    mix = plaster_for_volume(volume_mm3, consistency)
    assert mix.slurry_volume_mm3 == pytest.approx(volume_mm3, rel=ROUNDING)
    assert mix.water_g / mix.plaster_g == pytest.approx(consistency / 100, rel=ROUNDING)
    assert mix.wet_mass_g == pytest.approx(mix.wet_density_g_ml * volume_mm3 / 1000, rel=ROUNDING)
    assert mix.dry_mass_g == pytest.approx(mix.dry_density_g_ml * volume_mm3 / 1000, rel=ROUNDING)


@given(st.floats(1, 1e8), consistencies)
def test_a_bag_fills_the_volume_it_was_weighed_for(volume_mm3: float, consistency: float) -> None:
    mix = plaster_for_volume(volume_mm3, consistency)
    assert plaster_for_bag(mix.plaster_g, consistency).slurry_volume_mm3 == pytest.approx(volume_mm3, rel=ROUNDING)


@given(consistencies, st.floats(0.1, 20))
def test_more_water_makes_it_lighter_and_cooler(consistency: float, more: float) -> None:
    thick, thin = (plaster_for_volume(1e6, water) for water in (consistency, min(consistency + more, 150)))
    assert thin.wet_density_g_ml <= thick.wet_density_g_ml
    assert thin.dry_density_g_ml <= thick.dry_density_g_ml
    assert thin.adiabatic_rise_c <= thick.adiabatic_rise_c


def test_with_only_the_bound_water_wet_is_dry() -> None:
    mix = plaster_for_volume(1e6, 18.62)
    assert mix.wet_density_g_ml == pytest.approx(mix.dry_density_g_ml, rel=1e-4)


# Worked out by hand from the volume model with a powder of 2.65 g/ml: 1e6 mm³ over 100/2.65 + C/0.998 (arithmetic).
@pytest.mark.parametrize(
    ("consistency", "plaster_g", "water_g", "wet", "dry"),
    [(30, 1475, 443, 1.918, 1.750), (50, 1138, 569, 1.708, 1.350), (90, 782, 704, 1.485, 0.927)],
)
def test_a_litre_of_slurry(consistency: float, plaster_g: float, water_g: float, wet: float, dry: float) -> None:
    mix = plaster_for_volume(1e6, consistency, plaster_g_ml=2.65)
    assert (round(mix.plaster_g), round(mix.water_g)) == (plaster_g, water_g)
    assert (mix.wet_density_g_ml, mix.dry_density_g_ml) == pytest.approx((wet, dry), abs=0.0006)


def test_heat_is_always_said() -> None:
    (notice,) = plaster_for_volume(1e6, 50).notices
    assert notice.message == (
        "Setting plaster can grow 51 °C hotter than the room and burn: never enclose a hand or limb in it."
    )
    assert plaster_adiabatic_rise_c(50) == pytest.approx(50.9, abs=0.05)


def test_thin_slurry_is_remarked_on() -> None:
    assert [notice.code for notice in plaster_for_volume(1e6, 120).notices] == ["plaster-heat", "plaster-weak"]


@pytest.mark.parametrize("consistency", [0, 18, 151, float("nan")])
def test_a_consistency_that_cannot_be_is_refused(consistency: float) -> None:
    with pytest.raises(RequestError) as refusal:
        plaster_for_volume(1e6, consistency)
    assert str(refusal.value) == (
        f"The water to 100 parts of plaster is {consistency:g}; give a number from 18.62 to 150."
    )


def test_a_negative_amount_and_a_weightless_powder_are_refused() -> None:
    with pytest.raises(RequestError, match=r"^The volume of slurry in mm³ is -1; give 0 or more\.$"):
        plaster_for_volume(-1, 70)
    with pytest.raises(RequestError, match=r"^The mass of plaster in g is -1; give 0 or more\.$"):
        plaster_for_bag(-1, 70)
    with pytest.raises(
        RequestError, match=r"^The density of the plaster powder in g/ml is 0; give a number above 0\.$"
    ):
        plaster_for_volume(1e6, 70, plaster_g_ml=0)

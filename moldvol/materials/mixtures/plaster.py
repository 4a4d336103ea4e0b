"""Plaster and water for a volume of slurry, by consistency: parts of water to 100 parts of plaster by weight.

The set plaster keeps the slurry's volume but for a setting expansion of 0.05 to 0.3 % (from memory), which is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.materials.bounds import between, not_negative, positive
from moldvol.notices import Notice

# Hemihydrate. Handbooks give 2.63 to 2.76; 2.70 fits a published table of pottery plaster: at consistency 70,
# 99 lb/ft³ wet and 69 dry.
HEMIHYDRATE_G_ML = 2.70
WATER_G_ML = 0.998  # at 21 °C
HEMIHYDRATE_G_PER_MOL = 145.148
WATER_G_PER_MOL = 18.015
# β-hemihydrate and 1.5 water to dihydrate, 19.2 kJ/mol by standard enthalpies of formation (from memory).
SETTING_HEAT_J_G = 132.5
SET_GYPSUM_J_G_K = 1.09
WATER_J_G_K = 4.18

HIGHEST_CONSISTENCY = 150.0

# Water to 100 of plaster by weight: (low, high). The stones are textbook figures, the rest common practice.
USUAL_CONSISTENCY = {
    "casting plaster": (65.0, 75.0),
    "model plaster": (40.0, 50.0),
    "dental stone": (25.0, 30.0),
    "die stone": (19.0, 24.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlasterMix:
    """What to weigh for a slurry, and what it weighs: wet when poured, dry when all free water has gone."""

    consistency: float
    slurry_volume_mm3: float
    plaster_g: float
    water_g: float
    wet_density_g_ml: float
    dry_density_g_ml: float
    adiabatic_rise_c: float
    notices: tuple[Notice, ...] = ()

    @property
    def wet_mass_g(self) -> float:
        """The slurry: plaster and water."""
        return self.plaster_g + self.water_g

    @property
    def dry_mass_g(self) -> float:
        """Mass when dry: the plaster and the water bound in it."""
        return self.plaster_g * (1 + hydration_water_percent() / 100)


def hydration_water_percent() -> float:
    """Water bound by 100 parts of hemihydrate when it sets, in parts by weight.

    Method: CaSO4·½H2O + 1½ H2O gives CaSO4·2H2O, with standard atomic weights.

    >>> round(hydration_water_percent(), 2)
    18.62
    """
    return 100 * 1.5 * WATER_G_PER_MOL / HEMIHYDRATE_G_PER_MOL


def plaster_for_volume(volume_mm3: float, consistency: float, *, plaster_g_ml: float = HEMIHYDRATE_G_ML) -> PlasterMix:
    """Plaster and water that make *volume_mm3* of slurry at *consistency*.

    Raises `RequestError` for a volume below zero and for less water than setting takes up.

    Method: volumes add, 100 parts fill 100/ρ_plaster + consistency/ρ_water; entrapped air is left out.
    Error: ±1 % of a published table at consistency 70; an old potter's rule of thumb says 6 % less (see the checks).

    >>> mix = plaster_for_volume(1e6, 70)
    >>> round(mix.plaster_g), round(mix.water_g)
    (933, 653)
    """
    per_100_mm3 = _slurry_mm3_per_100_g(consistency, plaster_g_ml)
    return _mix(100 * not_negative(volume_mm3, "volume of slurry in mm³") / per_100_mm3, consistency, per_100_mm3)


def plaster_for_bag(plaster_g: float, consistency: float, *, plaster_g_ml: float = HEMIHYDRATE_G_ML) -> PlasterMix:
    """Water for the *plaster_g* at hand, and the volume they make; method and raises as `plaster_for_volume`."""
    per_100_mm3 = _slurry_mm3_per_100_g(consistency, plaster_g_ml)
    return _mix(not_negative(plaster_g, "mass of plaster in g"), consistency, per_100_mm3)


def plaster_adiabatic_rise_c(consistency: float) -> float:
    """How much hotter plaster gets when none of its heat escapes, in °C: the ceiling for a thick pour.

    Method: heat of hydration over the heat taken up by set gypsum and free water.

    >>> round(plaster_adiabatic_rise_c(70), 1)
    38.5
    """
    bound = hydration_water_percent()
    free = _checked_consistency(consistency) - bound
    return 100 * SETTING_HEAT_J_G / ((100 + bound) * SET_GYPSUM_J_G_K + free * WATER_J_G_K)


def _checked_consistency(consistency: float) -> float:
    return between(
        consistency, round(hydration_water_percent(), 2), HIGHEST_CONSISTENCY, "water to 100 parts of plaster"
    )


def _slurry_mm3_per_100_g(consistency: float, plaster_g_ml: float) -> float:
    plaster_cm3 = 100 / positive(plaster_g_ml, "density of the plaster powder in g/ml")
    return 1000 * (plaster_cm3 + _checked_consistency(consistency) / WATER_G_ML)


def _mix(plaster_g: float, consistency: float, slurry_mm3_per_100_g: float) -> PlasterMix:
    rise_c = plaster_adiabatic_rise_c(consistency)
    return PlasterMix(
        consistency=consistency,
        slurry_volume_mm3=plaster_g / 100 * slurry_mm3_per_100_g,
        plaster_g=plaster_g,
        water_g=plaster_g * consistency / 100,
        wet_density_g_ml=1000 * (100 + consistency) / slurry_mm3_per_100_g,
        dry_density_g_ml=1000 * (100 + hydration_water_percent()) / slurry_mm3_per_100_g,
        adiabatic_rise_c=rise_c,
        notices=(_burns(rise_c), *_weak(consistency)),
    )


def _burns(rise_c: float) -> Notice:
    return Notice(
        "plaster-heat",
        f"Setting plaster can grow {rise_c:.0f} °C hotter than the room and burn: never enclose a hand or limb in it.",
    )


def _weak(consistency: float) -> tuple[Notice, ...]:
    if consistency <= 100:
        return ()
    return (Notice("plaster-weak", f"With {consistency:g} parts of water to 100 the plaster sets soft and chalky."),)

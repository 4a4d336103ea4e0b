"""Densities, ratios and catalyst, held against printed examples and sums done by hand."""

from __future__ import annotations

from functools import partial

from moldvol.casting.mixing.mix import MixPlan, plan_mix
from moldvol.materials.mixtures.additions import Addition, mixed_density_g_ml, volume_shares
from moldvol.materials.weighing.ratio import short_if_weighed, split, volume_ratio, weight_ratio
from tests.bench import TENTH, polyester, powder, urethane
from tests.verification.checks import Check, Grade, Group, rel, within
from tests.verification.held import each_holds

ASKELAND = "Askeland, The Science and Engineering of Materials, 4th ed. (2003), ch. 16"
CARBIDE = [(75, 15.77), (15, 4.94), (5, 14.50), (5, 8.90)]  # WC, TiC, TaC, Co: per cent by weight, g/cm³
SILVER_G = (1 - 14.5 / 19.3) * 10.49  # in each cm³ of a tungsten compact of 14.5 g/cm³, solid 19.3
TUNGSTEN = [(SILVER_G, 10.49), (14.5, 19.3)]

printed = partial(Check, grade=Grade.PRINTED, source=ASKELAND)
by_hand = partial(Check, grade=Grade.ARITHMETIC)


def filled(
    resin: tuple[float, float], filler: tuple[float, float], density_g_ml: float, share: float, sum_by_hand: str
) -> tuple[Check, Check]:
    """Grams and g/ml of resin and filler; the density of their mix and the filler's share of its volume."""
    portions = [resin, filler]
    name = f"{resin[0]:g} g of {resin[1]:.2f} g/ml filled with {filler[0]:g} g of {filler[1]:.2f}"
    return (
        by_hand(
            name=f"{name}: density",
            source=sum_by_hand,
            expected=density_g_ml,
            unit="g/ml",
            got=lambda: mixed_density_g_ml(portions),
            allowed=rel(1e-5),
        ),
        by_hand(
            name=f"{name}: share of filler by volume",
            source=sum_by_hand,
            expected=share,
            got=lambda: volume_shares(portions)[1],
            allowed=within(5e-6),
        ),
    )


def metal_filled() -> MixPlan:
    metal = Addition(filler=powder(8.80, name="metal", kind="metal"), by_volume=100)
    return plan_mix(urethane(), volume_ml=100, additions=[metal], scale=TENTH)


def catalysed() -> tuple[float, float]:
    """Mass in g and volume in ml of 2 % of catalyst in a kilogram."""
    catalyst = plan_mix(polyester(), mass_g=1000, catalyst=2, bench_c=20).catalyst
    assert catalyst is not None
    return catalyst.mass_g, catalyst.volume_ml


GROUP = Group(
    "Mixing",
    __doc__,
    (
        printed(
            name="cemented carbide, 75 WC, 15 TiC, 5 TaC, 5 Co by weight: density",
            expected=11.50,
            unit="g/cm³",
            got=lambda: mixed_density_g_ml(CARBIDE),
            allowed=within(0.005),
        ),
        printed(
            name="cemented carbide: shares by volume",
            expected=(0.547, 0.349, 0.040, 0.065),
            got=lambda: volume_shares(CARBIDE),
            allowed=within(0.001),
        ),
        Check(
            name="silver in the pores of tungsten: shares of silver by volume and by weight",
            source=f"{ASKELAND}, the next example there",
            grade=Grade.MEMORY,
            expected=(0.25, 0.15),
            got=lambda: (volume_shares(TUNGSTEN)[0], SILVER_G / (SILVER_G + 14.5)),
            allowed=within(0.005),
        ),
        by_hand(
            name="silver in the pores of tungsten: density",
            source="the compact and what fills its pores",
            expected=14.5 + SILVER_G,
            unit="g/cm³",
            got=lambda: mixed_density_g_ml(TUNGSTEN),
            allowed=rel(1e-9),
        ),
        *filled((100, 1.12), (100, 2.71), 1.58496, 0.29243, "100/1.12 = 89.286 ml, 100/2.71 = 36.900 ml"),
        *filled((100, 1.05), (10, 0.20), 0.75738, 0.34426, "100/1.05 = 95.238 ml, 10/0.20 = 50 ml"),
        *filled((1, 1.10), (2, 8.80), 2.640, 0.200, "1/1.10 = 0.90909 ml, 2/8.80 = 0.22727 ml"),
        *filled((1, 1.10), (8, 8.80), 4.950, 0.500, "1/1.10 = 8/8.80"),
        *filled((100, 1.10), (150, 2.70), 1.70690, 0.37931, "100/1.10 = 90.909 ml, 150/2.70 = 55.556 ml"),
        by_hand(
            name="100 ml with as much metal as resin by volume: all of it, and the metal",
            source="50 ml of 1.10 and 50 ml of 8.80 g/ml",
            expected=(495, 440),
            unit="g",
            got=lambda: (metal_filled().total_mass_g, metal_filled().components[-1].mass_g),
            allowed=rel(1e-6),
        ),
        by_hand(
            name="100 : 90 by weight, of 1.03 and 1.22 g/ml, as a ratio of volumes",
            source="(100/1.03)/(90/1.22)",
            expected=1.3161,
            got=lambda: volume_ratio((100, 90), (1.03, 1.22))[0],
            allowed=within(5e-5),
        ),
        by_hand(
            name="1 : 1 by volume of the same, as parts by weight to 100",
            source="100 · 1.22/1.03",
            expected=118.4,
            got=lambda: weight_ratio((1, 1), (1.03, 1.22))[1],
            allowed=within(0.05),
        ),
        by_hand(
            name="as much of B weighed as of A where volumes were meant: share of B missing",
            source="1 − 1.03/1.22",
            expected=0.156,
            got=lambda: short_if_weighed((1, 1), (1.03, 1.22))[1],
            allowed=within(5e-4),
        ),
        by_hand(
            name="500 g at 100 : 90",
            source="500 · 100/190 and 500 · 90/190",
            expected=(263.16, 236.84),
            unit="g",
            got=lambda: split(500, (100, 90)),
            allowed=within(0.005),
        ),
        by_hand(
            name="2 % of catalyst in 1 kg",
            source="2 % of 1,000 g",
            expected=20,
            unit="g",
            got=lambda: catalysed()[0],
            allowed=rel(1e-6),
        ),
        by_hand(
            name="2 % of catalyst in 1 kg, by volume",
            source="20 g at 1.15 g/ml; not the 20 ml of the workshop's '1 % is 10 ml to the kilogram'",
            expected=17.4,
            unit="ml",
            got=lambda: catalysed()[1],
            allowed=within(0.05),
        ),
    ),
)
test_mixing = each_holds(GROUP)

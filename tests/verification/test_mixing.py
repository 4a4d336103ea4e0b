"""Densities, ratios and catalyst against printed examples and sums done by hand beside the check.

*Printed*: an answer that a textbook gives. *Arithmetic*: only shows that the stated formula is what runs.
"""

from __future__ import annotations

import pytest

from moldvol.casting.mix import plan_mix
from moldvol.materials.additions import Addition, mixed_density_g_ml, volume_shares
from moldvol.materials.ratio import short_if_weighed, split, volume_ratio, weight_ratio
from tests.bench import TENTH, polyester, powder, urethane

CARBIDE = [(75, 15.77), (15, 4.94), (5, 14.50), (5, 8.90)]  # WC, TiC, TaC, Co: per cent by weight, g/cm³


def test_printed_cemented_carbide() -> None:
    """Askeland, The Science and Engineering of Materials, 4th ed. (2003), ch. 16: 75 WC, 15 TiC, 5 TaC, 5 Co by weight;
    the printed answer is 11.50 g/cm³ from volume fractions 0.547, 0.349, 0.040 and 0.065."""
    assert mixed_density_g_ml(CARBIDE) == pytest.approx(11.50, abs=0.005)
    assert volume_shares(CARBIDE) == pytest.approx([0.547, 0.349, 0.040, 0.065], abs=0.001)


def test_printed_silver_in_tungsten() -> None:
    """The next example there: a tungsten compact of 14.5 g/cm³ (solid 19.3) filled with silver of 10.49; printed, from
    memory: a quarter of it pores, 15 % silver by weight."""
    silver_g = (1 - 14.5 / 19.3) * 10.49
    assert volume_shares([(silver_g, 10.49), (14.5, 19.3)])[0] == pytest.approx(0.25, abs=0.005)
    assert silver_g / (silver_g + 14.5) == pytest.approx(0.15, abs=0.005)
    assert mixed_density_g_ml([(silver_g, 10.49), (14.5, 19.3)]) == pytest.approx(14.5 + silver_g, rel=1e-9)


@pytest.mark.parametrize(
    ("portions", "density", "share"),
    [
        # 100/1.12 = 89.286 ml, 100/2.71 = 36.900 ml: 200 g in 126.186 ml.
        ([(100, 1.12), (100, 2.71)], 1.58496, 0.29243),
        # 100/1.05 = 95.238 ml, 10/0.20 = 50 ml: 110 g in 145.238 ml.
        ([(100, 1.05), (10, 0.20)], 0.75738, 0.34426),
        # 1/1.10 = 0.90909 ml, 2/8.80 = 0.22727 ml.
        ([(1, 1.10), (2, 8.80)], 2.640, 0.200),
        ([(1, 1.10), (8, 8.80)], 4.950, 0.500),
        ([(100, 1.10), (150, 2.70)], 1.70690, 0.37931),
    ],
)
def test_arithmetic_of_filled_resins(portions: list[tuple[float, float]], density: float, share: float) -> None:
    assert mixed_density_g_ml(portions) == pytest.approx(density, rel=1e-5)
    assert volume_shares(portions)[1] == pytest.approx(share, abs=5e-6)


def test_arithmetic_of_a_filled_recipe() -> None:
    """100 ml of a resin of 1.10 with as much again of a metal of 8.80 by volume: 50 ml of each, 55 g and 440 g."""
    metal = Addition(filler=powder(8.80, name="metal", kind="metal"), by_volume=100)
    plan = plan_mix(urethane(), volume_ml=100, additions=[metal], scale=TENTH)
    assert (plan.total_mass_g, plan.components[-1].mass_g) == pytest.approx((495, 440))


def test_arithmetic_of_weight_and_volume() -> None:
    """100:90 by weight at 1.03 and 1.22: (100/1.03)/(90/1.22) = 1.3161; 1:1 by volume is 100 : 122/1.03; B weighed as
    much as A is 1 − 1.03/1.22 short."""
    assert volume_ratio((100, 90), (1.03, 1.22))[0] == pytest.approx(1.3161, abs=5e-5)
    assert weight_ratio((1, 1), (1.03, 1.22))[1] == pytest.approx(118.4, abs=0.05)
    assert short_if_weighed((1, 1), (1.03, 1.22))[1] == pytest.approx(0.156, abs=5e-4)


def test_arithmetic_of_a_batch() -> None:
    """500 g at 100:90 are 500 · 100/190 and 500 · 90/190."""
    assert split(500, (100, 90)) == pytest.approx((263.16, 236.84), abs=0.005)


def test_arithmetic_of_a_catalyst() -> None:
    """2 % of 1 kg is 20 g, and 20 g at 1.15 g/ml are 17.4 ml, not the 20 ml of the
    workshop's '1 % is 10 ml to the kilogram'."""
    plan = plan_mix(polyester(), mass_g=1000, catalyst=2, bench_c=20)
    assert plan.catalyst is not None
    assert plan.catalyst.mass_g == pytest.approx(20)
    assert plan.catalyst.volume_ml == pytest.approx(17.4, abs=0.05)

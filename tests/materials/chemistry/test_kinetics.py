"""Rate laws by hand, and that reading them loads nothing heavy."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from pytest import approx

from moldvol.errors import RequestError
from moldvol.materials.chemistry.kinetics import CURE_CLASSES, Kinetics


def test_rate_by_hand():
    law = Kinetics(k1_per_s=0.01, k2_per_s=0.5, m=2, n=1.5, s=0.5)
    assert law.rate_per_s(0.4, 25) == approx((0.01 + 0.5 * 0.16) * 0.6**1.5 * 0.8)


def test_each_constant_has_its_own_energy():
    law = Kinetics(k1_per_s=1.0, k2_per_s=1.0, energy_j_mol=51_200, energy2_j_mol=0.0, m=0.0, n=0.0, reference_c=20)
    # doubles from 20 to 30 °C at 51.2 kJ/mol
    assert law.rate_per_s(0.0, 30) == approx(3.0, rel=2e-3)


def test_first_order_time_is_a_logarithm():
    assert Kinetics(k1_per_s=0.01).time_to_s(0.9, start_c=25) == approx(math.log(10) / 0.01, rel=1e-9)


def test_twice_as_fast_takes_half_as_long():
    law = CURE_CLASSES["epoxy"].law.scaled(1e-4)
    assert law.scaled(2).time_to_s(0.5, start_c=25) == approx(law.time_to_s(0.5, start_c=25) / 2)


def test_its_own_heat_makes_it_sooner():
    law = CURE_CLASSES["polyester"].law.scaled(1e-3)
    assert law.time_to_s(0.5, start_c=20, rise_k=190) < 0.6 * law.time_to_s(0.5, start_c=20)


@pytest.mark.parametrize("kind", CURE_CLASSES)
def test_classes_are_whole(kind):
    family = CURE_CLASSES[kind]
    assert family.law.k1_per_s + family.law.k2_per_s == approx(1)
    for spread in (family.energy_j_mol, family.heat_j_g):
        assert spread.low < spread.usual < spread.high
    assert family.law.energy_j_mol == family.energy_j_mol.usual


@pytest.mark.parametrize("wrong", [{"k1_per_s": -1.0}, {"k1_per_s": 1.0, "s": 2.0}, {"k1_per_s": 1.0, "n": -1.0}])
def test_impossible_laws_are_refused(wrong):
    with pytest.raises(RequestError, match="negative constant or order"):
        Kinetics(**wrong)


@pytest.mark.parametrize("gel", [0.0, 1.0])
def test_impossible_gel_is_refused(gel):
    with pytest.raises(RequestError, match="gel conversion"):
        Kinetics(k1_per_s=1.0, gel_conversion=gel)


def test_loads_nothing_heavy():
    code = "import sys, moldvol.materials.chemistry.kinetics, moldvol.materials.chemistry.thermal; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not {"numpy", "scipy", "trimesh"} & set(loaded)

"""The cure of many cells at once over a short time in which each exchanges a steady heat: α and T rise together.

With T = T₀ + B (α − α₀) + c t the two equations are one. It is stepped in u = −ln(1 − α), so α can neither pass 1 nor
fall, and an n = 1 law at constant temperature is exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from moldvol.casting.heat.cells import Floats
from moldvol.materials.chemistry.kinetics import GAS_CONSTANT_J_MOLK, Kinetics
from moldvol.quantities import ZERO_CELSIUS_K

MOST_U = 30.0  # 1 − α = 1e-13: cured; keeps laws of order below one from running to infinity


def conversion(u: Floats) -> Floats:
    """α = 1 − exp(−u)."""
    return -np.expm1(-u)


def speed_per_s(law: Kinetics, u: Floats, temperature_c: Floats) -> Floats:
    """du/dt = (dα/dt) / (1 − α), 1/s."""
    inverse = 1 / (law.reference_c + ZERO_CELSIUS_K) - 1 / (temperature_c + ZERO_CELSIUS_K)
    alpha = conversion(u)
    energy2 = law.energy_j_mol if law.energy2_j_mol is None else law.energy2_j_mol
    # one exponential holds both Arrhenius and (1 − α)^(n − 1)
    speed = law.k1_per_s * np.exp(law.energy_j_mol / GAS_CONSTANT_J_MOLK * inverse - (law.n - 1) * u)
    if law.k2_per_s > 0:
        if energy2 == law.energy_j_mol and law.k1_per_s > 0:
            speed *= 1 + law.k2_per_s / law.k1_per_s * _power(alpha, law.m)
        else:
            arrhenius = np.exp(energy2 / GAS_CONSTANT_J_MOLK * inverse - (law.n - 1) * u)
            speed += law.k2_per_s * _power(alpha, law.m) * arrhenius
    if law.s > 0:
        speed *= 1 - law.s * alpha
    return np.asarray(speed)


def _power(alpha: Floats, m: float) -> Floats:
    return alpha if m == 1 else np.asarray(alpha**m)


@dataclass(frozen=True, slots=True, eq=False)
class Charge:
    """What the cure of r cells depends on beside their state.

    ``rise_k`` is how far full conversion would warm each cell, ``fastest_per_s`` the most that du/dt may be,
    ``drift_k_s`` a steady warming or cooling from outside.
    """

    law: Kinetics
    rise_k: Floats
    fastest_per_s: Floats
    drift_k_s: Floats

    def speed_per_s(self, u: Floats, temperature_c: Floats) -> Floats:
        """du/dt of every cell."""
        return np.minimum(speed_per_s(self.law, u, temperature_c), self.fastest_per_s)

    def heating_k_s(self, u: Floats, temperature_c: Floats) -> Floats:
        """How fast the cure alone warms every cell."""
        return np.asarray(self.speed_per_s(u, temperature_c) * np.exp(-u) * self.rise_k)


def react(charge: Charge, u: Floats, temperature_c: Floats, seconds: float, most_rise_k: float) -> Floats:
    """(r,): u after *seconds*.

    Method: the classical fourth-order Runge-Kutta rule, in as many parts as keep the rise of every cell in one part
    near *most_rise_k*.
    """
    left = seconds
    while left > 0:
        speed = charge.speed_per_s(u, temperature_c)
        fastest = float(np.max(speed * np.exp(-u) * charge.rise_k, initial=0.0))
        step = left if fastest * left <= 1.5 * most_rise_k else min(left, most_rise_k / fastest)
        u, temperature_c = _runge_kutta(charge, u, temperature_c, step, speed)
        left -= step
    return u


def _runge_kutta(charge: Charge, u: Floats, temperature_c: Floats, step: float, first: Floats) -> tuple[Floats, Floats]:
    left = np.exp(-u)

    def state(u_then: Floats, later: float) -> Floats:
        return np.asarray(temperature_c + charge.rise_k * (left - np.exp(-u_then)) + later * charge.drift_k_s)

    def speed(ahead: Floats, later: float) -> Floats:
        u_then = np.minimum(u + later * ahead, MOST_U)
        return charge.speed_per_s(u_then, state(u_then, later))

    second = speed(first, step / 2)
    third = speed(second, step / 2)
    fourth = speed(third, step)
    after = np.minimum(u + step / 6 * (first + 2 * (second + third) + fourth), MOST_U)
    return after, state(after, step)

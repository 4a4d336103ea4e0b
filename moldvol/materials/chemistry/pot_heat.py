"""How much sooner a bigger pot sets: its own heat has further to go.

The pot is one temperature throughout, in a cup as tall as it is wide that loses heat to still air. Its rate law is that
of the resin's kind, as fast as makes the stated mass live as long as stated; so a pot of the stated mass is exact, and
a bigger one is an estimate. Temperatures in °C, times in s, masses in g.
"""

from __future__ import annotations

import math
from functools import lru_cache

from moldvol.materials.chemistry.kinetics import CURE_CLASSES, Kinetics
from moldvol.materials.chemistry.thermal import RESIN_CLASSES, STILL_AIR_W_M2K
from moldvol.materials.resin import Resin

_STEPS = 150  # in conversion; an adaptive solver differs by less than 0.2 %
_CLOSE = 1e-3  # of the stated pot life


def mass_factor(resin: Resin, mass_g: float, bench_c: float) -> float:
    """The life of *mass_g* in one pot, as a share of that of the stated mass; 1 up to the stated mass.

    Rubbers hardly warm, so their share is always 1.

    Method: heat balance of the whole pot along the cure (`Kinetics`), calibrated to the stated pot life.
    Error: of the steps below 0.2 %. An even temperature inside puts a big pot up to 8 % short of one solved ring by
    ring at the stated temperature, which is the safe side; in other rooms it never promises more than the hot and cold
    ends of that reckoning (tests/casting/test_heat_of_cast.py).
    """
    kind = "polyurethane" if resin.kind == "foam" else resin.kind
    if mass_g <= resin.pot_life_mass_g or kind not in CURE_CLASSES:
        return 1.0
    law = law_of_cup(resin, CURE_CLASSES[kind].law, kind)
    rise_k = _rise_k(resin, kind)
    stated_s = _gel_time_s(law, rise_k, cooling_s(resin.pot_life_mass_g, kind), bench_c)
    return _gel_time_s(law, rise_k, cooling_s(mass_g, kind), bench_c) / stated_s


def law_of_cup(resin: Resin, law: Kinetics, kind: str, *, faster: float = 1.0) -> Kinetics:
    """*law* as fast as lets the stated mass of *resin*, whose heat is that of *kind*, gel at its pot life.

    *faster* is how many times as fast a catalyst makes it.
    """
    life_s = resin.pot_life_s / faster
    return _calibrated(law, life_s, resin.pot_life_mass_g, resin.pot_life_temperature_c, kind, _rise_k(resin, kind))


def cooling_s(mass_g: float, kind: str) -> float:
    """The time in which a pot that no longer reacts loses 63 % of its excess temperature.

    Method: m c / (h A) of a cylinder as tall as wide, all round.

    >>> round(cooling_s(100, "polyurethane") / 60)
    27
    """
    substance = RESIN_CLASSES[kind].substance
    width_m: float = (4 * mass_g * 1e-6 / (math.pi * substance.density_g_cm3)) ** (1 / 3)
    return mass_g * substance.heat_capacity_j_gk / (STILL_AIR_W_M2K * 1.5 * math.pi * width_m**2)


def _rise_k(resin: Resin, kind: str) -> float:
    usual = RESIN_CLASSES[kind]
    heat = resin.heat_of_reaction_j_g or usual.heat_of_reaction_j_g
    return heat / (resin.heat_capacity_j_gk or usual.substance.heat_capacity_j_gk)


@lru_cache(maxsize=64)
def _calibrated(
    law: Kinetics, life_s: float, mass_g: float, temperature_c: float, kind: str, rise_k: float
) -> Kinetics:
    cooling = cooling_s(mass_g, kind)
    # The pot is cooler than one that keeps all its heat and warmer than one that loses it at once.
    slow = law.time_to_s(law.gel_conversion, start_c=temperature_c, rise_k=rise_k) / life_s
    fast = law.time_to_s(law.gel_conversion, start_c=temperature_c) / life_s
    while True:
        guess = math.sqrt(slow * fast)
        ratio = _gel_time_s(law.scaled(guess), rise_k, cooling, temperature_c) / life_s
        if abs(ratio - 1) < _CLOSE or fast / slow < 1 + _CLOSE**2:
            return law.scaled(guess)
        slow, fast = (guess, fast) if ratio > 1 else (slow, guess)


def _gel_time_s(law: Kinetics, rise_k: float, cooling: float, bench_c: float) -> float:
    """Steps of equal conversion; within a step heating is even and cooling exact, so no step is too long."""
    step = law.gel_conversion / _STEPS
    above_k = climbed_k = time_s = 0.0
    for place in range(_STEPS):
        # Halfway up the step it is warmer by half of what the step before climbed.
        seconds = step / law.rate_per_s((place + 0.5) * step, bench_c + above_k + climbed_k / 2)
        kept = math.exp(-seconds / cooling)
        before_k, above_k = above_k, above_k * kept + rise_k * step * (1 - kept) * cooling / seconds
        climbed_k = above_k - before_k
        time_s += seconds
    return time_s

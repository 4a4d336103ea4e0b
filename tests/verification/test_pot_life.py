"""Pot life against the rules of the trade and of chemistry, and the heat of a pot against other solvers.

Two models stand behind the heat of a pot: a quick one with an even temperature throughout, and a cup cut into rings
that conduct and react. The quick one is up to 7 % short of the other, the safe side, and at most 1 % long.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from moldvol.casting.heat.cup import cup_test_of
from moldvol.casting.heat.pot_life import pot_life_of_pot
from moldvol.materials.chemistry.kinetics import CURE_CLASSES
from moldvol.materials.chemistry.pot_heat import cooling_s, mass_factor
from moldvol.materials.chemistry.pot_life import arrhenius_factor, pot_life
from moldvol.materials.chemistry.thermal import RESIN_CLASSES
from moldvol.materials.shelf import load_shelf
from tests.bench import urethane
from tests.verification.checks import Check, Grade, Group, rel, within
from tests.verification.held import each_holds

STEPS = rel(0.002)  # 150 steps in conversion, second order
MASSES_G = (300.0, 5000.0)

by_hand = partial(Check, grade=Grade.ARITHMETIC)


def rates(energy: int, expected: tuple[float, ...]) -> Check:
    return by_hand(
        name=f"rates at 10, 15, 25 and 30 °C for {energy:,} J/mol, at 20 °C being 1",
        source="S. Arrhenius, Z. Phys. Chem. 4 (1889) 226, from memory, worked out by a second program",
        expected=expected,
        got=lambda: [1 / arrhenius_factor(energy, 20, to_c) for to_c in (10, 15, 25, 30)],
        allowed=within(6e-4),
    )


def by_runge_kutta(kind: str, life_s: float) -> list[float]:
    """Pot lives of larger pots, as shares of that of 100 g.

    The same two equations, conversion and temperature of a pot that cools, by SciPy's adaptive Runge-Kutta; it also
    finds its own rate so that 100 g live as long as stated.
    """
    rise_k, law = RESIN_CLASSES[kind].adiabatic_rise_k, CURE_CLASSES[kind].law

    def gel_s(mass_g: float, speed: float) -> float:
        cooling = cooling_s(mass_g, kind)

        def slopes(_: float, state: np.ndarray) -> list[float]:
            rate = speed * law.rate_per_s(min(state[0], 0.999), 20 + state[1])
            return [rate, rise_k * rate - state[1] / cooling]

        def gelled(_: float, state: np.ndarray) -> float:
            return float(state[0] - law.gel_conversion)

        gelled.terminal = True  # type: ignore[attr-defined]
        course = solve_ivp(slopes, (0, 1e7), [0.0, 0.0], events=gelled, rtol=1e-8, atol=1e-10)
        return float(course.t_events[0][0])

    isothermal_s = law.time_to_s(law.gel_conversion, start_c=20)
    speed = brentq(lambda guess: gel_s(100, guess) - life_s, 0.001 * isothermal_s / life_s, 2 * isothermal_s / life_s)
    return [gel_s(mass_g, speed) / life_s for mass_g in MASSES_G]


def another_solver(kind: str, life_s: float) -> Check:
    resin = urethane(kind=kind, pot_life_s=life_s)
    return Check(
        name=f"{kind} of {life_s / 60:g} min in 100 g: life of 300 g and of 5 kg, as shares of that",
        source="SciPy's adaptive Runge-Kutta on the same equations",
        grade=Grade.OWN,
        expected=lambda: by_runge_kutta(kind, life_s),
        got=lambda: [mass_factor(resin, mass_g, 20) for mass_g in MASSES_G],
        allowed=STEPS,
    )


def pot_of_rings(key: str) -> Check:
    @cache
    def by_rings() -> list[float]:
        resin = load_shelf().resin(key)
        sheet = replace(cup_test_of(resin), peak_c=None)
        lives = [pot_life_of_pot(sheet, mass_g, resin.pot_life_temperature_c) for mass_g in MASSES_G]
        return [life.usual_s / resin.pot_life_s for life in lives]

    def quick() -> list[float]:
        resin = load_shelf().resin(key)
        return [mass_factor(resin, mass_g, resin.pot_life_temperature_c) for mass_g in MASSES_G]

    return Check(
        name=f"{key}: life of 300 g and of 5 kg, as shares of that stated",
        source="a pot cut into rings that conduct and react",
        grade=Grade.OWN,
        expected=by_rings,
        got=quick,
        allowed=rel(below=0.07, above=0.01),
    )


def halved() -> float:
    life = pot_life(urethane(), 30)
    return life.stated_mass_s / life.halving_rule_s


GROUP = Group(
    "Pot life",
    __doc__,
    (
        by_hand(
            name="what the usual energies leave of a pot life ten degrees on, from 20 and from 15 °C",
            source="R ln 2 / (1/293.15 − 1/303.15) = 51.2 kJ/mol; between 15 and 25 °C it is 49.5",
            expected=0.5,
            got=lambda: (arrhenius_factor(51_200, 20, 30), arrhenius_factor(49_500, 15, 25)),
            allowed=rel(0.001),
        ),
        Check(
            name="pot life at 30 °C over that by the rule that ten degrees halve it",
            source="",
            grade=Grade.PRACTICE,
            expected=1,
            got=halved,
            allowed=rel(0.002),
        ),
        Check(
            name="what a rate that doubles from 298 to 308 K leaves of the time, at 52.9 kJ/mol",
            source="a standing exercise of physical chemistry, P. Atkins among others: printed 53 kJ/mol",
            grade=Grade.MEMORY,
            expected=0.5,
            got=lambda: arrhenius_factor(52_900, 298 - 273.15, 308 - 273.15),
            allowed=rel(0.001),
        ),
        rates(35_140, (0.601, 0.779, 1.274, 1.609)),
        rates(40_000, (0.560, 0.752, 1.317, 1.718)),
        rates(50_000, (0.485, 0.701, 1.411, 1.967)),
        rates(60_000, (0.419, 0.652, 1.511, 2.252)),
        *(
            another_solver(kind, life_s)
            for kind in ("polyurethane", "polyester", "epoxy")
            for life_s in (180.0, 2700.0)
        ),
        *map(pot_of_rings, ("casting-epoxy", "slow-urethane", "casting-polyester")),
    ),
)
test_pot_life = each_holds(GROUP)

"""How long the mix stays liquid in the pot at the bench's temperature, in s."""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.chemistry.kinetics import GAS_CONSTANT_J_MOLK
from moldvol.materials.chemistry.pot_heat import mass_factor
from moldvol.materials.resin import Resin
from moldvol.notices import Notice
from moldvol.quantities import ZERO_CELSIUS_K

COLDEST_C, HOTTEST_C = -10.0, 80.0  # no bench is colder or hotter; beyond, the exponent means nothing
HALVING_K = 10.0
HARDLY_LESS = 0.95  # of the stated pot life: a pot that warms itself no further is told so


@dataclass(frozen=True, slots=True, kw_only=True)
class PotLife:
    """Pot life at a temperature, of the mass it is stated for and of the pot in question.

    ``halving_rule_s`` is what 'halves for each 10 °C' would say of the stated mass, for comparison.
    """

    stated_mass_s: float
    pot_s: float
    halving_rule_s: float
    bench_c: float
    notices: tuple[Notice, ...] = ()


def pot_life(resin: Resin, bench_c: float, mass_g: float | None = None, *, faster: float = 1.0) -> PotLife:
    """Pot life of *resin* at *bench_c*, with *mass_g* of it in one pot (the mass it is stated for, if not given).

    *faster* is how many times as fast the chosen catalyst makes it. Raises `RequestError` for a temperature that no
    bench has.

    Method: Arrhenius with the resin's activation energy; a pot above the stated mass by its own heat (`pot_heat`).
    """
    if not COLDEST_C <= bench_c <= HOTTEST_C:
        raise RequestError(
            f"A bench at {bench_c:g} °C is not a workshop; give its temperature, {COLDEST_C:g} to {HOTTEST_C:g} °C."
        )
    from_c = resin.pot_life_temperature_c
    stated_s = resin.pot_life_s / faster * arrhenius_factor(resin.activation_energy_j_mol, from_c, bench_c)
    pot_s = stated_s * (1.0 if mass_g is None else mass_factor(resin, mass_g, bench_c))
    return PotLife(
        stated_mass_s=stated_s,
        pot_s=pot_s,
        halving_rule_s=resin.pot_life_s / faster * 2 ** ((from_c - bench_c) / HALVING_K),
        bench_c=bench_c,
        notices=_band_notices(resin, bench_c) + _mass_notices(resin, mass_g or 0.0, stated_s, pot_s),
    )


def arrhenius_factor(activation_energy_j_mol: float, from_c: float, to_c: float) -> float:
    """How many times as long a reaction takes at *to_c* as at *from_c*.

    Method: exp[(E/R)(1/T − 1/T₀)], S. Arrhenius (1889).

    >>> round(arrhenius_factor(51_200, 20, 30), 2)
    0.5
    """
    inverse = 1 / (to_c + ZERO_CELSIUS_K) - 1 / (from_c + ZERO_CELSIUS_K)
    return math.exp(activation_energy_j_mol / GAS_CONSTANT_J_MOLK * inverse)


def _band_notices(resin: Resin, bench_c: float) -> tuple[Notice, ...]:
    band = f"{resin.working_low_c:g} to {resin.working_high_c:g} °C"
    if bench_c < resin.working_low_c:
        told = f"{bench_c:g} °C is cold for {resin.name} ({band}): it may never cure hard."
        return (Notice("bench-cold", told, grave=True),)
    if bench_c > resin.working_high_c:
        told = f"{bench_c:g} °C is hot for {resin.name} ({band}): it may set before it is poured."
        return (Notice("bench-hot", told, grave=True),)
    return ()


def _mass_notices(resin: Resin, mass_g: float, stated_s: float, pot_s: float) -> tuple[Notice, ...]:
    # Silicones hardly warm: for them only the temperature counts.
    if mass_g <= resin.pot_life_mass_g or resin.kind == "silicone":
        return ()
    lives = "hardly shorter, about" if pot_s > HARDLY_LESS * stated_s else "only about"
    return (
        Notice(
            "pot-life-mass",
            f"The pot life is stated for {resin.pot_life_mass_g:g} g; {mass_g:.0f} g in one pot heat up and live "
            f"{lives} {minutes(pot_s)}: pour at once, leave no full cup.",
        ),
    )


def minutes(seconds: float) -> str:
    """A time as the bench says it.

    >>> minutes(90), minutes(200)
    ('90 s', '3.3 min')
    """
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.1f} min"

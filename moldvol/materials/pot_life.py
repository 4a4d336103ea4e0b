"""How long the mix stays liquid in the pot at the bench's temperature, in s."""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.kinetics import CURE_CLASSES, GAS_CONSTANT_J_MOLK, cure_class
from moldvol.materials.resin import Resin
from moldvol.materials.thermal import RESIN_CLASSES
from moldvol.notices import Notice
from moldvol.quantities import ZERO_CELSIUS_K

COLDEST_C, HOTTEST_C = -10.0, 80.0  # no bench is colder or hotter; beyond, the exponent means nothing
HALVING_K = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PotLife:
    """Pot life at a temperature. ``halving_rule_s`` is what 'halves for each 10 °C' would say, for comparison.

    ``shortest_s`` is the end that no mass can go below: all heat stays in the pot.
    """

    pot_life_s: float
    halving_rule_s: float
    shortest_s: float
    bench_c: float
    notices: tuple[Notice, ...] = ()


def pot_life(resin: Resin, bench_c: float, mass_g: float | None = None) -> PotLife:
    """Pot life of *resin* at *bench_c*, and what is to be said when *mass_g* of it stand in one pot.

    Raises `RequestError` for a temperature that no bench has.

    Method: Arrhenius with the resin's activation energy.
    """
    if not COLDEST_C <= bench_c <= HOTTEST_C:
        raise RequestError(
            f"A bench at {bench_c:g} °C is not a workshop; give its temperature, {COLDEST_C:g} to {HOTTEST_C:g} °C."
        )
    from_c = resin.pot_life_temperature_c
    life_s = resin.pot_life_s * arrhenius_factor(resin.activation_energy_j_mol, from_c, bench_c)
    return PotLife(
        pot_life_s=life_s,
        halving_rule_s=resin.pot_life_s * 2 ** ((from_c - bench_c) / HALVING_K),
        shortest_s=life_s * adiabatic_share(resin, bench_c),
        bench_c=bench_c,
        notices=_band_notices(resin, bench_c) + _mass_notices(resin, mass_g),
    )


def arrhenius_factor(activation_energy_j_mol: float, from_c: float, to_c: float) -> float:
    """How many times as long a reaction takes at *to_c* as at *from_c*.

    Method: exp[(E/R)(1/T − 1/T₀)], S. Arrhenius (1889).

    >>> round(arrhenius_factor(51_200, 20, 30), 2)
    0.5
    """
    inverse = 1 / (to_c + ZERO_CELSIUS_K) - 1 / (from_c + ZERO_CELSIUS_K)
    return math.exp(activation_energy_j_mol / GAS_CONSTANT_J_MOLK * inverse)


def adiabatic_share(resin: Resin, bench_c: float) -> float:
    """Gel time with all heat kept in, as a share of that with all heat let out; 1 for a rubber, which hardly warms.

    Method: rate law of the resin's kind to its gel point, isothermal and adiabatic (`materials.kinetics`). The pot life
    of the data sheet lies between the two, so the share is on the safe side.
    """
    kind = "polyurethane" if resin.kind == "foam" else resin.kind
    if kind not in CURE_CLASSES:
        return 1.0
    law, rise_k = cure_class(kind).law, RESIN_CLASSES[kind].adiabatic_rise_k
    kept = law.time_to_s(law.gel_conversion, start_c=bench_c, rise_k=rise_k)
    return kept / law.time_to_s(law.gel_conversion, start_c=bench_c)


def _band_notices(resin: Resin, bench_c: float) -> tuple[Notice, ...]:
    band = f"{resin.working_low_c:g} to {resin.working_high_c:g} °C"
    if bench_c < resin.working_low_c:
        return (Notice("bench-cold", f"{bench_c:g} °C is cold for {resin.name} ({band}): it may never cure hard."),)
    if bench_c > resin.working_high_c:
        return (
            Notice("bench-hot", f"{bench_c:g} °C is hot for {resin.name} ({band}): it may set before it is poured."),
        )
    return ()


def _mass_notices(resin: Resin, mass_g: float | None) -> tuple[Notice, ...]:
    # Silicones hardly warm: for them only the temperature counts.
    if mass_g is None or mass_g <= resin.pot_life_mass_g or resin.kind == "silicone":
        return ()
    return (
        Notice(
            "pot-life-mass",
            f"The pot life holds for {resin.pot_life_mass_g:g} g; {mass_g:.0f} g in one pot heats up and sets sooner.",
        ),
    )

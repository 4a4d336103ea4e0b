"""How fast a resin cures: rate laws, and what a class of resins has in common.

One form serves all: dα/dt = (k₁ + k₂ αᵐ) (1 − α)ⁿ (1 − s α), each k with its Arrhenius factor. With k₂ = 0 it is the
n-th order law, with s = 0 that of Kamal and Sourour (Polym. Eng. Sci. 13, 1973, 59), with n = 1 and s the ratio of the
scarce reactant to the plentiful one the second-order law. α runs from 0 to 1 of what the scarce reactant allows.

Pure Python: the shelf is read where nothing heavy may be imported.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from moldvol.errors import RequestError
from moldvol.materials.grade import Grade
from moldvol.quantities import ZERO_CELSIUS_K

GAS_CONSTANT_J_MOLK = 8.314462618  # exact since 2019


@dataclass(frozen=True, slots=True, kw_only=True)
class Kinetics:
    """A rate law. The rate constants hold at ``reference_c``; activation energies carry them to other temperatures.

    ``gel_conversion`` is where the liquid stops flowing. ``energy2_j_mol`` is that of k₂ where it differs.
    """

    k1_per_s: float
    k2_per_s: float = 0.0
    energy_j_mol: float = 0.0
    energy2_j_mol: float | None = None
    m: float = 1.0
    n: float = 1.0
    s: float = 0.0
    gel_conversion: float = 0.6
    reference_c: float = 25.0

    def __post_init__(self) -> None:
        if min(self.k1_per_s, self.k2_per_s, self.n, self.m) < 0 or not 0 <= self.s <= 1:
            raise RequestError("A rate law has a negative constant or order; all must be 0 or more, and s at most 1.")
        if not 0 < self.gel_conversion < 1:
            raise RequestError(f"A gel conversion of {self.gel_conversion:g} is not between 0 and 1.")

    def scaled(self, factor: float) -> Kinetics:
        """The same law *factor* times as fast at every temperature."""
        return replace(self, k1_per_s=self.k1_per_s * factor, k2_per_s=self.k2_per_s * factor)

    def arrhenius(self, temperature_c: float, energy_j_mol: float) -> float:
        """How many times faster than at ``reference_c``.

        >>> round(Kinetics(k1_per_s=1, reference_c=20).arrhenius(30, 51_200), 2)
        2.0
        """
        inverse = 1 / (self.reference_c + ZERO_CELSIUS_K) - 1 / (temperature_c + ZERO_CELSIUS_K)
        return math.exp(energy_j_mol / GAS_CONSTANT_J_MOLK * inverse)

    def rate_per_s(self, conversion: float, temperature_c: float) -> float:
        """dα/dt at one conversion and temperature, 1/s."""
        first = self.k1_per_s * self.arrhenius(temperature_c, self.energy_j_mol)
        energy2 = self.energy_j_mol if self.energy2_j_mol is None else self.energy2_j_mol
        second = self.k2_per_s * self.arrhenius(temperature_c, energy2) * conversion**self.m
        return float((first + second) * (1 - conversion) ** self.n * (1 - self.s * conversion))

    def time_to_s(self, conversion: float, *, start_c: float, rise_k: float = 0.0) -> float:
        """Time from 0 to *conversion* where the temperature is start_c + rise_k · α, s.

        ``rise_k`` 0 is isothermal, the adiabatic rise is adiabatic: the two ends between which every casting lies.
        Raises `RequestError` for a law that does not start by itself (k₁ = 0).

        Method: Simpson's rule over u = −ln(1 − α), in which the integrand stays tame up to full conversion.
        """
        if self.k1_per_s <= 0:
            raise RequestError("A rate law with k1 = 0 never starts; give it a small k1.")
        steps = 400
        end = -math.log1p(-conversion)

        def seconds_per_u(u: float) -> float:
            done = -math.expm1(-u)
            return (1 - done) / self.rate_per_s(done, start_c + rise_k * done)

        inner = sum((4 if i % 2 else 2) * seconds_per_u(end * i / steps) for i in range(1, steps))
        return end / steps / 3 * (seconds_per_u(0.0) + inner + seconds_per_u(end))


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A class value: the usual one, and the ends between which resins of the class lie."""

    low: float
    usual: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CureClass:
    """What resins of one kind share: the law's shape, and heat and activation energy with their spread.

    ``law`` has k₁ + k₂ = 1 per second at its reference: calibration finds the factor. ``boils_c`` is where a
    constituent boils, if that is below what a casting can reach.
    """

    law: Kinetics
    energy_j_mol: Spread
    heat_j_g: Spread
    grade: Grade
    boils_c: float | None = None


CURE_CLASSES: Mapping[str, CureClass] = {
    "polyurethane": CureClass(
        law=Kinetics(k1_per_s=1.0, n=2.0, energy_j_mol=45_000, gel_conversion=0.7071),
        energy_j_mol=Spread(low=35_000, usual=45_000, high=55_000),
        heat_j_g=Spread(low=250, usual=280, high=311),
        grade=Grade(
            "from memory",
            "n-th order: Broyer, Macosko, Critchfield, Lawler, Polym. Eng. Sci. 18 (1978) 382; gel of a three- with a "
            "two-functional part after Flory and Stockmayer; energies 35 to 40 kJ/mol after Baser and Khakhar, 51 "
            "where the rate doubles in 10 °C",
        ),
    ),
    "polyester": CureClass(
        law=Kinetics(k1_per_s=0.02, k2_per_s=0.98, m=0.7, n=1.3, energy_j_mol=50_000, gel_conversion=0.08),
        energy_j_mol=Spread(low=40_000, usual=50_000, high=60_000),
        heat_j_g=Spread(low=300, usual=363, high=400),
        grade=Grade(
            "from memory",
            "energies of the redox start: J. Appl. Polym. Sci. 102 (2006) 1870; heat: Lucas, Borrajo, Williams, "
            "Polymer 34 (1993) 3216; orders that sum to two, share of k1 and early gel without a source",
        ),
        boils_c=145.0,  # styrene, CRC Handbook, from memory
    ),
    "epoxy": CureClass(
        law=Kinetics(k1_per_s=0.1, k2_per_s=0.9, m=1.0, n=1.75, energy_j_mol=55_000, gel_conversion=0.58),
        energy_j_mol=Spread(low=44_000, usual=55_000, high=60_000),
        heat_j_g=Spread(low=400, usual=460, high=500),
        grade=Grade(
            "from memory",
            "orders that sum to 2.5 to 3 and 44 to 57 kJ/mol: J. Appl. Polym. Sci. 56 (1995) 1029; 55 to 60: "
            "Thermochim. Acta 447 (2006) 167; gel of a four- with a two-functional part; share of k1 without a source",
        ),
    ),
}

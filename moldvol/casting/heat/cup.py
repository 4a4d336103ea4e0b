"""Calibration by the cup: a resin's rate, and where a peak is given its heat, from what its data sheet says of one cup.

Pot life is taken as the time until the hottest place of the stated mass, in a cup as `pot` describes it, reaches the
class's gel conversion. The same model of the same cup is run until it says so too. What is fitted and what is a class
value is listed with the result.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, inf, isfinite, log
from typing import TYPE_CHECKING, Literal

from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.pot import Pot, gel_time_s, left_standing
from moldvol.errors import ShelfError
from moldvol.materials.chemistry.kinetics import CURE_CLASSES, CureClass, Kinetics
from moldvol.materials.chemistry.thermal import RESIN_CLASSES, STILL_AIR_W_M2K, ResinThermal
from moldvol.materials.grade import Grade

if TYPE_CHECKING:
    from moldvol.materials.resin import Resin

POT_LIFE_REL = 1e-3  # fitted pot life against the stated one; data sheets round to whole minutes
PEAK_K = 0.5  # fitted peak against the stated one
PEAK_DOUBT_K = 10.0  # another cup, another thermometer: common practice, no source
# Plasticised and filled resins release down to half of what their class does; beyond this the sheet contradicts itself.
HEAT_FACTOR = 2.0
# Viscosity doubles where (αg / (αg − α))² = 2: Castro and Macosko, AIChE J. 28 (1982) 250, exponent from memory.
DOUBLED_SHARE_OF_GEL = 1 - 0.5**0.5

Origin = Literal["fitted", "shelf", "class"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CupTest:
    """What a data sheet says, with the thermal figures it gives or the class's. A missing figure is ``None``."""

    name: str
    kind: str
    pot_life_s: float | None
    pot_life_mass_g: float | None
    temperature_c: float = 23.0
    peak_c: float | None = None
    peak_mass_g: float | None = None
    density_g_cm3: float | None = None
    heat_of_reaction_j_g: float | None = None
    heat_capacity_j_gk: float | None = None
    conductivity_w_mk: float | None = None
    energy_j_mol: float | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the model, where it came from, and its grade if it is a class value."""

    name: str
    value: float
    unit: str
    origin: Origin
    grade: Grade | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibrated:
    """A resin that behaves in the cup as its data sheet says."""

    name: str
    kind: str
    resin: ResinThermal
    law: Kinetics
    film_w_m2k: float
    pot_life_conversion: float
    figures: tuple[Figure, ...]
    boils_c: float | None

    @property
    def ends_pot_life(self) -> Kinetics:
        """The law with what this member takes for the end of pot life in the place of gel."""
        return replace(self.law, gel_conversion=self.pot_life_conversion)


@dataclass(frozen=True, slots=True)
class Family:
    """The usual resin that fits the sheet, and the coolest and hottest of its class that fit it as well.

    The three differ in heat, activation energy, the film to the air, and in what the sheet means by pot life.
    """

    usual: Calibrated
    cooler: Calibrated
    hotter: Calibrated


@dataclass(frozen=True, slots=True, kw_only=True)
class _Guess:
    """What one member of the family assumes beside the sheet."""

    heat_j_g: float
    energy_j_mol: float
    film_w_m2k: float
    peak_shift_k: float = 0.0
    pot_life_share_of_gel: float = 1.0


def cup_test_of(resin: Resin) -> CupTest:
    """What a shelf's *resin* says of its cup and its heat."""
    return CupTest(
        name=resin.name, kind=resin.kind, pot_life_s=resin.pot_life_s, pot_life_mass_g=resin.pot_life_mass_g,
        temperature_c=resin.pot_life_temperature_c, peak_c=resin.peak_c, peak_mass_g=resin.peak_mass_g,
        density_g_cm3=resin.cured_density_g_ml, heat_of_reaction_j_g=resin.heat_of_reaction_j_g,
        heat_capacity_j_gk=resin.heat_capacity_j_gk, conductivity_w_mk=resin.conductivity_w_mk,
        energy_j_mol=resin.activation_energy_j_mol,
    )  # fmt: skip


def thermal_of(test: CupTest) -> ResinThermal:
    """Density, heat capacity, conductivity and heat of a resin: the sheet's where it has them, else the class's.

    Raises `ShelfError` for a kind that has no heat worth computing.
    """
    if test.kind not in RESIN_CLASSES:
        known = ", ".join(sorted(RESIN_CLASSES))
        raise ShelfError(
            f"{test.name} is of the kind '{test.kind}', whose heat is not known; it can be told for {known}."
        )
    usual = RESIN_CLASSES[test.kind]
    substance = replace(
        usual.substance,
        density_g_cm3=test.density_g_cm3 or usual.substance.density_g_cm3,
        heat_capacity_j_gk=test.heat_capacity_j_gk or usual.substance.heat_capacity_j_gk,
        conductivity_w_mk=test.conductivity_w_mk or usual.substance.conductivity_w_mk,
    )
    return ResinThermal(
        substance=substance, heat_of_reaction_j_g=test.heat_of_reaction_j_g or usual.heat_of_reaction_j_g
    )


@lru_cache(maxsize=32)
def calibrate(test: CupTest) -> Family:
    """The resin of *test*, and its class's extremes, each fitted to the same cup.

    Raises `ShelfError` where pot life or its mass is missing, or where the peak contradicts any heat of the class.
    """
    _refuse_incomplete(test)
    family = CURE_CLASSES[test.kind]
    usual = _usual(test, family)
    energies = family.energy_j_mol
    heats = family.heat_j_g
    doubt = 1.0 if test.heat_of_reaction_j_g is None else 0.5
    cooler = replace(
        usual,
        heat_j_g=usual.heat_j_g * (1 + doubt * (heats.low / heats.usual - 1)),
        energy_j_mol=usual.energy_j_mol * energies.low / energies.usual,
        film_w_m2k=STILL_AIR_W_M2K * 1.5,
        peak_shift_k=-PEAK_DOUBT_K,
        pot_life_share_of_gel=DOUBLED_SHARE_OF_GEL,
    )
    hotter = replace(
        usual,
        heat_j_g=usual.heat_j_g * (1 + doubt * (heats.high / heats.usual - 1)),
        energy_j_mol=usual.energy_j_mol * energies.high / energies.usual,
        film_w_m2k=STILL_AIR_W_M2K * 0.7,
        peak_shift_k=PEAK_DOUBT_K,
    )
    return Family(*(_fitted(test, family, guess) for guess in (usual, cooler, hotter)))


def _usual(test: CupTest, family: CureClass) -> _Guess:
    return _Guess(
        heat_j_g=test.heat_of_reaction_j_g or family.heat_j_g.usual,
        energy_j_mol=test.energy_j_mol or family.energy_j_mol.usual,
        film_w_m2k=STILL_AIR_W_M2K,
    )


def _refuse_incomplete(test: CupTest) -> None:
    thermal_of(test)
    missing = [
        name
        for name, value in (("pot_life_min", test.pot_life_s), ("pot_life_mass_g", test.pot_life_mass_g))
        if not (value and isfinite(value) and value > 0)
    ]
    if missing:
        raise ShelfError(
            f"{test.name} has no {' and no '.join(missing)}, without which its heat cannot be estimated; "
            f"add {'both' if len(missing) == 2 else 'it'} to the shelf from the data sheet."
        )
    if not 5 <= test.temperature_c <= 60:
        raise ShelfError(
            f"{test.name} gives its pot life at {test.temperature_c:g} °C; a cup between 5 and 60 °C is needed."
        )


def _fitted(test: CupTest, family: CureClass, guess: _Guess) -> Calibrated:
    law = replace(family.law, energy_j_mol=guess.energy_j_mol, reference_c=test.temperature_c)
    resin = replace(thermal_of(test), heat_of_reaction_j_g=guess.heat_j_g)
    if test.peak_c is not None:
        resin = _fit_heat(test, family, guess, resin, law)
    law = _fit_rate(test, guess, resin, law)
    return Calibrated(
        name=test.name, kind=test.kind, resin=resin, law=law, film_w_m2k=guess.film_w_m2k,
        pot_life_conversion=law.gel_conversion * guess.pot_life_share_of_gel,
        figures=_figures(test, family, resin, law), boils_c=family.boils_c,
    )  # fmt: skip


def _pot(test: CupTest, guess: _Guess, mass_g: float) -> Pot:
    film = Film(air_c=test.temperature_c, coefficient_w_m2k=guess.film_w_m2k)
    return Pot(mass_g=mass_g, room=film, start_c=test.temperature_c)


def _fit_rate(test: CupTest, guess: _Guess, resin: ResinThermal, law: Kinetics) -> Kinetics:
    pot = _pot(test, guess, float(test.pot_life_mass_g or 0))
    target = float(test.pot_life_s or 0)
    at = replace(law, gel_conversion=law.gel_conversion * guess.pot_life_share_of_gel)
    # half the adiabatic rise is between a cup that keeps its heat and one that loses it
    first = at.time_to_s(at.gel_conversion, start_c=test.temperature_c, rise_k=resin.adiabatic_rise_k / 2) / target

    def excess(log_factor: float) -> float:
        return log(gel_time_s(pot, resin, at.scaled(exp(log_factor))) / target)

    return law.scaled(exp(_secant(excess, log(first), slope=-1.0, close=POT_LIFE_REL)))


def _fit_heat(test: CupTest, family: CureClass, guess: _Guess, resin: ResinThermal, law: Kinetics) -> ResinThermal:
    """*resin* with the heat that brings the cup to its stated peak, rate fitted along."""
    peak = float(test.peak_c or 0) + guess.peak_shift_k
    pot = _pot(test, guess, test.peak_mass_g or float(test.pot_life_mass_g or 0))
    low, high = family.heat_j_g.low / HEAT_FACTOR, family.heat_j_g.high * HEAT_FACTOR

    def excess(heat: float) -> float:
        with_heat = replace(resin, heat_of_reaction_j_g=heat)
        return left_standing(pot, with_heat, _fit_rate(test, guess, with_heat, law)).peak_c - peak

    first = (peak - test.temperature_c) * resin.substance.heat_capacity_j_gk / 0.85
    within = low / 2, high * 2
    needed = _secant(excess, first, slope=1 / resin.substance.heat_capacity_j_gk, close=PEAK_K, within=within)
    if not low <= needed <= high:
        raise ShelfError(
            f"{test.name} is said to peak at {test.peak_c:g} °C, which would take {needed:.0f} J/g where its class has "
            f"{family.heat_j_g.low:.0f} to {family.heat_j_g.high:.0f}; check peak_c and its mass in the shelf."
        )
    return replace(resin, heat_of_reaction_j_g=needed)


def _secant(
    excess: Callable[[float], float],
    start: float,
    *,
    slope: float,
    close: float,
    within: tuple[float, float] = (-inf, inf),
) -> float:
    """Where a rising or falling *excess* is within *close* of zero, from a first guess and its slope there."""
    x = min(max(start, within[0]), within[1])
    y = excess(x)
    for _ in range(12):
        if abs(y) <= close:
            break
        x_new = min(max(x - y / slope, within[0]), within[1])
        if x_new == x:
            break
        y_new = excess(x_new)
        if (y_new - y) / (x_new - x) * slope > 0:  # a slope of the wrong sign is rounding of the model
            slope = (y_new - y) / (x_new - x)
        x, y = x_new, y_new
    return x


def _figures(test: CupTest, family: CureClass, resin: ResinThermal, law: Kinetics) -> tuple[Figure, ...]:
    substance, usual = resin.substance, RESIN_CLASSES[test.kind].substance
    heat: Origin = "fitted" if test.peak_c is not None else _origin(test.heat_of_reaction_j_g)
    return (
        Figure("rate constant at the cup's temperature", law.k1_per_s + law.k2_per_s, "1/s", "fitted"),
        _figure("heat of reaction", resin.heat_of_reaction_j_g, "J/g", heat, family.grade),
        _figure("activation energy", law.energy_j_mol, "J/mol", _origin(test.energy_j_mol), family.grade),
        _figure(
            "heat capacity", substance.heat_capacity_j_gk, "J/(g K)", _origin(test.heat_capacity_j_gk), usual.grade
        ),
        _figure("conductivity", substance.conductivity_w_mk, "W/(m K)", _origin(test.conductivity_w_mk), usual.grade),
        Figure("gel conversion", law.gel_conversion, "1", "class", family.grade),
        Figure("order n", law.n, "1", "class", family.grade),
    )


def _origin(given: float | None) -> Origin:
    return "class" if given is None else "shelf"


def _figure(name: str, value: float, unit: str, origin: Origin, grade: Grade) -> Figure:
    return Figure(name, value, unit, origin, grade if origin == "class" else None)

"""Mix ratios from the figures of a data sheet: NCO and OH value for polyurethane, EEW and AHEW for epoxy.

For a resin whose ratio is not printed on the can, or one that somebody blends. Parts are by weight; figures of a data
sheet have a spread of some per cent, so a ratio printed by the maker always goes before one worked out here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, positive
from moldvol.materials.chemistry.kinetics import GAS_CONSTANT_J_MOLK
from moldvol.notices import Notice
from moldvol.quantities import ZERO_CELSIUS_K

# Molar masses from the standard atomic weights (IUPAC).
NCO_G_PER_MOL = 42.017
KOH_MG_PER_MOL = 56_105.6
WATER_G_PER_MOL = 18.0153
WATER_EQUIVALENT_G = WATER_G_PER_MOL / 2  # one water uses up two isocyanate groups
STANDARD_ATMOSPHERE_PA = 101_325.0

# Outside this an index is a slip of the finger: 0.9 to 1.1 is usual, some rigid foams reach 3.
LOWEST_INDEX, HIGHEST_INDEX = 0.5, 5.0
USUAL_INDEX = (0.95, 1.10)  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightParts:
    """Hardener for 100 parts of resin by weight, of an epoxy; isocyanate for 100 of polyol, of a polyurethane.

    *basis* says in a few words which figures it comes from.
    """

    kind: Literal["epoxy", "polyurethane"]
    hardener_per_100: float
    basis: str
    notices: tuple[Notice, ...] = ()

    @property
    def parts(self) -> tuple[float, float]:
        """Resin (or polyol) and hardener (or isocyanate) by weight, the resin as 100."""
        return 100.0, self.hardener_per_100


def isocyanate_equivalent_g(nco_percent: float) -> float:
    """Grams of isocyanate that hold one mole of NCO groups, from its NCO content in per cent by weight.

    Method: 100 × 42.017 / NCO %; definition, as in ASTM D2572 and ISO 14896.

    >>> round(isocyanate_equivalent_g(31.0), 1)
    135.5
    """
    return 100 * NCO_G_PER_MOL / between(nco_percent, 0.1, 60, "NCO content in per cent")


def polyol_equivalent_g(oh_value: float, *, acid_value: float = 0.0) -> float:
    """Grams of polyol that hold one mole of groups reacting with isocyanate; both values in mg KOH per g.

    Method: 56 105.6 / (OH value + acid value); definition, as in ASTM D4274 and ISO 14900.

    >>> round(polyol_equivalent_g(1810), 1)  # ethylene glycol: half of 62.07
    31.0
    """
    oh = between(oh_value, 1, 6300, "OH value in mg KOH/g")
    return KOH_MG_PER_MOL / (oh + not_negative(acid_value, "acid value in mg KOH/g"))


def urethane_parts(
    *, oh_value: float, nco_percent: float, index: float = 1.0, acid_value: float = 0.0, water_percent: float = 0.0
) -> WeightParts:
    """Isocyanate for 100 parts of polyol at an *index*, typed as 1.05 or as 105 (1 or 100 uses up every group).

    *water_percent* is water in the polyol, by weight; it counts with its equivalent weight of 9.0.
    Raises `RequestError` for figures that no polyol or isocyanate has.

    Method: index × E_isocyanate × (100/E_polyol + water/9.0); ratio of equivalents as in ASTM D7997, 3.2.4.

    >>> round(urethane_parts(oh_value=80, nco_percent=23.1).hardener_per_100, 2)
    25.94
    """
    ratio = index_as_ratio(index)
    water = between(water_percent, 0, 20, "water in the polyol in per cent")
    groups = 100 / polyol_equivalent_g(oh_value, acid_value=acid_value) + water / WATER_EQUIVALENT_G
    return WeightParts(
        kind="polyurethane",
        hardener_per_100=ratio * isocyanate_equivalent_g(nco_percent) * groups,
        basis=f"OH value {oh_value:g}, NCO {nco_percent:g} %, index {ratio:g}",
        notices=_index_notices(ratio) + _water_notices(water),
    )


def index_as_ratio(index: float) -> float:
    """The isocyanate index as a ratio of equivalents, whether typed as 1.05 or as 105.

    Raises `RequestError` for what can be neither.

    >>> index_as_ratio(105), index_as_ratio(1.05)
    (1.05, 1.05)
    """
    ratio = index / 100 if index >= 100 * LOWEST_INDEX else index
    if not LOWEST_INDEX <= ratio <= HIGHEST_INDEX:
        raise RequestError(f"The index is {index:g}; give it like 1.05 or 105.", what="index", value=index)
    return ratio


def carbon_dioxide_ml(
    water_g: float, *, temperature_c: float = 20.0, pressure_pa: float = STANDARD_ATMOSPHERE_PA
) -> float:
    """Gas in ml that *water_g* of damp sets free from isocyanate: why a damp filler foams the cast.

    Method: 2 R-NCO + H2O gives one CO2 per water; ideal gas. Error: under 1 % for CO2 at room conditions.

    >>> round(carbon_dioxide_ml(1.0))
    1335
    """
    moles = not_negative(water_g, "mass of water in g") / WATER_G_PER_MOL
    kelvin = positive(temperature_c + ZERO_CELSIUS_K, "absolute temperature in K")
    return moles * GAS_CONSTANT_J_MOLK * kelvin / positive(pressure_pa, "pressure in Pa") * 1e6


def epoxy_parts(*, eew: float, ahew: float) -> WeightParts:
    """Hardener for 100 parts of epoxy resin from epoxide and active-hydrogen equivalent weights, both in g.

    Method: phr = 100 × AHEW / EEW, one active hydrogen to one epoxide (EEW as in ASTM D1652, ISO 3001).
    Meant for amine hardeners: anhydrides and catalytic hardeners are dosed otherwise.

    >>> round(epoxy_parts(eew=190, ahew=24.37).hardener_per_100, 2)
    12.83
    """
    epoxide = between(eew, 40, 10_000, "epoxide equivalent weight (EEW) in g")
    hydrogen = between(ahew, 7, 2_000, "active-hydrogen equivalent weight (AHEW) in g")
    more_is_worse = Notice(
        "epoxy-ratio", "An epoxy is hardest at its exact ratio; a bit more hardener for a faster cure only spoils it."
    )
    return WeightParts(
        kind="epoxy",
        hardener_per_100=100 * hydrogen / epoxide,
        basis=f"EEW {eew:g}, AHEW {ahew:g}",
        notices=(more_is_worse,),
    )


def active_hydrogen_equivalent_g(molar_mass_g: float, active_hydrogens: int) -> float:
    """AHEW in g of a pure amine: its molar mass shared among the hydrogens on nitrogen.

    >>> round(active_hydrogen_equivalent_g(146.24, 6), 2)  # triethylenetetramine
    24.37
    """
    return positive(molar_mass_g, "molar mass in g/mol") / positive(active_hydrogens, "number of active hydrogens")


def blend_eew(portions: Iterable[tuple[float, float | None]]) -> float:
    """EEW in g of a blend of (grams, EEW) portions; an inert filler or pigment has the EEW ``None``.

    Raises `RequestError` if nothing in the blend is an epoxy.

    Method: mass over equivalents, Σw / Σ(w/EEW); an inert portion adds mass only.

    >>> round(blend_eew([(80, 189), (10, 183), (10, None)]), 1)
    209.2
    """
    mass = equivalents = 0.0
    for grams, eew in portions:
        mass += not_negative(grams, "mass of a portion of the blend in g")
        if eew is not None:
            equivalents += grams / positive(eew, "EEW of a portion of the blend in g")
    if equivalents == 0:
        raise RequestError("The blend holds no epoxy; give at least one portion its EEW.")
    return mass / equivalents


def _index_notices(ratio: float) -> tuple[Notice, ...]:
    low, high = USUAL_INDEX
    if ratio < low:
        return (Notice("index-low", f"An index of {ratio:g} lacks isocyanate: the cast stays soft, sticky and weak."),)
    if ratio > high:
        return (
            Notice("index-high", f"An index of {ratio:g} has isocyanate to spare: brittle, and slow to react off."),
        )
    return ()


def _water_notices(water_percent: float) -> tuple[Notice, ...]:
    if water_percent == 0:
        return ()
    litres = carbon_dioxide_ml(water_percent * 10) / 1000
    return (Notice("water-foams", f"The water in 1 kg of this polyol sets free {litres:.1f} litres of gas: a foam."),)

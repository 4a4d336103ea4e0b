"""How materials hold and lead heat: class values with grade and source, and the mixing rules for fillers.

Densities in g/cm³, conductivities in W/(m K), heat capacities in J/(g K), heats of reaction in J/g.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from moldvol.errors import RequestError
from moldvol.materials.grade import Grade

# Free convection and radiation together off a warm upright surface in a room: common practice, from memory.
STILL_AIR_W_M2K = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Substance:
    """What conduction needs to know of a material; ``limit_c`` is what its surface bears, where one is known."""

    name: str
    density_g_cm3: float
    conductivity_w_mk: float
    heat_capacity_j_gk: float
    grade: Grade
    limit_c: float | None = None

    @property
    def capacity_j_mm3k(self) -> float:
        """Heat that warms one mm³ by one kelvin, J."""
        return self.density_g_cm3 * 1e-3 * self.heat_capacity_j_gk

    @property
    def diffusivity_mm2_s(self) -> float:
        """Conductivity over volumetric heat capacity, mm²/s."""
        return self.conductivity_w_mk * 1e-3 / self.capacity_j_mm3k


@dataclass(frozen=True, slots=True, kw_only=True)
class ResinThermal:
    """A casting resin as a source of heat: its substance and the heat it releases on full conversion, J per g."""

    substance: Substance
    heat_of_reaction_j_g: float

    @property
    def adiabatic_rise_k(self) -> float:
        """Temperature rise if no heat at all escapes, K: nothing short of decomposition exceeds it.

        >>> round(RESIN_CLASSES["polyester"].adiabatic_rise_k, 1)
        191.1
        """
        return self.heat_of_reaction_j_g / self.substance.heat_capacity_j_gk


# The design value of pure silicone in EN ISO 10077-2 is 0.35 W/(m K); unfilled mould rubber shows 0.15 to 0.20, and the
# lower figure is the hotter, safer one.
MOULD_MATERIALS: Mapping[str, Substance] = {
    "silicone": Substance(
        name="silicone", density_g_cm3=1.10, conductivity_w_mk=0.20, heat_capacity_j_gk=1.40, limit_c=180.0,
        grade=Grade("from memory", "unfilled room-temperature-curing rubber; EN ISO 10077-2 gives 0.35 W/(m K)"),
    ),
    "urethane-rubber": Substance(
        name="urethane-rubber", density_g_cm3=1.10, conductivity_w_mk=0.21, heat_capacity_j_gk=1.80, limit_c=80.0,
        grade=Grade("published", "solid polyurethane, open table after the CRC Handbook; limit from memory"),
    ),
    "plaster": Substance(
        name="plaster", density_g_cm3=1.20, conductivity_w_mk=0.43, heat_capacity_j_gk=1.00, limit_c=60.0,
        grade=Grade("from memory", "EN ISO 10456, gypsum of 1200 kg/m³; above the limit it slowly gives up its water"),
    ),
}  # fmt: skip

_POLYURETHANE = Substance(
    name="polyurethane", density_g_cm3=1.10, conductivity_w_mk=0.20, heat_capacity_j_gk=1.80,
    grade=Grade("published", "0.21 W/(m K), open table after the CRC Handbook; EN ISO 10456 gives 0.25"),
)  # fmt: skip
_POLYESTER = Substance(
    name="polyester", density_g_cm3=1.12, conductivity_w_mk=0.19, heat_capacity_j_gk=1.90,
    grade=Grade("standard", "conductivity EN ISO 10077-2; heat capacity within 1.26 to 2.3 of an open table"),
)  # fmt: skip
_EPOXY = Substance(
    name="epoxy", density_g_cm3=1.12, conductivity_w_mk=0.20, heat_capacity_j_gk=1.90,
    grade=Grade("from memory", "conductivity EN ISO 10456, liquid heat capacity 1.8 to 2.1"),
)  # fmt: skip

# Heats: urethane 68.5 kJ/mol NCO (input data of an EU FP7 polyurethane modelling project after Baser and Khakhar,
# Polym. Eng. Sci. 34, 1994) to 85 kJ/mol; styrene and polyester 66 kJ/mol C=C (Lucas, Borrajo, Williams, Polymer 34,
# 1993, 3216); epoxide and amine 107 kJ/mol, from memory. The J/g follow for usual recipes; `materials.kinetics` holds
# their spread.
RESIN_CLASSES: Mapping[str, ResinThermal] = {
    "polyurethane": ResinThermal(substance=_POLYURETHANE, heat_of_reaction_j_g=280.0),
    "polyester": ResinThermal(substance=_POLYESTER, heat_of_reaction_j_g=363.0),
    "epoxy": ResinThermal(substance=_EPOXY, heat_of_reaction_j_g=460.0),
}

FILLERS: Mapping[str, Substance] = {
    "chalk": Substance(
        name="chalk", density_g_cm3=2.71, conductivity_w_mk=2.5, heat_capacity_j_gk=0.83,
        grade=Grade("from memory", "calcium carbonate, CRC Handbook"),
    ),
    "aluminium powder": Substance(
        name="aluminium powder", density_g_cm3=2.70, conductivity_w_mk=230.0, heat_capacity_j_gk=0.88,
        grade=Grade("standard", "CIBSE Guide A, solid aluminium"),
    ),
}  # fmt: skip

MOST_POURABLE_SHARE = 0.40  # by volume; mixes stop pouring between 0.35 and 0.45, from memory


def mould_material(name: str) -> Substance:
    """The mould material called *name*; raises `RequestError` for one that is not in the table."""
    try:
        return MOULD_MATERIALS[name]
    except KeyError:
        known = ", ".join(sorted(MOULD_MATERIALS))
        raise RequestError(f"'{name}' is not a mould material with known heat values; choose one of {known}.") from None


def filler_share(resin: ResinThermal, filler: Substance, *, parts_per_100: float) -> float:
    """Share by volume of *parts_per_100* g of *filler* in 100 g of *resin*.

    >>> round(filler_share(RESIN_CLASSES["polyester"], FILLERS["chalk"], parts_per_100=100), 3)
    0.292
    """
    of_filler = parts_per_100 / filler.density_g_cm3
    return of_filler / (of_filler + 100 / resin.substance.density_g_cm3)


def pours(resin: ResinThermal, filler: Substance, *, parts_per_100: float) -> bool:
    """Whether the mix can still be poured."""
    return 0 <= filler_share(resin, filler, parts_per_100=parts_per_100) <= MOST_POURABLE_SHARE


def filled(resin: ResinThermal, filler: Substance, *, parts_per_100: float) -> ResinThermal:
    """*resin* with *parts_per_100* g of *filler* in 100 g of it.

    Raises `RequestError` where the mix would no longer pour.

    Method: volumes and heat capacities add; only the resin's share releases heat; conductivity of spheres in a matrix
    (J. C. Maxwell, A Treatise on Electricity and Magnetism, 1873, art. 314), which is the least a filler can give, so
    the estimate stays on the hot side.

    >>> round(filled(RESIN_CLASSES["polyester"], FILLERS["chalk"], parts_per_100=100).adiabatic_rise_k, 1)
    133.0
    """
    base = resin.substance
    by_volume = filler_share(resin, filler, parts_per_100=parts_per_100)
    if not pours(resin, filler, parts_per_100=parts_per_100):
        raise RequestError(
            f"{parts_per_100:g} parts of {filler.name} in 100 of {base.name} fill {by_volume:.0%} of the mix, "
            f"which no longer pours; keep it between 0 and {MOST_POURABLE_SHARE:.0%}."
        )
    resin_share = 100 / (100 + parts_per_100)
    capacity = resin_share * base.heat_capacity_j_gk + (1 - resin_share) * filler.heat_capacity_j_gk
    mixed = replace(
        base,
        name=f"{base.name} with {parts_per_100:g} parts of {filler.name}",
        density_g_cm3=(1 - by_volume) * base.density_g_cm3 + by_volume * filler.density_g_cm3,
        heat_capacity_j_gk=capacity,
        conductivity_w_mk=maxwell_conductivity_w_mk(base.conductivity_w_mk, filler.conductivity_w_mk, by_volume),
    )
    return replace(resin, substance=mixed, heat_of_reaction_j_g=resin.heat_of_reaction_j_g * resin_share)


def maxwell_conductivity_w_mk(matrix_w_mk: float, spheres_w_mk: float, share: float) -> float:
    """Conductivity of a matrix in which the volume *share* is spheres, W/(m K).

    >>> maxwell_conductivity_w_mk(0.2, 0.2, 0.3)
    0.2
    """
    excess = share * (spheres_w_mk - matrix_w_mk)
    both = spheres_w_mk + 2 * matrix_w_mk
    return matrix_w_mk * (both + 2 * excess) / (both - excess)

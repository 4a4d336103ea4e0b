"""Rigid polyurethane foam poured into the hollow of a cast: how little liquid fills how much core."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, positive
from moldvol.notices import Notice

# Free-rise densities that two-part foams are sold by: 2, 3, 4, 6, 8 and 16 lb/ft³ (from memory).
USUAL_FREE_RISE_KG_M3 = (32.0, 48.0, 64.0, 96.0, 128.0, 256.0)
USUAL_OVERPACK = 0.15  # 10 to 20 % are common practice, from memory
HOT_BATCH_G = 500.0  # common practice, no source: foam keeps its own heat in


@dataclass(frozen=True, slots=True, kw_only=True)
class FoamCharge:
    """Mixed liquid foam for one core. *expansion_ratio* is volume of foam in the core to volume of liquid."""

    core_volume_mm3: float
    free_rise_kg_m3: float
    moulded_kg_m3: float
    overpack: float
    liquid_mass_g: float
    liquid_volume_ml: float
    expansion_ratio: float
    notices: tuple[Notice, ...] = ()


def foam_for_core(
    core_volume_mm3: float,
    free_rise_kg_m3: float,
    *,
    overpack: float = USUAL_OVERPACK,
    liquid_kg_m3: float = 1100.0,
) -> FoamCharge:
    """Liquid that foams up to fill *core_volume_mm3*, with *overpack* (a share of one) more than free rise would need.

    Free-rise density is what the data sheet gives, measured on foam risen in an open cup (ISO 845, ASTM D1622).
    Raises `RequestError` for a foam denser than its liquid.

    Method: moulded density = free rise × (1 + overpack); mass = moulded density × volume. Common practice, from memory.
    Error: free rise itself moves with temperature and batch size (common practice: pour a trial cup first).

    >>> round(foam_for_core(2e6, 64).liquid_mass_g, 1)
    147.2
    """
    moulded = moulded_kg_m3(free_rise_kg_m3, overpack)
    expansion = expansion_ratio(liquid_kg_m3, moulded)
    volume_mm3 = not_negative(core_volume_mm3, "volume of the core in mm³")
    mass_g = moulded * volume_mm3 * 1e-6
    return FoamCharge(
        core_volume_mm3=volume_mm3,
        free_rise_kg_m3=free_rise_kg_m3,
        moulded_kg_m3=moulded,
        overpack=overpack,
        liquid_mass_g=mass_g,
        liquid_volume_ml=volume_mm3 / 1000 / expansion,
        expansion_ratio=expansion,
        notices=_notices(mass_g, overpack),
    )


def moulded_kg_m3(free_rise_kg_m3: float, overpack: float) -> float:
    """Density of the foam held in a closed core, in kg/m³.

    >>> round(moulded_kg_m3(64, 0.15), 1)
    73.6
    """
    return positive(free_rise_kg_m3, "free-rise density in kg/m³") * (
        1 + between(overpack, 0, 1, "overpack as a share")
    )


def expansion_ratio(liquid_kg_m3: float, foam_kg_m3: float) -> float:
    """How many times its own volume the liquid fills as foam.

    Raises `RequestError` if the foam would be denser than the liquid: then it is no foam.

    >>> round(expansion_ratio(1100, 64), 1)
    17.2
    """
    ratio = positive(liquid_kg_m3, "density of the liquid in kg/m³") / positive(
        foam_kg_m3, "density of the foam in kg/m³"
    )
    if ratio < 1:
        raise RequestError(
            f"The foam of {foam_kg_m3:g} kg/m³ would be denser than its liquid of {liquid_kg_m3:g} kg/m³; "
            "check both densities and their units."
        )
    return ratio


def _notices(mass_g: float, overpack: float) -> tuple[Notice, ...]:
    vent = Notice("foam-vent", "Rising foam pushes: leave it a vent, and hold the mould shut until it is firm.")
    hot = Notice("foam-heat", f"{mass_g:.0f} g of foam keeps its heat in and can scorch: fill the core in stages.")
    burst = Notice(
        "foam-overpack", f"An overpack of {overpack * 100:.0f} % can burst a thin shell; 10 to 20 % is usual."
    )
    return (vent,) + (hot,) * (mass_g > HOT_BATCH_G) + (burst,) * (overpack > 0.3)

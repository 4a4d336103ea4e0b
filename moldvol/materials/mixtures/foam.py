"""Rigid polyurethane foam poured into the hollow of a cast: how little liquid fills how much core.

Densities in g/ml: the 64 kg/m³ (4 lb/ft³) of a data sheet are 0.064.
"""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, positive
from moldvol.notices import Notice

USUAL_LIQUID_G_ML = 1.10  # from memory
USUAL_OVERPACK = 0.15  # 10 to 20 % are common practice, from memory
HOT_BATCH_G = 500.0  # common practice, no source: foam keeps its own heat in


@dataclass(frozen=True, slots=True, kw_only=True)
class FoamCharge:
    """Mixed liquid foam for one core. *expansion_ratio* is volume of foam in the core to volume of liquid."""

    core_volume_mm3: float
    free_rise_g_ml: float
    moulded_g_ml: float
    overpack: float
    liquid_mass_g: float
    liquid_volume_ml: float
    expansion_ratio: float
    notices: tuple[Notice, ...] = ()


def foam_for_core(
    core_volume_mm3: float,
    free_rise_g_ml: float,
    *,
    overpack: float = USUAL_OVERPACK,
    liquid_g_ml: float = USUAL_LIQUID_G_ML,
) -> FoamCharge:
    """Liquid that foams up to fill *core_volume_mm3*, with *overpack* (a share of one) more than free rise would need.

    Free-rise density is what the data sheet gives, measured on foam risen in an open cup (ISO 845, ASTM D1622).
    Raises `RequestError` for a foam denser than its liquid.

    Method: moulded density = free rise × (1 + overpack); mass = moulded density × volume. Common practice, from memory.
    Error: free rise itself moves with temperature and batch size (common practice: pour a trial cup first).

    >>> round(foam_for_core(2e6, 0.064).liquid_mass_g, 1)
    147.2
    """
    moulded = moulded_g_ml(free_rise_g_ml, overpack)
    expansion = expansion_ratio(liquid_g_ml, moulded)
    volume_mm3 = not_negative(core_volume_mm3, "volume of the core in mm³")
    mass_g = moulded * volume_mm3 / 1000
    return FoamCharge(
        core_volume_mm3=volume_mm3,
        free_rise_g_ml=free_rise_g_ml,
        moulded_g_ml=moulded,
        overpack=overpack,
        liquid_mass_g=mass_g,
        liquid_volume_ml=volume_mm3 / 1000 / expansion,
        expansion_ratio=expansion,
        notices=_notices(mass_g, overpack),
    )


def moulded_g_ml(free_rise_g_ml: float, overpack: float) -> float:
    """Density of the foam held in a closed core, in g/ml.

    >>> round(moulded_g_ml(0.064, 0.15), 4)
    0.0736
    """
    return positive(free_rise_g_ml, "free-rise density in g/ml") * (
        1 + between(100 * overpack, 0, 100, "overpack in per cent") / 100
    )


def expansion_ratio(liquid_g_ml: float, foam_g_ml: float) -> float:
    """How many times its own volume the liquid fills as foam.

    Raises `RequestError` if the foam would be denser than the liquid: then it is no foam.

    >>> round(expansion_ratio(1.1, 0.064), 1)
    17.2
    """
    ratio = positive(liquid_g_ml, "density of the liquid in g/ml") / positive(foam_g_ml, "density of the foam in g/ml")
    if ratio < 1:
        raise RequestError(
            f"The foam of {foam_g_ml:g} g/ml would be denser than its liquid of {liquid_g_ml:g} g/ml; "
            "check both densities and their units."
        )
    return ratio


def _notices(mass_g: float, overpack: float) -> tuple[Notice, ...]:
    vent = Notice("foam-vent", "Rising foam pushes: leave it a vent, and hold the mould shut until it is firm.")
    hot = Notice(
        "foam-heat", f"{mass_g:.0f} g of foam keeps its heat in and can scorch: fill the core in stages.", True
    )
    burst = Notice(
        "foam-overpack", f"An overpack of {overpack * 100:.0f} % can burst a thin shell; 10 to 20 % is usual.", True
    )
    return (vent,) + (hot,) * (mass_g > HOT_BATCH_G) + (burst,) * (overpack > 0.3)

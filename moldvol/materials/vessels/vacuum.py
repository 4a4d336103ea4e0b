"""Air under vacuum: how much a mix rises while it is degassed, and what a vacuum gauge can show at all.

Pressures in Pa, absolute unless the name says gauge. A vacuum gauge shows how far below the air outside it is, so the
same needle means less vacuum in the mountains.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, positive
from moldvol.notices import Notice
from moldvol.quantities import PA_PER_INHG, PA_PER_MMHG

SEA_LEVEL_PA = 101_325.0  # exact by definition
STYRENE_VAPOUR_PA = 5 * PA_PER_MMHG  # at 20 °C, NIOSH
WATER_VAPOUR_PA = 2340.0  # at 20 °C, from memory
# Froth stands and does not fall before about 28 inHg at sea level (common practice in open guides).
FROTH_FALLS_PA = SEA_LEVEL_PA - 28 * PA_PER_INHG
USUAL_AIR_SHARE = 0.10  # entrained by stirring; common practice, what the "container of 3 to 5 times" rule amounts to


@dataclass(frozen=True, slots=True, kw_only=True)
class Degassing:
    """A mix under vacuum. *rise* is the height of froth and liquid over the liquid's alone, in a straight container."""

    absolute_pa: float
    gauge_pa: float
    atmosphere_pa: float
    gas_expansion: float
    rise: float
    liquid_volume_ml: float
    container_ml: float
    notices: tuple[Notice, ...] = ()


def atmosphere_pa(altitude_m: float) -> float:
    """Air pressure in Pa at a height above the sea, on a day of standard weather.

    Method: 101 325 × (1 − 2.25577e-5 h)^5.25588, ISO 2533 (standard atmosphere). Error: weather moves it by ±3 %.

    >>> round(atmosphere_pa(1000), -1)
    89870.0
    """
    height = between(altitude_m, -500, 9000, "height above the sea in m")
    return SEA_LEVEL_PA * math.pow(1 - 2.25577e-5 * height, 5.25588)


def absolute_from_vacuum_gauge(gauge_pa: float, *, altitude_m: float = 0.0) -> float:
    """Absolute pressure in Pa where a vacuum gauge shows *gauge_pa* below the air outside.

    Raises `RequestError` for a reading that the air at *altitude_m* does not allow.

    >>> round(absolute_from_vacuum_gauge(29 * PA_PER_INHG) / 100, 1)  # mbar
    31.2
    """
    outside = atmosphere_pa(altitude_m)
    if not 0 <= gauge_pa < outside:
        raise RequestError(
            f"A vacuum gauge cannot show {gauge_pa / PA_PER_INHG:.4g} inHg where the air has "
            f"{outside / PA_PER_INHG:.4g} inHg ({altitude_m:g} m above the sea); "
            "give a smaller reading, or the absolute pressure."
        )
    return outside - gauge_pa


def degas(
    liquid_volume_ml: float,
    *,
    absolute_pa: float,
    air_share: float = USUAL_AIR_SHARE,
    altitude_m: float = 0.0,
    headroom: float = 0.25,
) -> Degassing:
    """The container that *liquid_volume_ml* will not climb out of when pumped down to *absolute_pa*.

    *air_share* is volume of entrained air to volume of liquid, before pumping; *headroom* how much more than the froth
    the container holds: with 0.25 a fifth of it stays free. Raises `RequestError` for a pressure that is no vacuum.

    Method: Boyle: the air grows by P0/P, so the rise is 1 + air × P0/P. Bubbles are taken to stay until the end, which
    is the worst case: letting air in now and then makes the froth fall.
    """
    outside = atmosphere_pa(altitude_m)
    if not 0 < absolute_pa <= outside:
        raise RequestError(
            f"An absolute pressure of {absolute_pa / 100:g} mbar is no vacuum under air of {outside / 100:.0f} mbar; "
            "give one between."
        )
    expansion = outside / absolute_pa
    rise = 1 + not_negative(air_share, "share of entrained air") * expansion
    liquid = positive(liquid_volume_ml, "volume of liquid in ml")
    return Degassing(
        absolute_pa=absolute_pa,
        gauge_pa=outside - absolute_pa,
        atmosphere_pa=outside,
        gas_expansion=expansion,
        rise=rise,
        liquid_volume_ml=liquid,
        container_ml=liquid * rise * (1 + not_negative(headroom, "headroom as a share")),
        notices=_degassing_notices(absolute_pa),
    )


def _degassing_notices(absolute_pa: float) -> tuple[Notice, ...]:
    at = f"At {absolute_pa / 100:.0f} mbar absolute"
    froth = Notice("froth-stands", f"{at} froth may stand and not fall; about 65 mbar or less is wanted.")
    water = Notice("water-boils", f"{at} damp in the parts boils at room temperature, and looks like endless air.")
    styrene = Notice("styrene-boils", f"{at} styrene boils off a polyester: do not pump it.")
    return (
        (froth,) * (absolute_pa > FROTH_FALLS_PA)
        + (water,) * (absolute_pa <= WATER_VAPOUR_PA)
        + (styrene,) * (absolute_pa <= STYRENE_VAPOUR_PA)
    )

"""Shares of the parts in a mix: by weight, by volume, and what confusing the two would do.

Masses in g, densities in g/ml, shares as fractions of the whole mass, in the order of the parts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative, positive
from moldvol.materials.resin import Resin
from moldvol.notices import Notice

WORTH_SAYING = 0.005  # below half a per cent a ratio by volume may be weighed as it stands


def shares(parts: Sequence[float]) -> tuple[float, ...]:
    """Each part as a fraction of their sum.

    >>> shares((100, 60))
    (0.625, 0.375)
    """
    total = math.fsum(positive(part, "part of the ratio") for part in parts)
    return tuple(part / total for part in parts)


def mass_shares(resin: Resin) -> tuple[float, ...]:
    """The share of each part in the mass of the mix.

    Method: parts by weight as they stand; parts by volume times density.
    """
    if not resin.given_by_volume:
        return shares([_stated(part.by_weight, part.name, "by_weight") for part in resin.parts])
    volumes = [_stated(part.by_volume, part.name, "by_volume") for part in resin.parts]
    return shares(weight_ratio(volumes, [_stated(part.density_g_ml, part.name, "density") for part in resin.parts]))


def split(total: float, parts: Sequence[float]) -> tuple[float, ...]:
    """*total* divided in the ratio *parts*; the pieces add up to it.

    >>> [round(mass, 2) for mass in split(500, (100, 90))]
    [263.16, 236.84]
    """
    not_negative(total, "amount to divide")
    return tuple(total * share for share in shares(parts))


def weight_ratio(volumes: Sequence[float], densities: Sequence[float]) -> tuple[float, ...]:
    """The ratio by weight of parts measured by volume, the first part as 100.

    >>> [round(part, 1) for part in weight_ratio((1, 1), (1.03, 1.22))]
    [100.0, 118.4]
    """
    weights = [
        positive(volume, "part by volume") * positive(density, "density of a part in g/ml")
        for volume, density in zip(volumes, densities, strict=True)
    ]
    return tuple(100 * weight / weights[0] for weight in weights)


def volume_ratio(weights: Sequence[float], densities: Sequence[float]) -> tuple[float, ...]:
    """The ratio by volume of parts measured by weight, the last part as 1.

    >>> [round(part, 4) for part in volume_ratio((100, 90), (1.03, 1.22))]
    [1.3161, 1.0]
    """
    volumes = [
        positive(weight, "part by weight") / positive(density, "density of a part in g/ml")
        for weight, density in zip(weights, densities, strict=True)
    ]
    return tuple(volume / volumes[-1] for volume in volumes)


def short_if_weighed(volumes: Sequence[float], densities: Sequence[float]) -> tuple[float, ...]:
    """How short each part is of its due, as a share, if a ratio by volume is weighed out as if by weight.

    Against the lightest part, of which then too much is in the cup; 0 for that part itself.

    >>> [round(share, 4) for share in short_if_weighed((1, 1), (1.03, 1.22))]
    [0.0, 0.1557]
    """
    weight_ratio(volumes, densities)  # refuses impossible figures
    lightest = min(densities)
    return tuple(1 - lightest / density for density in densities)


def volume_ratio_notice(resin: Resin) -> tuple[Notice, ...]:
    """A warning for a resin whose can gives parts by volume, where weighing that ratio would spoil the mix."""
    if not resin.given_by_volume:
        return ()
    volumes = [_stated(part.by_volume, part.name, "by_volume") for part in resin.parts]
    densities = [_stated(part.density_g_ml, part.name, "density") for part in resin.parts]
    short = short_if_weighed(volumes, densities)
    worst = max(range(len(short)), key=short.__getitem__)
    if short[worst] < WORTH_SAYING:
        return ()
    by_volume = ":".join(f"{volume:g}" for volume in volumes)
    by_weight = ":".join(f"{weight:.1f}".rstrip("0").rstrip(".") for weight in weight_ratio(volumes, densities))
    name = resin.name[:1].upper() + resin.name[1:]
    return (
        Notice(
            "ratio-by-volume",
            f"{name} is mixed {by_volume} by volume, which is {by_weight} by weight; weighing it {by_volume} would "
            f"leave {resin.parts[worst].name} {short[worst] * 100:.1f} % short.",
        ),
    )


def _stated(value: float | None, part: str, what: str) -> float:
    if value is None:
        raise RequestError(f"Part {part} has no {what}; add it to the resin.", part=part)
    return value

"""Fillers, powders and pigments in a resin: the mixed density, and whether the mix still pours.

Masses in g, densities in g/ml, volumes in ml. Volumes add; no air is stirred in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import positive
from moldvol.materials.filler import Filler
from moldvol.notices import Notice

# From memory: pourable mixes stay below 0.35 to 0.45 of filler by volume.
STIFFENS_FROM, STOPS_POURING = 0.35, 0.45


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """A filler and how much of it: parts to 100 parts of mixed resin, either by weight or by volume."""

    filler: Filler
    by_weight: float | None = None
    by_volume: float | None = None

    def __post_init__(self) -> None:
        if (self.by_weight is None) == (self.by_volume is None):
            raise RequestError(f"Give {self.filler.name} either by weight or by volume, one of the two.")
        positive(self.by_weight or self.by_volume or 0.0, f"amount of {self.filler.name}")

    def mass_per_g(self, resin_density_g_ml: float) -> float:
        """Grams of it to one gram of mixed resin."""
        if self.by_weight is not None:
            return self.by_weight / 100
        return (self.by_volume or 0.0) / 100 * self.filler.density_g_ml / resin_density_g_ml


def mixed_density_g_ml(portions: Iterable[tuple[float, float]]) -> float:
    """Density of a mix of (mass in g, density in g/ml) portions.

    Method: 1/ρ = Σ wᵢ/ρᵢ. Error: none but stirred-in air, for portions that do not dissolve in each other.

    >>> round(mixed_density_g_ml([(100, 1.12), (100, 2.71)]), 5)
    1.58496
    """
    pairs = list(portions)
    volume = math.fsum(mass / positive(density, "density of a portion in g/ml") for mass, density in pairs)
    return math.fsum(mass for mass, _ in pairs) / positive(volume, "volume of the mix in ml")


def volume_shares(portions: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """The share of each (mass in g, density in g/ml) portion in the volume of the mix.

    >>> [round(share, 5) for share in volume_shares([(100, 1.12), (100, 2.71)])]
    [0.70757, 0.29243]
    """
    volumes = [mass / positive(density, "density of a portion in g/ml") for mass, density in portions]
    whole = positive(math.fsum(volumes), "volume of the mix in ml")
    return tuple(volume / whole for volume in volumes)


def filler_share(additions: Sequence[Addition], resin_density_g_ml: float) -> float:
    """The share of all grains together in the volume of the mix; pigment pastes count as liquid."""
    grains = math.fsum(
        addition.mass_per_g(resin_density_g_ml) / addition.filler.density_g_ml
        for addition in additions
        if addition.filler.kind != "pigment"
    )
    pastes = math.fsum(
        addition.mass_per_g(resin_density_g_ml) / addition.filler.density_g_ml
        for addition in additions
        if addition.filler.kind == "pigment"
    )
    return grains / (grains + pastes + 1 / resin_density_g_ml)


def addition_notices(additions: Sequence[Addition], resin_density_g_ml: float) -> tuple[Notice, ...]:
    """Whether the mix still pours, and doses outside the usual.

    Raises `RequestError` where the resin would no longer fill the gaps between the grains: volumes do not add then.
    """
    if not additions:
        return ()
    share = filler_share(additions, resin_density_g_ml)
    limit = min(addition.filler.packing_limit for addition in additions)
    if share > limit:
        raise RequestError(
            f"The fillers would take {share * 100:.0f} % of the volume, and beyond {limit * 100:.0f} % the resin no "
            "longer fills the gaps between their grains; take less filler.",
            value=share,
        )
    doses = (notice for addition in additions for notice in _dose_notices(addition, resin_density_g_ml))
    return _pouring_notices(share) + tuple(doses)


def _pouring_notices(share: float) -> tuple[Notice, ...]:
    percent = f"{share * 100:.0f} % of the volume is filler"
    if share > STOPS_POURING:
        return (
            Notice(
                "filler-will-not-pour", f"{percent}: this has to be packed in, not poured (pourable up to 35 to 45 %)."
            ),
        )
    if share > STIFFENS_FROM:
        return (Notice("filler-stiff", f"{percent}: the mix is stiff and may not pour (pourable up to 35 to 45 %)."),)
    return ()


def _dose_notices(addition: Addition, resin_density_g_ml: float) -> tuple[Notice, ...]:
    filler, dose = addition.filler, addition.mass_per_g(resin_density_g_ml) * 100
    if filler.percent_high is None or dose <= filler.percent_high:
        return ()
    return (
        Notice(
            "addition-dose",
            f"{dose:.3g} % of {filler.name} is more than the usual {filler.percent_low or 0:g} to "
            f"{filler.percent_high:g} % by weight: try it in a small cup first.",
        ),
    )

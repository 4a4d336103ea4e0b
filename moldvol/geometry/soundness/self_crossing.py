"""A body that runs through itself: found, and measured, by counting skins along columns."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.geometry.columns import column_crossings, column_lattice, column_volumes
from moldvol.geometry.mesh import Mesh

COLUMNS_ACROSS = 66
# Doubled volume below this share is the lattice grazing creases, not a body through itself.
LEAST_SHARE = 2e-5


@dataclass(frozen=True, slots=True)
class DoubledVolume:
    """Volume that more than one skin of the same orientation surrounds: what the plain sum counts too often."""

    excess_mm3: float
    error_mm3: float


def doubled_volume(mesh: Mesh, volume_mm3: float) -> DoubledVolume | None:
    """By how much the signed sum over *mesh* differs from its positive fill; None when nothing is counted twice.

    Error: that of sampling the doubled part on the lattice, so it shrinks with the part it measures.
    """
    volumes = column_volumes(column_crossings(mesh, *column_lattice(mesh.bounds, COLUMNS_ACROSS)))
    if volumes.doubled_mm3 <= LEAST_SHARE * volume_mm3:
        return None
    # The difference is sampled column by column on the same lattice, so its own error is that of the doubled part.
    return DoubledVolume(
        volumes.signed_mm3 - volumes.filled_mm3, max(volumes.doubled_error_mm3, 0.02 * volumes.doubled_mm3)
    )

"""A part measured once for every question about hollowing it: the slow second is spent here, and nowhere else.

Lengths in mm, volumes in mm³.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.inscribed import InscribedBall, thickest_section
from moldvol.geometry.field.opening import Opening
from moldvol.geometry.field.reach import Reach
from moldvol.geometry.field.shell import solid_share
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.solid import Solid


def field_of(solid: Solid, *, interior_points: int, progress: Callable[[float], None] | None = None) -> DistanceField:
    """The distance field of the outside of *solid*: what a mould touches."""
    return DistanceField.of(
        solid.outer, interior_points=interior_points, volume_mm3=solid.outer_volume_mm3, progress=progress
    )


@dataclass(frozen=True)
class HollowPart:
    """``solid`` with its ``field`` and the ``reach`` from a pour opening; remembers each wall it was asked for."""

    solid: Solid
    field: DistanceField
    reach: Reach
    _shells: dict[float, Volume] = dataclasses.field(default_factory=dict, repr=False, compare=False)
    _shares: dict[float, float] = dataclasses.field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, solid: Solid, distances: DistanceField, opening: Opening = None) -> HollowPart:
        """The part with resin entering at *opening*. Raises `RequestError` for an opening that is none."""
        return cls(solid, distances, Reach.of(distances, opening))

    @cached_property
    def thickest(self) -> InscribedBall:
        """The largest ball inside: where a solid cast runs hottest."""
        return thickest_section(self.field)

    def shell(self, wall_mm: float) -> Volume:
        """The resin in a wall of *wall_mm*, parts closing off as they do."""
        if wall_mm not in self._shells:
            self._shells[wall_mm] = self.reach.shell_volume(wall_mm)
        return self._shells[wall_mm]

    def solid_share(self, wall_mm: float) -> float:
        """Share of the surface under which the part comes out solid at *wall_mm*."""
        if wall_mm not in self._shares:
            self._shares[wall_mm] = solid_share(self.field, wall_mm)
        return self._shares[wall_mm]

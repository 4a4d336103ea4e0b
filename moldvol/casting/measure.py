"""What a mesh is: its size, volume and wall, and how far each can be believed. Lengths in mm, volumes in mm³."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.geometry.caliper import Wall, feel_wall
from moldvol.geometry.solid import Solid


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurePlan:
    """A solid and its wall."""

    solid: Solid
    wall: Wall


def plan_measure(solid: Solid, *, thin_limit_mm: float | None = None) -> MeasurePlan:
    """The wall of *solid* beside what it knows of itself; *thin_limit_mm* asks for the share thinner than it."""
    return MeasurePlan(solid=solid, wall=feel_wall(solid.mesh, thin_limit_mm=thin_limit_mm))

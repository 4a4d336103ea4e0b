"""A sound solid: the only thing the rest of the house takes volumes, fields and pictures from.

Lengths in mm, areas in mm², volumes in mm³. `moldvol.geometry.judging` makes one; none can be had from triangles that
enclose no volume.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.draft import Mending
from moldvol.notices import Notice


class Reading(Enum):
    """What a mesh is taken for: the solid it bounds, or the hollow inside a block."""

    SOLID = "solid"
    CAVITY = "cavity"


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidRequest:
    """How the user wants a mesh read; everything has the honest choice as its default."""

    unit: str | None = None
    scale: float = 1.0
    height_mm: float | None = None
    accept_open: bool = False
    reading: Reading = Reading.SOLID
    inner_are_voids: bool = False
    repair: bool = True
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Body:
    """One closed skin of the file, for the table of parts."""

    name: str
    triangles: int
    size_mm: tuple[float, float, float]
    volume_mm3: float
    role: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Solid:
    """What a file encloses, mended, with its error.

    ``mesh`` is the skin of the material, voids included; ``outer`` the outermost skins alone, what a mould touches.
    ``closed`` tells of the file as it was read; a `Solid` itself is always closed.
    """

    name: str
    format: str
    unit: str
    unit_source: str
    triangles: int
    bodies: tuple[Body, ...]
    closed: bool
    mendings: tuple[Mending, ...]
    notices: tuple[Notice, ...]
    mesh: Mesh
    outer: Mesh
    volume_mm3: float
    volume_error_mm3: float
    area_mm2: float
    outer_volume_mm3: float
    void_volume_mm3: float
    facet_shortfall_mm3: float
    reading: Reading

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Edge lengths of the bounding box."""
        x, y, z = self.outer.size_mm
        return float(x), float(y), float(z)

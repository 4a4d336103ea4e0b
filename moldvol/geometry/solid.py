"""A sound solid: the only thing the rest of the house takes volumes, fields and pictures from.

Lengths in mm, areas in mm², volumes in mm³. `moldvol.geometry.judging` makes one; none can be had from triangles that
enclose no volume.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import inf

from moldvol.errors import RequestError
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.draft import Mending
from moldvol.geometry.units import parse_unit
from moldvol.notices import Notice


class Reading(Enum):
    """What a mesh is taken for: the solid it bounds, or the hollow inside a block."""

    SOLID = "solid"
    CAVITY = "cavity"


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidRequest:
    """How the user wants a mesh read; everything has the honest choice as its default.

    ``unit`` is any word for one that `moldvol.geometry.units.parse_unit` takes, ``reading`` a `Reading` or its word.
    Raises `RequestError` for words it does not know and for a scale or a height that is not above 0.
    """

    unit: str | None = None
    scale: float = 1.0
    height_mm: float | None = None
    accept_open: bool = False
    reading: Reading = Reading.SOLID
    inner_are_voids: bool = False
    repair: bool = True
    part: str | None = None

    def __post_init__(self) -> None:
        if self.unit is not None:
            object.__setattr__(self, "unit", parse_unit(self.unit))
        object.__setattr__(self, "reading", _reading(self.reading))
        if not 0 < self.scale < inf:
            raise RequestError(f"A scale of {self.scale:g} leaves no part; give a number above 0, such as 1.02.")
        if self.height_mm is not None and not 0 < self.height_mm < inf:
            raise RequestError(f"A part {self.height_mm:g} mm high is none; give a height above 0 mm.")


def _reading(word: Reading | str) -> Reading:
    try:
        return Reading(word)
    except ValueError:
        words = " or ".join(reading.value for reading in Reading)
        raise RequestError(f"A mesh cannot be read as '{word}'; say {words}.") from None


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
    ``outer_volume_mm3`` has the voids filled, and an error of its own. ``closed`` tells of the file as it was read; a
    `Solid` itself is always closed.
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
    outer_volume_error_mm3: float
    void_volume_mm3: float
    facet_shortfall_mm3: float
    reading: Reading

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Edge lengths of the bounding box."""
        x, y, z = self.outer.size_mm
        return float(x), float(y), float(z)

"""A mesh on its way to being sound, and the record of what was done to it. Lengths in mm, volumes in mm³."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.rims import Rim
from moldvol.geometry.triangles import measures

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Mending:
    """One kind of repair: ``what`` is a code, ``volume_change_mm3`` its effect, ``doubt_mm3`` how wrong that may be."""

    what: str
    count: int = 1
    at_mm: Place | None = None
    volume_change_mm3: float = 0.0
    doubt_mm3: float = 0.0
    length_mm: float = 0.0
    area_mm2: float = 0.0
    across_mm: float = 0.0

    def scaled(self, factor: float) -> Mending:
        """The same repair of the mesh made larger by *factor*."""
        return replace(
            self,
            at_mm=None if self.at_mm is None else place_of(np.multiply(self.at_mm, factor)),
            volume_change_mm3=self.volume_change_mm3 * factor**3,
            doubt_mm3=self.doubt_mm3 * factor**3,
            length_mm=self.length_mm * factor,
            area_mm2=self.area_mm2 * factor**2,
            across_mm=self.across_mm * factor,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """A mesh on its way to being sound, with the file's part number of each face and the mendings so far."""

    name: str
    mesh: Mesh
    part_of_face: NDArray[np.int32]
    mendings: tuple[Mending, ...] = ()
    rims: tuple[Rim, ...] = field(default=())
    census: EdgeCensus | None = None
    closed_as_read: bool = False

    @property
    def edges(self) -> EdgeCensus:
        """The census of the edges as they are now."""
        return self.census if self.census is not None else EdgeCensus.of(self.mesh)

    def scaled(self, factor: float) -> Draft:
        """The draft made larger by *factor*, with all that is told of its rims and mendings."""
        return replace(
            self,
            mesh=self.mesh.scaled(factor),
            mendings=tuple(mending.scaled(factor) for mending in self.mendings),
            rims=tuple(rim.scaled(factor) for rim in self.rims),
            census=None,
        )

    def with_mesh(self, mesh: Mesh, kept: NDArray[np.bool_] | None = None) -> Draft:
        """The draft with another *mesh*, whose faces are those *kept* (n,) of the one before."""
        part = self.part_of_face if kept is None else self.part_of_face[kept]
        return replace(self, mesh=mesh, part_of_face=part, census=EdgeCensus.of(mesh))

    def with_mending(self, mending: Mending, **changes: object) -> Draft:
        """The draft after one more mending."""
        return replace(self, mendings=(*self.mendings, mending), **changes)  # type: ignore[arg-type]


def signed_volume(mesh: Mesh) -> float:
    """What the faces of *mesh* enclose about the middle of its box, mm³."""
    return measures(mesh).signed_volume_mm3


def place_of(point: NDArray[np.floating]) -> Place:
    """*point* (3,) as plain numbers."""
    return (float(point[0]), float(point[1]), float(point[2]))


def spot(point: object) -> str:
    """*point* as a sentence tells it."""
    x, y, z = np.round(np.asarray(point, dtype=float), 3) + 0.0
    return f"({x:.4g}, {y:.4g}, {z:.4g}) mm"

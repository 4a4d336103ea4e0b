"""The part on the bench, as one worker process holds it: read once, measured once, asked many times.

Nothing here touches the page; everything handed back is plain data that travels between processes.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moldvol.casting.hollow_part import HollowPart, field_of
from moldvol.casting.measure import MeasurePlan, plan_measure
from moldvol.errors import MoldvolError, RequestError
from moldvol.geometry.field.core_surface import core_surface
from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.opening import Opening, opening_point
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Floats, Mesh, join
from moldvol.geometry.plugging import plug_holes
from moldvol.geometry.reading import MeshFile
from moldvol.geometry.solid import Reading, Solid, SolidRequest
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.welding import weld
from moldvol.geometry.units import MM_PER_UNIT
from moldvol.geometry.wall.simplify import clustered
from moldvol.page.colouring import Legend, coloured, depth_at_vertices, vertex_normals, wall_at_vertices
from moldvol.page.draft import fill_curve
from moldvol.page.glb import Drawn, glb
from moldvol.page.knobs import Asked

MOST_SHOWN_FACES = 150_000  # what a phone's browser bears
CLUSTERS_ACROSS = 320
INTERIOR_POINTS = 250_000

Progress = Callable[[str, float], None]
Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSummary:
    """What the page says of the part beside its sheet. ``parts`` are the names of all that the file holds; ``trouble``
    is why the part has no depth, if so."""

    name: str
    size_mm: Place
    centre_mm: Place
    unit: str
    closed: bool
    parts: tuple[str, ...]
    shown_triangles: int
    triangles: int
    simplified: bool
    thinnest_mm: float
    thinnest_at_mm: Place
    thickest_at_mm: Place
    thickest_mm: float
    has_depth: bool = False
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class View:
    """The part to look at: a GLB about its own centre, and the legend of each set of colours in it."""

    content: bytes
    legends: tuple[Legend, ...]


@dataclass(frozen=True, slots=True)
class Core:
    """The hollow to look at: a GLB about the part's centre, no bytes where there is none, and where resin enters."""

    content: bytes
    enters_at_mm: Place


@dataclass(slots=True, eq=False)
class Part:
    """A mesh file, the solid it makes as asked, its wall and the depth of every point in it."""

    file: MeshFile
    parts: tuple[str, ...]
    asked: Asked
    solid: Solid
    measured: MeasurePlan
    field: DistanceField | None = None
    trouble: str = ""
    replaced: bool = False
    _hollows: dict[Opening, HollowPart] = dataclasses.field(default_factory=dict)

    @classmethod
    def made(cls, file: MeshFile, asked: Asked, progress: Progress) -> Part:
        """The part that *file* makes with the unit and scale *asked* for. Raises what `solid_of` raises."""
        progress("Looking for holes and flaws", 0.1)
        names = tuple(part.name for part in file.parts)
        file = of_part(file, asked.part)
        request = SolidRequest(
            unit=asked.unit,
            scale=asked.scale,
            height_mm=asked.height_mm,
            accept_open=asked.accept_open,
            reading=Reading(asked.taken_as),
            inner_are_voids=asked.inner_skins == "void",
        )
        solid = solid_of(file, request)
        if asked.plug_mm is not None:
            progress("Plugging holes", 0.15)
            solid = plug_holes(solid, asked.plug_mm)
        progress("Feeling the wall", 0.25)
        return cls(file, names, asked, solid, plan_measure(solid))

    def measure_depth(self, progress: Progress) -> None:
        """Measure the depth of every point below the surface; a part that has none keeps the reason."""
        try:
            self.field = field_of(
                self.solid,
                interior_points=INTERIOR_POINTS,
                progress=lambda share: progress("Measuring the depth", share),
            )
            progress("Finding the way in", 1.0)
            self.hollow(self.asked.opening)
        except MoldvolError as error:
            self.trouble = error.message

    def hollow(self, opening: Opening) -> HollowPart:
        """The part with resin entering at *opening*; each opening is worked out once.

        Raises `RequestError` before the depth is known, or where there is none.
        """
        if self.field is None:
            raise RequestError(self.trouble or "The depth of the part is not measured yet; wait a moment.")
        if opening not in self._hollows:
            self._hollows[opening] = HollowPart.of(self.solid, self.field, opening)
        return self._hollows[opening]

    def fill_curve(self, opening: Opening, rest: Callable[[], object]) -> None:
        """Work out the shells at walls all over the part's depth, for figures that follow a knob at once; *rest*
        between any two of them."""

        def wanted() -> bool:
            rest()
            return not self.replaced

        fill_curve(self.hollow(opening), wanted)

    def core(self, asked: Asked) -> Core:
        """The hollow within the wall asked for, to look at, and the opening."""
        body = self.hollow(asked.opening)
        core = reduced(core_surface(body.field, body.reach.wall_everywhere(asked.wall_mm)))
        drawn = [Drawn("core", self._about_centre(core.vertices), core.faces)] if len(core.faces) else []
        enters_at = opening_point(body.field.surface, asked.opening, body.field.grid.spacing_mm)
        return Core(glb(drawn) if drawn else b"", _place(enters_at))

    def summary(self) -> PartSummary:
        """What the page says of it."""
        solid, wall = self.solid, self.measured.wall
        shown = self._shown()
        return PartSummary(
            name=solid.name,
            size_mm=solid.size_mm,
            centre_mm=_place(solid.outer.bounds.mean(axis=0)),
            unit=solid.unit,
            parts=self.parts,
            closed=solid.closed,
            shown_triangles=len(shown.faces),
            triangles=solid.triangles,
            simplified=shown is not solid.mesh,
            thinnest_mm=wall.thinnest_mm,
            thinnest_at_mm=wall.thinnest_at_mm,
            thickest_at_mm=wall.thickest_at_mm,
            thickest_mm=wall.thick_mm,
            has_depth=self.field is not None,
            trouble=self.trouble,
        )

    def view(self) -> View:
        """The part with its wall as first colours and, once it is measured, its depth as second."""
        shown = self._shown()
        normals = vertex_normals(shown)
        wall = wall_at_vertices(shown, normals)
        painted = [coloured(wall, "wall", low_is_light=True)]
        if self.field is not None:
            depth = depth_at_vertices(shown, normals, wall, self.field)
            painted.append(coloured(depth, "depth", low_is_light=False))
        skin = Drawn("part", self._about_centre(shown.vertices), shown.faces, tuple(colours for colours, _ in painted))
        return View(glb([skin, self._rims()]), tuple(legend for _, legend in painted))

    def _about_centre(self, points: NDArray[np.floating]) -> Floats:
        # Far from the origin single precision would shake; the browser only ever sees places about the centre.
        return np.asarray(points - self.solid.outer.bounds.mean(axis=0), dtype=np.float64)

    def _shown(self) -> Mesh:
        return reduced(self.solid.mesh)

    def _rims(self) -> Drawn:
        """The open edges of the file as it was read."""
        if self.solid.closed:
            return Drawn("rims", np.zeros((0, 3)), np.zeros((0, 2), dtype=np.int32))
        welded = weld(join([part.mesh for part in self.file.parts]))
        edges = EdgeCensus.of(welded).unmatched()
        used, numbers = np.unique(edges, return_inverse=True)
        factor = MM_PER_UNIT[self.solid.unit] * self.asked.scale
        if self.asked.height_mm is not None:
            factor = self.asked.height_mm / float(welded.size_mm[2])
        points = welded.vertices[used].astype(np.float64) * factor
        return Drawn("rims", self._about_centre(points), numbers.reshape(-1, 2).astype(np.int32))


def of_part(file: MeshFile, number: int | None) -> MeshFile:
    """*file* with its part *number* alone, counted from 1; all of it where that is None.

    Raises `RequestError` where there is no such part.
    """
    if number is None:
        return file
    if number > len(file.parts):
        raise RequestError(f"{file.name} has no part {number}, only {len(file.parts)}; choose one of them.")
    return dataclasses.replace(file, parts=(file.parts[number - 1],))


def reduced(mesh: Mesh, most_faces: int = MOST_SHOWN_FACES) -> Mesh:
    """*mesh*, or a coarser copy with at most *most_faces* triangles, to look at only."""
    across, shown = CLUSTERS_ACROSS, mesh
    while len(shown.faces) > most_faces:
        shown, _ = clustered(mesh, across)
        across = int(across * 0.8)
    return shown


def _place(point: Floats) -> Place:
    return (float(point[0]), float(point[1]), float(point[2]))

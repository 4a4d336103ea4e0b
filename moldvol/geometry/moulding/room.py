"""One side of a mesh in one direction: the net of runs and the vertices of the surface, told of each other.

Lengths in mm; heights are along the unit vector ``up``, along which things rise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moldvol.geometry.field.surface import Surface
from moldvol.geometry.grid import Grid, Indices
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.level_cuts import Cut, cut_above, edges_of, pieces_above
from moldvol.geometry.moulding.open_space import OpenSpace
from moldvol.geometry.moulding.pockets import parts_above
from moldvol.geometry.triangles import area_vectors

CELLS = 2_000_000  # of the whole box; the net itself grows only with the faces of the box
MARGIN_LAYERS = 2

Flags = NDArray[np.bool_]


class Skin:
    """The surface of a mesh as places and as a net of edges, made when first asked for: most rooms catch nothing."""

    def __init__(self, mesh: Mesh) -> None:
        self.mesh = mesh

    @cached_property
    def edges(self) -> Indices:
        """(e, 2) vertices of every edge."""
        return edges_of(self.mesh)

    @cached_property
    def surface(self) -> Surface:
        """The triangles in a tree."""
        return Surface.of(self.mesh)


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """The inside or the outside of a mesh, with the direction in which things rise in it.

    ``heights`` (v,) are the vertices' and ``plan_mm2`` (n,) the faces' areas seen along *up*, positive where the room
    is below the face. ``end_run`` (m,), ``end_mm`` (m, 3) and ``end_height`` (m,) are the run, the place and the height
    of every run end that lies on the surface.
    """

    mesh: Mesh
    skin: Skin
    space: OpenSpace
    up: Floats
    heights: Floats
    plan_mm2: Floats
    end_run: Indices
    end_mm: Floats
    end_height: Floats

    @classmethod
    def of(cls, mesh: Mesh, space: OpenSpace, up: ArrayLike) -> Room:
        """The room that *space* fills on one side of the welded *mesh*."""
        direction = np.asarray(up, dtype=np.float64)
        heights = mesh.vertices.astype(np.float64) @ direction
        side = 1.0 if space.bounded else -1.0
        runs, points = space.ends_on_surface()
        return cls(
            mesh=mesh,
            skin=Skin(mesh),
            space=space,
            up=direction,
            heights=heights,
            plan_mm2=side * (area_vectors(mesh.corners()) @ direction),
            end_run=runs,
            end_mm=points,
            end_height=points @ direction,
        )

    def turned_over(self) -> Room:
        """The same room with everything rising the other way."""
        return replace(self, up=-self.up, heights=-self.heights, plan_mm2=-self.plan_mm2, end_height=-self.end_height)

    @property
    def spacing_mm(self) -> float:
        """Spacing of the net."""
        return self.space.grid.spacing_mm

    def part_of(self, run: int, level_mm: float) -> Flags:
        """(r,) the runs that can be reached from *run* above *level_mm*."""
        parts = parts_above(self.space, self.up, level_mm)
        return np.asarray(parts == parts[run])

    def seeds(self, runs: Flags, level_mm: float) -> Indices:
        """Vertices above *level_mm* near which the *runs* (r,) end, one for each piece of surface there."""
        ends = runs[self.end_run] & (self.end_height > level_mm)
        vertices = np.unique(self.highest_corners(self.end_mm[ends]))
        _, first = np.unique(pieces_above(self.skin.edges, self.heights, level_mm)[vertices], return_index=True)
        return np.asarray(vertices[first])

    def covered(self, runs: Flags, level_mm: float, clear_mm: float) -> Flags:
        """(v,) vertices above *level_mm* on pieces of surface where *runs* end at least *clear_mm* above it."""
        ends = runs[self.end_run] & (self.end_height > level_mm + clear_mm)
        labels = pieces_above(self.skin.edges, self.heights, level_mm)
        return np.asarray(np.isin(labels, np.unique(labels[self.highest_corners(self.end_mm[ends])]))) & (labels >= 0)

    def cut_by_net(self, runs: Flags, level_mm: float) -> Cut:
        """Volume and area of *runs* above a level, by the net alone."""
        lows, tops = (heights[runs] for heights in self.space.run_heights(self.up))
        section = self.space.section_mm2 / abs(float(self.up[self.space.axis]))
        volume = float(np.maximum(tops - np.maximum(lows, level_mm), 0).sum()) * section
        return Cut(volume, float(np.count_nonzero((lows <= level_mm) & (tops > level_mm))) * section)

    def cut_by_surface(self, skin: Flags, level_mm: float) -> Cut:
        """Volume and area under the vertices *skin* (v,) above a level, by the triangles."""
        return cut_above(self.heights, self.mesh.faces, self.plan_mm2, skin, level_mm)

    def pass_near(self, height_mm: float) -> Floats:
        """(3,) the place of the contact of the net whose height is nearest to *height_mm*."""
        contact = int(np.abs(self.space.contact_heights(self.up) - height_mm).argmin())
        rising = self.up[self.space.axis] > 0
        place = self.space.run_points()[0][self.space.ends[contact, 0]].copy()
        place[self.space.axis] = (self.space.to_mm if rising else self.space.from_mm)[contact, 0]
        return np.asarray(place)

    def highest_corners(self, points_mm: Floats) -> Indices:
        """(m,) the highest corner of the face nearest to each of *points_mm* (m, 3).

        From a point on the face the way to that corner never falls below the point.
        """
        faces = self.mesh.faces[self.skin.surface.nearest(points_mm).face]
        return np.asarray(faces[np.arange(len(faces)), self.heights[faces].argmax(axis=1)], dtype=np.int64)


def net_grid(mesh: Mesh, cells: int = CELLS) -> Grid:
    """A grid of about *cells* cells over *mesh* and a margin around it."""
    sides = np.maximum(mesh.size_mm, 1e-3 * mesh.diagonal_mm)
    return Grid.over(mesh.bounds, float((np.prod(sides) / cells) ** (1 / 3)), layers=MARGIN_LAYERS)

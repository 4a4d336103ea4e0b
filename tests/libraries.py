"""Volume and area as independent general-purpose libraries give them: trimesh, VTK and manifold3d.

Each is handed bare triangles, or reads the file with a reader of its own where it has one. Lengths in the unit of the
mesh.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import manifold3d
import numpy as np
import pymeshfix
import pyvista
import trimesh

from moldvol.geometry.mesh import Mesh


@dataclass(frozen=True)
class Measured:
    """What a library makes of a mesh."""

    volume: float
    area: float


def by_trimesh(mesh: Mesh) -> Measured:
    made = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    return Measured(made.volume, made.area)


def by_vtk(mesh: Mesh) -> Measured:
    made = vtk_surface(mesh)
    return Measured(made.volume, made.area)


def by_manifold(mesh: Mesh) -> Measured:
    return of_manifold(manifold(mesh))


def of_manifold(made: manifold3d.Manifold) -> Measured:
    return Measured(made.volume(), made.surface_area())


def vtk_surface(mesh: Mesh) -> pyvista.PolyData:
    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces]).ravel()
    return pyvista.PolyData(np.asarray(mesh.vertices, dtype=float), faces)


def from_vtk(surface: pyvista.PolyData) -> Mesh:
    return Mesh.of(surface.points, surface.regular_faces)


def manifold(mesh: Mesh) -> manifold3d.Manifold:
    """The mesh in manifold3d, which takes nothing that is not closed."""
    points, faces = np.asarray(mesh.vertices, dtype=np.float64), mesh.faces.astype(np.uint64)
    made = manifold3d.Manifold(manifold3d.Mesh64(points, faces))
    assert made.status() == manifold3d.Error.NoError, made.status()
    return made


def from_manifold(made: manifold3d.Manifold) -> Mesh:
    mesh = made.to_mesh64()
    return Mesh.of(mesh.vert_properties[:, :3], mesh.tri_verts)


def united(bodies: Iterable[Mesh]) -> manifold3d.Manifold:
    """Overlapping bodies as one, exactly."""
    return manifold3d.Manifold.batch_boolean([manifold(body) for body in bodies], manifold3d.OpType.Add)


def closed_by_meshfix(mesh: Mesh) -> Mesh:
    """An open mesh closed by pymeshfix, a hole filler that shares nothing with ours."""
    fixed = pymeshfix.MeshFix(np.asarray(mesh.vertices, dtype=np.float64), mesh.faces)
    fixed.repair()
    return Mesh.of(fixed.points, fixed.faces)


def read_by_trimesh(path: Path) -> Mesh:
    made = trimesh.load_mesh(path)
    return Mesh.of(made.vertices, made.faces)


def read_by_vtk(path: Path) -> pyvista.PolyData:
    """The file by VTK's reader, in double precision; polygons divided by VTK."""
    surface = pyvista.read(path).triangulate()
    surface.points = surface.points.astype(float)
    return surface

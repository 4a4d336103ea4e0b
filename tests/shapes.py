"""Solids with a known answer. Each carries the exact measures of the *ideal* shape; the mesh is inscribed in it.

Where a test needs exactness it compares with the mesh's own polyhedron (boxes, prisms, Platonic solids are exact).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import trimesh

from moldvol.geometry.mesh import Mesh


@dataclass(frozen=True)
class Shape:
    """A mesh and the exact volume and area of the shape it stands for."""

    mesh: Mesh
    volume_mm3: float
    area_mm2: float


def from_trimesh(made: trimesh.Trimesh) -> Mesh:
    return Mesh.of(made.vertices, made.faces)


def box(x: float = 20, y: float = 20, z: float = 20, subdivisions: int = 0) -> Shape:
    made = trimesh.creation.box(extents=(x, y, z))
    for _ in range(subdivisions):
        made = made.subdivide()
    return Shape(from_trimesh(made), x * y * z, 2 * (x * y + y * z + z * x))


def ball(radius: float = 10, subdivisions: int = 4) -> Shape:
    made = trimesh.creation.icosphere(subdivisions=subdivisions, radius=radius)
    return Shape(from_trimesh(made), 4 / 3 * pi * radius**3, 4 * pi * radius**2)


def torus(major: float = 30, minor: float = 10, sections: int = 128) -> Shape:
    made = trimesh.creation.torus(major, minor, major_sections=sections, minor_sections=sections // 2)
    return Shape(from_trimesh(made), 2 * pi**2 * major * minor**2, 4 * pi**2 * major * minor)


def cylinder(radius: float = 10, height: float = 30, sections: int = 128) -> Shape:
    made = trimesh.creation.cylinder(radius=radius, height=height, sections=sections)
    return Shape(from_trimesh(made), pi * radius**2 * height, 2 * pi * radius * (radius + height))


def cone(radius: float = 15, height: float = 40, sections: int = 128) -> Shape:
    made = trimesh.creation.cone(radius=radius, height=height, sections=sections)
    slant = sqrt(radius**2 + height**2)
    return Shape(from_trimesh(made), pi * radius**2 * height / 3, pi * radius * (radius + slant))


def lathe(profile: list[tuple[float, float]], sections: int = 128) -> Mesh:
    """The solid of revolution about z of a closed *profile* of (radius, z) points."""
    return from_trimesh(trimesh.creation.revolve(np.array(profile), sections=sections))


def prism(outline: list[tuple[float, float]], height: float) -> Mesh:
    """The right prism over a simple polygon, counter-clockwise."""
    made = trimesh.creation.triangulate_polygon(_polygon(outline), engine="earcut")
    return from_trimesh(trimesh.creation.extrude_triangulation(*made, height=height))


def _polygon(outline: list[tuple[float, float]]):  # shapely comes only with the tests
    from shapely.geometry import Polygon

    return Polygon(outline)


def moved(mesh: Mesh, by: tuple[float, float, float]) -> Mesh:
    return Mesh(mesh.vertices + np.asarray(by, dtype=float), mesh.faces)


def turned(mesh: Mesh, seed: int = 1) -> Mesh:
    """The mesh under a fixed random rotation."""
    return mesh.transformed(trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3)))


def together(*meshes: Mesh) -> Mesh:
    from moldvol.geometry.mesh import join

    return join(list(meshes))

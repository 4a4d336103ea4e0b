"""Facets are not the curve: how far a mesh falls short of the smooth body it stands for.

Lengths in mm, volumes in mm³.
"""

from __future__ import annotations

import numpy as np

from moldvol.geometry.mesh import Mesh, blocks
from moldvol.geometry.soundness.edges import FaceEdges
from moldvol.geometry.triangles import area_vectors

# Edges that turn by more than this are meant as edges; flatter ones stand for a curve: a round column of twelve sides
# just does.
SMOOTH_EDGE_ANGLE = np.radians(30.5)
# Of finer meshes only the largest triangles are looked at: what a triangle lacks goes with the square of its area, and
# to sort the edges of 3.5 million takes 5 s and 1.5 GB. A ball of as many equal ones lacks a hundred thousandth.
FINE_MESH_FACES = 300_000
LARGEST_FACES = 100_000
# A ball of 5,120 equal triangles lacks 0.22 %: a mesh whose largest triangle is this share of its area or less lacks
# under a hundredth of a per cent, and is not looked into where that takes long.
NEGLIGIBLE_TRIANGLE = 1e-4 / (2.2e-3 * 5120)


def facet_shortfall(mesh: Mesh, largest_share: float = 1.0) -> float:
    """Volume between the facets of *mesh* and the smooth surface through its vertices, mm³; negative where hollows win.

    *largest_share* is the area of its largest triangle as a share of the whole, where that is known.

    Method: each smooth edge of length L that turns by θ between triangles of mean altitude w stands for a segment of
    volume L θ w² / 12, which is exact to leading order for cylinders and for equilateral facets on a sphere.
    Error: a twentieth of itself on coarse balls; rings of twelve sides lack a tenth more.
    """
    if len(mesh.faces) == 0:
        return 0.0
    if len(mesh.faces) > FINE_MESH_FACES:
        if largest_share <= NEGLIGIBLE_TRIANGLE:
            return 0.0
        mesh = _largest_facets(mesh)
    halves = FaceEdges.of(mesh).pairs()[0]
    if len(halves) == 0:
        return 0.0
    corners = mesh.corners()
    doubled = 2 * area_vectors(corners)
    size = np.linalg.norm(doubled, axis=1)
    normals = doubled / np.maximum(size, 1e-300)[:, None]
    one, other = (halves // 3).T
    corner = halves % 3
    start, end = corners[one, corner[:, 0]], corners[one, (corner[:, 0] + 1) % 3]
    apex = corners[other, (corner[:, 1] + 2) % 3]
    length = np.linalg.norm(end - start, axis=1)
    turn = np.arccos(np.clip(np.einsum("ij,ij->i", normals[one], normals[other]), -1, 1))
    convex = np.einsum("ij,ij->i", normals[one], apex - start) < 0
    altitude = (size[one] + size[other]) / (2 * np.maximum(length, 1e-300))
    smooth = (turn < SMOOTH_EDGE_ANGLE) & (length > 0)
    shortfall = np.where(convex, 1, -1) * length * turn * altitude**2 / 12
    return float(shortfall[smooth].sum())


def _largest_facets(mesh: Mesh) -> Mesh:
    """*mesh* with no more than its largest triangles: an open patchwork."""
    doubled = [
        np.linalg.norm(area_vectors(mesh.vertices[faces].astype(np.float64)), axis=1) for faces in blocks(mesh.faces)
    ]
    areas = np.concatenate(doubled)
    largest = np.argpartition(areas, len(areas) - LARGEST_FACES)[-LARGEST_FACES:]
    return Mesh(mesh.vertices, mesh.faces[np.sort(largest)])

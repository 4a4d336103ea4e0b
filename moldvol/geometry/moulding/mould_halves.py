"""Two halves of a mould lying side by side, as they are printed: recognised by the faces they part at.

Lengths in mm, areas in mm², volumes in mm³. The parting face is the flat face with the largest opening in it; what its
block lacks below that face, against the block's convex hull, is cavity and pits for keys. Pits of one half hold the
knobs of the other, so taking off what stands above both faces leaves the cavity with its sprue.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from moldvol.geometry.field.volume import Volume
from moldvol.geometry.grid import Indices
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.level_cuts import volume_above
from moldvol.geometry.moulding.orientation import turned_up
from moldvol.geometry.soundness.bodies import label_bodies
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.welding import compacted
from moldvol.geometry.triangles import area_vectors, measures

SAME_SIZE = 0.02  # share by which the outlines of two parting faces may differ
LEAST_OPENING = 0.03  # of its outline: a face with less missing is no parting face
NORMAL_STEPS = 500  # faces whose normals agree to a five-hundredth lie in one plane
PLANE_SHARE = 1e-4  # of the body's size: how far apart faces of one plane may lie


@dataclass(frozen=True, slots=True)
class Half:
    """One half: what it lacks below its parting face, what stands above it, and the outline's sides and area."""

    lacking_mm3: float
    knobs_mm3: float
    outline_mm: tuple[float, float]
    outline_mm2: float
    doubt_mm3: float


def matched_halves(mesh: Mesh) -> Volume | None:
    """What the two bodies of *mesh* hold when closed on each other, with their sprue; None if they are no halves.

    Error: the blocks' outsides are taken for straight-sided; by how much they are not is stated as the error.
    """
    halves = [_half(body) for body in bodies_of(mesh)]
    if len(halves) != 2 or halves[0] is None or halves[1] is None:
        return None
    one, other = halves[0], halves[1]
    if not np.allclose(one.outline_mm, other.outline_mm, rtol=SAME_SIZE):
        return None
    if abs(one.outline_mm2 - other.outline_mm2) > SAME_SIZE * one.outline_mm2:
        return None
    capacity = one.lacking_mm3 + other.lacking_mm3 - one.knobs_mm3 - other.knobs_mm3
    return Volume(capacity, one.doubt_mm3 + other.doubt_mm3) if capacity > 0 else None


def bodies_of(mesh: Mesh) -> list[Mesh]:
    """The bodies of the closed *mesh*, each by itself."""
    labels = label_bodies(mesh, EdgeCensus.of(mesh))
    return [compacted(Mesh(mesh.vertices, mesh.faces[labels == label])) for label in range(int(labels.max()) + 1)]


def _half(body: Mesh) -> Half | None:
    face = _parting_face(body)
    if face is None:
        return None
    vectors = area_vectors(body.corners()[face])
    normal = vectors.sum(axis=0)
    lying = turned_up(body, normal)
    level = float(np.median(lying.vertices[lying.faces[face]][..., 2]))
    below = lying.vertices[lying.vertices[:, 2] <= level + PLANE_SHARE * lying.diagonal_mm]
    try:
        block = ConvexHull(below)
        outline = ConvexHull(lying.vertices[np.unique(lying.faces[face])][:, :2])
    except QhullError:
        return None
    knobs = volume_above(lying, level)
    depth = level - float(lying.vertices[:, 2].min())
    sides = _sides(outline.points[outline.vertices])
    material = measures(lying).signed_volume_mm3 - knobs
    doubt = abs(float(outline.volume) * depth - float(block.volume))
    return Half(float(block.volume) - material, knobs, sides, float(outline.volume), doubt)


def _parting_face(body: Mesh) -> Indices | None:
    """The faces of the plane with the largest opening within its outline."""
    best: tuple[float, Indices] | None = None
    for faces, area in _planes(body):
        vertices = body.vertices[np.unique(body.faces[faces])]
        normal = area_vectors(body.corners()[faces]).sum(axis=0)
        flat = turned_up(Mesh(vertices, body.faces[:0]), normal).vertices[:, :2]
        try:
            outline = float(ConvexHull(flat).volume)
        except QhullError:
            continue
        opening = outline - area
        if opening > LEAST_OPENING * outline and (best is None or opening > best[0]):
            best = opening, faces
    return None if best is None else best[1]


def _planes(body: Mesh) -> list[tuple[Indices, float]]:
    """The dozen largest flat faces of *body*, each as triangles and area."""
    vectors = area_vectors(body.corners())
    areas = np.linalg.norm(vectors, axis=1)
    real = np.flatnonzero(areas > 0)
    normals = vectors[real] / areas[real, None]
    offsets = np.einsum("ij,ij->i", normals, body.corners()[real].mean(axis=1))
    keys = np.column_stack([np.rint(normals * NORMAL_STEPS), np.rint(offsets / (PLANE_SHARE * body.diagonal_mm))])
    _, plane = np.unique(keys, axis=0, return_inverse=True)
    total = np.bincount(plane.ravel(), areas[real])
    largest = np.argsort(-total)[:12]
    return [(real[plane.ravel() == number], float(total[number])) for number in largest]


def _sides(outline: Floats) -> tuple[float, float]:
    """Shorter and longer extent of an outline along its own main axes, whichever way it lies."""
    centred = outline - outline.mean(axis=0)
    edges = np.roll(outline, -1, axis=0) - outline
    longest = edges[np.linalg.norm(edges, axis=1).argmax()]
    along = longest / np.linalg.norm(longest)
    spans = sorted((float(np.ptp(centred @ along)), float(np.ptp(centred @ np.array([-along[1], along[0]])))))
    return spans[0], spans[1]

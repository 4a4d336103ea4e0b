"""Which way up: pour directions, the turn that brings one to the top, and the pose with the smallest box.

Lengths in mm. Directions are unit vectors in the mesh's own frame; a rotation R takes mesh points p to R·p, after which
*up* is +z. Knows nothing of resin: what a box of rubber costs is a question for the casting room.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike
from scipy.spatial import ConvexHull, QhullError

from moldvol.errors import RequestError, UnsoundMesh
from moldvol.geometry.mesh import Floats, Mesh

Vector = tuple[float, float, float]
Rotation = tuple[Vector, Vector, Vector]

MAX_FACE_POSES = 80  # a scan's hull has thousands of faces; the largest after merging hold every pose worth trying
SAME_FACE_COSINE = 0.9998  # facets within about one degree are one resting face


@dataclass(frozen=True, slots=True)
class Clearance:
    """Room left around a part inside a box: at the four sides, above it and below it, mm."""

    sides_mm: float
    above_mm: float
    below_mm: float


@dataclass(frozen=True, slots=True)
class BoxedPose:
    """A part standing in a box.

    ``rotation`` turns the mesh into the pose (z up, box sides along x and y), ``part_mm`` is the part's size there,
    ``box_mm`` the inside of the box, ``volume_mm3`` what the box holds without the part, ``as_filed`` whether the
    part stands as it does in the file.
    """

    rotation: Rotation
    part_mm: Vector
    box_mm: Vector
    volume_mm3: float
    as_filed: bool


def unit_vector(direction: ArrayLike) -> Floats:
    """(3,) *direction* with length one; raises `RequestError` when it has no length."""
    vector = np.asarray(direction, dtype=np.float64).reshape(3)
    length = float(np.linalg.norm(vector))
    if not np.isfinite(length) or length == 0:
        shown = ",".join(f"{number:g}" for number in vector)
        raise RequestError(f"'{shown}' points nowhere; write a direction like 0,0,1.")
    return np.asarray(vector / length)


def pour_directions() -> Floats:
    """(26, 3): unit vectors to the faces, edges and corners of a cube, the faces first."""
    steps = [step for step in product((0, 1, -1), repeat=3) if any(step)]
    steps.sort(key=lambda step: sum(map(abs, step)))
    vectors = np.array(steps, dtype=np.float64)
    return np.asarray(vectors / np.linalg.norm(vectors, axis=1, keepdims=True))


def rotation_to_up(up: ArrayLike) -> Floats:
    """(3, 3) rotation that takes the direction *up* to +z; an *up* that points down is turned over about x first.

    >>> (rotation_to_up((1, 0, 0)) @ (1, 0, 0)).round(12).tolist()
    [0.0, 0.0, 1.0]
    """
    x, y, z = unit_vector(up)
    if z < 0:  # the formula below loses its digits near straight down
        half_turn = np.diag([1.0, -1.0, -1.0])
        return np.asarray(rotation_to_up((x, -y, -z)) @ half_turn)
    # Rodrigues' formula with the axis up × z and 1 + cos = 1 + z, which needs no trigonometry.
    k = 1 / (1 + z)
    return np.array([[1 - k * x * x, -k * x * y, -x], [-k * x * y, 1 - k * y * y, -y], [x, y, z]])


def turned_up(mesh: Mesh, up: ArrayLike) -> Mesh:
    """*mesh* turned so that the direction *up* is +z."""
    return turned(mesh, rotation_to_up(up))


def turned(mesh: Mesh, rotation: ArrayLike) -> Mesh:
    """*mesh* under the 3 × 3 *rotation* about the file's origin."""
    return Mesh(mesh.vertices.astype(np.float64) @ np.asarray(rotation, dtype=np.float64).T, mesh.faces)


def filed_box(mesh: Mesh, clearance: Clearance) -> BoxedPose:
    """The box around *mesh* as it stands in its file."""
    return _boxed(np.eye(3), mesh.size_mm, clearance, as_filed=True)


def smallest_boxes(mesh: Mesh, clearance: Clearance, count: int = 3) -> tuple[BoxedPose, ...]:
    """The *count* poses that need the smallest boxes, smallest first.

    Method: every face of the convex hull as the base, and the six axis poses; for each base the rectangle of least
    area lies along an edge of the flattened hull (H. Freeman and R. Shapira, Commun. ACM 18 (1975) 409), which also
    holds with a clearance added: area and girth of the rectangle are concave between two edges.
    Error: none for the poses tried; the true smallest box of a part may stand on an edge (J. O'Rourke, Int. J. Comput.
    Inf. Sci. 14 (1985) 183), which a pour on a level bench cannot use.
    """
    points, normals = _hull(mesh)
    poses = [_best_turn(points, rotation_to_up(-normal), clearance) for normal in _bases(normals)]
    poses.sort(key=lambda pose: pose.volume_mm3)
    return tuple(_distinct(poses)[:count])


def _hull(mesh: Mesh) -> tuple[Floats, Floats]:
    """Corner points of the convex hull, and (n, 3) outward normals of its faces scaled by their areas."""
    try:
        hull = ConvexHull(mesh.vertices.astype(np.float64))
    except QhullError:
        raise UnsoundMesh("The part is flat, so no box can be fitted; check the file.") from None
    corners = hull.points[hull.simplices]
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    return np.asarray(hull.points[hull.vertices]), np.asarray(hull.equations[:, :3] * areas[:, None])


def _bases(scaled_normals: Floats) -> Floats:
    """Unit normals of the largest hull faces, nearly parallel facets merged, with the six axes."""
    areas = np.linalg.norm(scaled_normals, axis=1)
    order = np.argsort(-areas, kind="stable")[: 20 * MAX_FACE_POSES]
    units = scaled_normals[order] / np.maximum(areas[order], 1e-300)[:, None]
    kept: list[Floats] = list(pour_directions()[:6])
    for unit in units:
        if len(kept) >= MAX_FACE_POSES:
            break
        if np.max(np.stack(kept) @ unit) < SAME_FACE_COSINE:
            kept.append(unit)
    return np.stack(kept)


def _best_turn(points: Floats, rotation: Floats, clearance: Clearance) -> BoxedPose:
    """The smallest box about *points* among the turns about z that lay a hull edge along x."""
    standing = points @ rotation.T
    outline = _outline(standing[:, :2])
    edges = np.roll(outline, -1, axis=0) - outline
    angles = np.append(np.arctan2(edges[:, 1], edges[:, 0]), 0.0) % (np.pi / 2)
    along = outline @ np.stack([np.cos(angles), np.sin(angles)])
    across = outline @ np.stack([-np.sin(angles), np.cos(angles)])
    widths, depths = np.ptp(along, axis=0), np.ptp(across, axis=0)
    room = 2 * clearance.sides_mm
    best = int(np.argmin((widths + room) * (depths + room)))
    cos, sin = float(np.cos(angles[best])), float(np.sin(angles[best]))
    about_z = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
    part = np.array([widths[best], depths[best], float(np.ptp(standing[:, 2]))])
    return _boxed(about_z @ rotation, part, clearance, as_filed=False)


def _outline(points: Floats) -> Floats:
    """The convex outline of plane *points*, in order."""
    return np.asarray(points[ConvexHull(points).vertices])


def _boxed(rotation: Floats, part: Floats, clearance: Clearance, *, as_filed: bool) -> BoxedPose:
    sides = 2 * clearance.sides_mm
    box = part + np.array([sides, sides, clearance.above_mm + clearance.below_mm])
    rows = tuple(vector(row) for row in rotation)
    return BoxedPose((rows[0], rows[1], rows[2]), vector(part), vector(box), float(np.prod(box)), as_filed)


def _distinct(poses: list[BoxedPose]) -> list[BoxedPose]:
    """*poses* without those whose box repeats an earlier one: a cube stands alike on all its faces."""
    kept: list[BoxedPose] = []
    for pose in poses:
        if not any(np.allclose(sorted(pose.box_mm), sorted(other.box_mm), rtol=1e-4) for other in kept):
            kept.append(pose)
    return kept


def vector(values: ArrayLike) -> Vector:
    """Three plain floats, for results that must compare and print as values."""
    x, y, z = (float(value) for value in np.asarray(values).reshape(3))
    return x, y, z

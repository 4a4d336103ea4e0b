"""Triangles that fill a closed loop of points: of least area, or, for long flat loops, ears cut off one by one.

Lengths in mm.
"""

from __future__ import annotations

from math import pi, sqrt

import mapbox_earcut
import numpy as np

from moldvol.geometry.mesh import Floats, Ints

# The triangles of least area cost n³/6 trials: a few tenths of a second for this many points.
MOST_LEAST_AREA_POINTS = 300
# A loop straying farther from its plane than this share of its radius is not filled in that plane.
MOST_UNEVEN_SHARE = 0.1


def least_area_fill(points: Floats) -> Ints:
    """(k − 2, 3) triangles of least total area over the closed loop *points* (k, 3).

    Method: dynamic programming over spans of the loop (Barequet & Sharir, Computer Aided Geometric Design 12, 1995).
    """
    count = len(points)
    cost = np.zeros((count, count))
    split = np.zeros((count, count), dtype=np.int64)
    for span in range(2, count):
        start = np.arange(count - span)[:, None]
        middle = start + np.arange(1, span)[None, :]
        end = start + span
        a, b, c = points[start], points[middle], points[end]
        total = cost[start, middle] + cost[middle, end] + np.linalg.norm(np.cross(b - a, c - a), axis=2) / 2
        best = np.argmin(total, axis=1)
        row = np.arange(count - span)
        cost[row, row + span] = total[row, best]
        split[row, row + span] = middle[row, best]
    faces, open_spans = [], [(0, count - 1)]
    while open_spans:
        first, last = open_spans.pop()
        if last - first > 1:
            middle_one = int(split[first, last])
            faces.append((first, middle_one, last))
            open_spans += [(first, middle_one), (middle_one, last)]
    return np.array(faces, dtype=np.int32)


def polygon_fill(points: Floats) -> Ints | None:
    """(k − 2, 3) indices into *points* that fill a flat simple polygon which a fan would overlap, else None.

    A fan is the first choice, since it does not depend on how the part stands; it is sound wherever the whole rim can
    be seen from the centroid.
    """
    middle = points.mean(axis=0)
    wedges = np.cross(points - middle, np.roll(points, -1, axis=0) - middle)
    area = float(np.linalg.norm(wedges.sum(axis=0))) / 2
    if area < 1e-9 * float(np.abs(points - middle).max()) ** 2:
        return None
    normal = wedges.sum(axis=0) / (2 * area)
    uneven = np.abs((points - middle) @ normal).max()
    if uneven > MOST_UNEVEN_SHARE * sqrt(area / pi) or (wedges @ normal >= 0).all():
        return None
    across = points[int(np.argmax(np.linalg.norm(points - middle, axis=1)))] - middle
    across = across - (across @ normal) * normal
    across /= np.linalg.norm(across)
    flat = np.column_stack([(points - middle) @ across, (points - middle) @ np.cross(normal, across)])
    return _ears(flat, area)


def _ears(flat: Floats, area: float) -> Ints | None:
    """(k − 2, 3) triangles in the counter-clockwise polygon *flat* (k, 2) of *area*, or None if it crosses itself."""
    faces = mapbox_earcut.triangulate_float64(flat, np.array([len(flat)], dtype=np.uint32)).reshape(-1, 3)
    a, b, c = flat[faces[:, 0]], flat[faces[:, 1]], flat[faces[:, 2]]
    doubled = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    if doubled.sum() < 0:
        faces, doubled = faces[:, ::-1], -doubled
    # Fewer triangles than corners less two means a corner was passed over and the chain would not close.
    whole = len(faces) == len(flat) - 2 and abs(doubled.sum() / 2 - area) < 1e-6 * area
    return faces.astype(np.int32) if whole and (doubled >= -1e-9 * area).all() else None

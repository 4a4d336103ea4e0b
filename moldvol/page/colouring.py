"""What the surface is coloured by: the wall under it (thin) and the deepest place under it (thick).

The colours run from dark blue to yellow by lightness alone, so that eyes which do not tell red from green, and a grey
printer, read them alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.triangles import area_vectors
from moldvol.geometry.wall.caliper import thickness_at
from moldvol.geometry.wall.rays import RayCaster
from moldvol.page.glb import Colours

# Cividis: J. R. Nuñez, C. R. Anderton, R. S. Renslow, PLoS ONE 13 (2018) e0199239; its darkest tenth is left out, where
# blue on a dark page is no colour.
COLOUR_MAP = "cividis"
DARKEST, LIGHTEST = 0.12, 1.0
STOPS = 12  # of the gradient that the legend is drawn with
TYPICAL_SHARE, ABOVE_TYPICAL = 0.5, 1.5  # the scale of walls ends at one and a half of the median: the thin counts
STEPS_INWARD = 24


@dataclass(frozen=True, slots=True)
class Legend:
    """A scale of colours: what *low_mm*, *middle_mm* and *high_mm* look like, with ``stops`` between as ``#rrggbb``."""

    title: str
    low_mm: float
    middle_mm: float
    high_mm: float
    stops: tuple[str, ...]


def vertex_normals(mesh: Mesh) -> Floats:
    """(v, 3) unit outward normals, each the mean of its triangles' by area; arbitrary where they cancel."""
    vectors = area_vectors(mesh.corners())
    total = np.stack(
        [np.bincount(mesh.faces.ravel(), np.repeat(vectors[:, k], 3), len(mesh.vertices)) for k in range(3)], axis=1
    )
    lengths = np.linalg.norm(total, axis=1, keepdims=True)
    return np.where(lengths > 0, total / np.maximum(lengths, 1e-300), [0.0, 0.0, 1.0])


def wall_at_vertices(mesh: Mesh, normals: Floats) -> Floats:
    """(v,) wall thickness felt inward from every vertex, mm; where nothing is felt, the most that is felt anywhere."""
    own_face = np.zeros(len(mesh.vertices), dtype=np.int64)
    own_face[mesh.faces.ravel()] = np.repeat(np.arange(len(mesh.faces)), 3)
    felt = thickness_at(RayCaster(mesh), own_face, mesh.vertices.astype(np.float64), normals)
    known = felt[np.isfinite(felt)]
    most = float(known.max()) if len(known) else float(mesh.size_mm.min())
    return np.where(np.isfinite(felt), felt, most)


def depth_at_vertices(mesh: Mesh, normals: Floats, wall_mm: Floats, field: DistanceField) -> Floats:
    """(v,) depth of the deepest point on the way from every vertex to the opposite wall, mm."""
    grid = field.grid
    deepest = np.zeros(len(mesh.vertices))
    for share in np.linspace(0.04, 0.96, STEPS_INWARD):
        at = (mesh.vertices - normals * (wall_mm * share)[:, None] - grid.origin_mm) / grid.spacing_mm
        deepest = np.maximum(deepest, ndimage.map_coordinates(field.depth_mm, at.T, order=1, mode="nearest"))
    return deepest


def coloured(values_mm: Floats, title: str, *, low_is_light: bool) -> tuple[Colours, Legend]:
    """(v, 4) colours of *values_mm* and the legend that reads them back.

    Thin walls are light, because they are what to look for, and the scale of walls is one of square roots: it spends
    half its colours on the thinnest quarter. Of depths the deep ones are light, on an even scale.
    """
    typical = ABOVE_TYPICAL * float(np.quantile(values_mm, TYPICAL_SHARE))
    high = min(typical, float(values_mm.max())) if low_is_light else float(values_mm.max())
    high = max(high, 1e-6)
    power = 0.5 if low_is_light else 1.0
    share = np.clip(values_mm / high, 0, 1) ** power
    # glTF wants linear light; the legend and the screen are sRGB.
    rgba = np.concatenate([_linear(_ramp(1 - share if low_is_light else share)), np.ones((len(share), 1))], axis=1)
    stops = _ramp(np.linspace(1, 0, STOPS) if low_is_light else np.linspace(0, 1, STOPS))
    names = tuple("#{:02x}{:02x}{:02x}".format(*(round(255 * part) for part in stop)) for stop in stops.tolist())
    return np.rint(255 * rgba).astype(np.uint8), Legend(title, 0.0, high * 0.5 ** (1 / power), high, names)


def _ramp(share: Floats) -> Floats:
    """(k, 3) sRGB colours for shares 0 (dark) to 1 (light)."""
    from matplotlib import colormaps

    return np.asarray(colormaps[COLOUR_MAP](DARKEST + (LIGHTEST - DARKEST) * share))[:, :3]


def _linear(srgb: Floats) -> Floats:
    """sRGB to linear light, IEC 61966-2-1."""
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)

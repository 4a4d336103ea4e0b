"""From a distance function to a closed mesh: sampling near the surface, marching cubes, thinning out, flat cuts.

Lengths in mm. Everything is deterministic, so a rebuilt sample has the same shape.
"""

from __future__ import annotations

from collections.abc import Callable

import manifold3d
import numpy as np
import trimesh
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import cKDTree
from skimage.measure import marching_cubes

Floats = NDArray[np.float64]
Distance = Callable[[Floats], Floats]

BLOCK = 4  # samples along a block's edge; blocks far from the surface are not sampled finely
SAFETY = 2.0  # distances of blended shapes are bounds, so look this much farther than an exact one would need
POINTS_AT_ONCE = 1 << 13  # fits the processor's cache
CLEAR = 0.003  # mm: a grid point on the surface itself would give triangles without area


def sampled(distance: Distance, low: ArrayLike, high: ArrayLike, step: float) -> tuple[Floats, Floats]:
    """Values on a grid (nx, ny, nz) from *low* to at least *high*, exact only near the surface; and the origin."""
    origin = np.asarray(low, dtype=float)
    blocks = np.ceil((np.asarray(high, dtype=float) - origin) / (step * BLOCK)).astype(int) + 1
    corners = origin + step * BLOCK * np.stack(np.meshgrid(*map(np.arange, blocks), indexing="ij"), -1).reshape(-1, 3)
    middle = evaluated(distance, corners + step * (BLOCK - 1) / 2)
    near = np.abs(middle) < SAFETY * step * BLOCK * np.sqrt(3) / 2
    values = np.repeat(middle[:, None], BLOCK**3, axis=1)
    inside_block = step * np.stack(np.meshgrid(*[np.arange(BLOCK)] * 3, indexing="ij"), -1).reshape(-1, 3)
    fine = (corners[near][:, None] + inside_block).reshape(-1, 3)
    values[near] = evaluated(distance, fine).reshape(-1, BLOCK**3)
    grid = values.reshape(*blocks, BLOCK, BLOCK, BLOCK).transpose(0, 3, 1, 4, 2, 5).reshape(blocks * BLOCK)
    return _walled(grid, step), origin


def _walled(grid: Floats, step: float) -> Floats:
    """Outside on all six faces, so that a shape reaching beyond the grid is still closed (and then cut flat)."""
    walled = np.full(grid.shape, step)
    inner = (slice(1, -1),) * 3
    walled[inner] = grid[inner]
    return walled


def evaluated(distance: Distance, points: Floats) -> Floats:
    """The function at many points, in portions that fit the cache."""
    portions = [distance(points[i : i + POINTS_AT_ONCE]) for i in range(0, len(points), POINTS_AT_ONCE)]
    return np.concatenate(portions)


def meshed(distance: Distance, low: ArrayLike, high: ArrayLike, step: float) -> trimesh.Trimesh:
    """The closed surface where the distance is 0, its normals outward."""
    grid, origin = sampled(distance, low, high, step)
    return level_mesh(grid, origin, step)


def level_mesh(grid: Floats, origin: Floats, step: float, level: float = 0.0) -> trimesh.Trimesh:
    """Marching cubes of a grid that is negative inside."""
    above = grid - level
    above = np.where(np.abs(above) < CLEAR, np.where(above < 0, -CLEAR, CLEAR), above)
    vertices, faces, _, _ = marching_cubes(above, 0.0, gradient_direction="descent")
    return trimesh.Trimesh(origin + step * vertices.astype(float), faces, process=False)


def solid(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    """The mesh for exact booleans; an unsound mesh stops the script."""
    vertices, faces = np.array(mesh.vertices, dtype=float, order="C"), np.array(mesh.faces, dtype=np.uint64, order="C")
    made = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces))
    if made.status() != manifold3d.Error.NoError:
        raise ValueError(f"mesh with {len(mesh.faces)} triangles is not a solid: {made.status()}")
    return made


def mesh_of(made: manifold3d.Manifold) -> trimesh.Trimesh:
    data = made.to_mesh64()
    return trimesh.Trimesh(
        np.asarray(data.vert_properties)[:, :3], np.asarray(data.tri_verts).astype(int), process=False
    )


def cut_flat(mesh: trimesh.Trimesh, normal: ArrayLike, offset: float) -> trimesh.Trimesh:
    """The part on the side of *normal* of a plane, closed by a flat face."""
    return mesh_of(solid(mesh).trim_by_plane(tuple(np.asarray(normal, dtype=float)), offset))


def largest_body(mesh: trimesh.Trimesh) -> trimesh.Trimesh:
    """The one body of most triangles: crumbs where relief crosses a thin part are dropped."""
    return max(mesh.split(only_watertight=False), key=lambda body: len(body.faces))


def depth_below(mesh: trimesh.Trimesh, grid: Floats, origin: Floats, step: float, upto: float) -> Floats:
    """A grid like *grid*, negative inside, of distances to the nearest vertex of a finely meshed surface.

    Inside a blended shape its own values are only bounds; walls need the true distance. Deeper than *upto* reads −upto.
    """
    inside = np.argwhere(grid < 0)
    reach, _ = cKDTree(mesh.vertices).query(origin + step * inside, distance_upper_bound=upto)
    depth = np.full(grid.shape, step, dtype=float)
    depth[tuple(inside.T)] = -np.minimum(reach, upto)
    return depth

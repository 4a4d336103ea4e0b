"""A part in its mould as cells: resin, mould and air by their shares of each cube of a grid.

The mould is what lies within its thickness of the surface, as a glove mould or a block cut to shape. The part is
closed all round, which leaves out the pour opening and so errs on the hot side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moldvol.casting.heat.cells import W_PER_MM_K, Cells, Contact, Film, Floats, Indices, exchange_matrix, series
from moldvol.casting.heat.depth import PartDepth, neighbours, shares
from moldvol.materials.chemistry.thermal import ResinThermal, Substance

LEAST_SHARE = 0.05  # cubes holding less are left out: their heat is nothing and their haste would rule the step


@dataclass(frozen=True, slots=True, kw_only=True)
class Mould:
    """What encloses the part, and how warm it is at the pour."""

    substance: Substance
    thickness_mm: float
    start_c: float


@dataclass(frozen=True, slots=True, eq=False)
class PartCells:
    """The cells, and where each stands: ``index`` (nx, ny, nz) is its number or −1, on the grid of ``depth``."""

    cells: Cells
    depth: PartDepth
    index: Indices

    def spread(self, values: Floats) -> Floats:
        """(nx, ny, nz): one value per cell laid out on the grid, NaN in the air."""
        laid = np.full(self.index.shape, np.nan)
        laid[self.index >= 0] = values
        return laid

    def place_mm(self, cell: int) -> tuple[float, float, float]:
        """Where the centre of *cell* is."""
        at = np.argwhere(self.index == cell)[0] * self.depth.spacing_mm + np.asarray(self.depth.origin_mm)
        return float(at[0]), float(at[1]), float(at[2])

    def depth_of_mm(self, cell: int) -> float:
        """How far below the surface the centre of *cell* is."""
        return float(self.depth.depth_mm[self.index == cell][0])


@dataclass(frozen=True, slots=True)
class Lift:
    """A pour in stages: layers of cubes *bottom* to *top* along z now; what is below has cured, above is air."""

    bottom: int
    top: int


@dataclass(frozen=True, slots=True, eq=False)
class _Matter:
    """What the cubes hold, as shares (nx, ny, nz): resin that will cure, resin that has, and mould."""

    resin: Floats
    cured: Floats
    mould: Floats

    @property
    def active(self) -> NDArray[np.bool_]:
        return np.asarray(self.resin + self.cured + self.mould > LEAST_SHARE)


def part_cells(
    part: PartDepth,
    resin: ResinThermal,
    mould: Mould,
    room: Film,
    *,
    start_c: float,
    wall_mm: float | None = None,
    lift: Lift | None = None,
) -> PartCells:
    """Cells of *part* on its own grid, filled with *resin* to the depth *wall_mm* or solid, inside *mould*.

    The grid must reach beyond the mould's thickness. A hollow cast's inner face is insulated: the air in it goes
    nowhere.
    """
    matter = _matter(part, mould, wall_mm, lift)
    active, h = matter.active, part.spacing_mm
    index = np.full(active.shape, -1, dtype=np.int64)
    index[active] = np.arange(np.count_nonzero(active))
    curing, cured, of_mould = (share[active] for share in (matter.resin, matter.cured, matter.mould))
    resin_j_k = (curing + cured) * h**3 * resin.substance.capacity_j_mm3k
    mould_j_k = of_mould * h**3 * mould.substance.capacity_j_mm3k
    # in a cube that holds both, heat passes one after the other
    held = curing + cured + of_mould
    conductivity = held / (
        (curing + cured) / resin.substance.conductivity_w_mk + of_mould / mould.substance.conductivity_w_mk
    )
    first, second, conductance = _faces(index, held, conductivity, h)
    film = _film_w_k(part, index, mould, conductivity, room, lift)
    depth = part.depth_mm[active]
    heat = curing * h**3 * resin.substance.density_g_cm3 * 1e-3 * resin.heat_of_reaction_j_g
    contact = _contact(first, second, depth, heat > 0, resin.substance, mould.substance)
    warm = np.where(curing > 0, start_c, room.air_c)
    cells = Cells(
        exchange_w_k=exchange_matrix(first, second, conductance, len(depth)),
        film_w_k=film,
        film_w=film * room.air_c,
        capacity_j_k=resin_j_k + mould_j_k,
        heat_j=heat,
        start_c=(resin_j_k * warm + mould_j_k * mould.start_c) / (resin_j_k + mould_j_k),
        contact=contact,
        core=_core(index, np.where(heat > 0, depth, -np.inf)),
        skin=_skin(contact, heat > 0, film),
    )
    return PartCells(cells, part, index)


def _matter(part: PartDepth, mould: Mould, wall_mm: float | None, lift: Lift | None) -> _Matter:
    h = part.spacing_mm
    inside = shares(part.depth_mm, h)
    resin = inside if wall_mm is None else inside * shares(wall_mm - part.depth_mm, h)
    # the mould's outside is a staircase; its area is put right in the film
    of_mould = np.where(part.depth_mm > -mould.thickness_mm, 1.0 - inside, 0.0)
    curing, cured = np.where(resin > LEAST_SHARE, resin, 0.0), np.zeros_like(resin)
    if lift is not None:
        cured[:, :, : lift.bottom] = curing[:, :, : lift.bottom]
        curing[:, :, : lift.bottom] = 0.0
        curing[:, :, lift.top :] = of_mould[:, :, lift.top :] = 0.0
    return _Matter(curing, cured, of_mould)


def _faces(index: Indices, held: Floats, conductivity: Floats, spacing_mm: float) -> tuple[Indices, Indices, Floats]:
    """Pairs of neighbouring cells and the conductance between them, W/K."""
    pairs = []
    for axis in range(3):
        before, after = neighbours(index, axis)
        joined = (before >= 0) & (after >= 0)
        pairs.append((before[joined], after[joined]))
    first, second = (np.concatenate(side) for side in zip(*pairs, strict=True))
    area = spacing_mm**2 * np.minimum(held[first], held[second])
    half = spacing_mm / 2 / (conductivity * W_PER_MM_K)
    return first, second, area * series(half[first], half[second])


def _film_w_k(
    part: PartDepth, index: Indices, mould: Mould, conductivity: Floats, room: Film, lift: Lift | None
) -> Floats:
    """(n,): conductance of every cell to the room.

    Method: a staircase has more area than the surface it follows; each exposed face counts with the cosine between it
    and the surface, which makes the sum the true area (of a ball, 4πr² instead of 6πr²).
    """
    h, cells = part.spacing_mm, len(conductivity)
    slope = np.array(np.gradient(part.depth_mm))
    slope = np.abs(slope) / np.maximum(np.sqrt((slope**2).sum(axis=0)), 1e-12)
    outside = (index < 0) & (part.depth_mm <= 0)
    area = np.zeros(cells)
    for axis, cell_side, air_side in _sides():
        exposed = (index[cell_side] >= 0) & outside[air_side]
        if lift is not None and axis == 2:
            exposed[:, :, lift.top - 1 : lift.top] = False  # under open air, below
        np.add.at(area, index[cell_side][exposed], slope[axis][cell_side][exposed] * h**2)
    to_surface = np.maximum(part.depth_mm[index >= 0] + mould.thickness_mm, 0.0)
    film = np.zeros(cells)
    wet = area > 0
    film[wet] = room.conductance_w_k(area[wet], to_surface[wet], conductivity[wet])
    if lift is not None:
        top = index[:, :, lift.top - 1]
        top = top[top >= 0]
        film[top] += room.conductance_w_k(h**2, h / 2, conductivity[top])
    return film


def _sides() -> Iterator[tuple[int, tuple[slice, ...], tuple[slice, ...]]]:
    """Every axis both ways: the slice of cubes that have a neighbour there, and of those neighbours."""
    every, early, late = slice(None), slice(-1), slice(1, None)
    for axis in range(3):
        before, after = [every] * 3, [every] * 3
        before[axis], after[axis] = early, late
        yield axis, tuple(before), tuple(after)
        yield axis, tuple(after), tuple(before)


def _core(index: Indices, depth: Floats) -> int:
    """The cell in the middle of the deepest ones: a box is as deep along a whole ridge, and hottest half way."""
    deepest = np.flatnonzero(depth >= 0.9 * depth.max())
    at = np.argwhere(index >= 0)[deepest]
    return int(deepest[np.argmin(((at - at.mean(axis=0)) ** 2).sum(axis=1))])


def _skin(contact: Contact, cures: NDArray[np.bool_], film_w_k: Floats) -> Indices:
    """The resin at the surface: what touches the mould or, where there is none, the air."""
    return np.unique(contact.inner) if len(contact.inner) else np.flatnonzero(cures & (film_w_k > 0))


def _contact(
    first: Indices, second: Indices, depth: Floats, cures: NDArray[np.bool_], resin: Substance, mould: Substance
) -> Contact:
    """Faces with resin on the one side of the surface and mould on the other, each at the depth of its centres."""
    crossing = (depth[first] > 0) != (depth[second] > 0)
    a, b = first[crossing], second[crossing]
    inner, outer = np.where(depth[a] > 0, a, b), np.where(depth[a] > 0, b, a)
    inner, outer = inner[cures[inner]], outer[cures[inner]]
    towards = resin.conductivity_w_mk / np.maximum(depth[inner], 1e-9)
    away = mould.conductivity_w_mk / np.maximum(-depth[outer], 1e-9)
    return Contact(inner, outer, towards / (towards + away))

"""A body as cells that hold heat and faces that lead it: the one form that slabs, cups and parts are solved in.

Lengths in mm, temperatures in °C, heat in J, conductances in W/K. Method: finite volumes; two neighbouring cell
centres are joined by their half-cell resistances in series, which is the harmonic mean of the conductivities
(Patankar, Numerical Heat Transfer and Fluid Flow, 1980, section 4.2-3).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from moldvol.materials.chemistry.thermal import STILL_AIR_W_M2K, ResinThermal, Substance

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]

W_PER_MM_K = 1e-3  # one W/(m K) in W/(mm K)
W_PER_MM2_K = 1e-6  # one W/(m² K) in W/(mm² K)


@dataclass(frozen=True, slots=True, eq=False)
class Contact:
    """Where resin touches its mould: pairs of cells on either side of each face.

    ``inner``, ``outer`` are (f,) indices; the face is at inner_share · T(inner) + (1 − inner_share) · T(outer).
    """

    inner: Indices
    outer: Indices
    inner_share: Floats

    def temperatures_c(self, temperature_c: Floats) -> Floats:
        """(f,): the temperature of each face."""
        return np.asarray(
            self.inner_share * temperature_c[self.inner] + (1 - self.inner_share) * temperature_c[self.outer]
        )


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """n cells. ``exchange_w_k`` is (n, n): heat that flows into each cell per kelvin, every row sums to zero.

    ``film_w_k`` (n,) joins cells to the air, ``film_w`` (n,) is that times the air's temperature. ``heat_j`` (n,) is
    what a cell releases on full conversion; ``resin`` (r,) are the cells that hold any. ``core`` and ``skin`` are
    resin cells: the deepest, and those at the surface.
    """

    exchange_w_k: sparse.csr_matrix
    film_w_k: Floats
    film_w: Floats
    capacity_j_k: Floats
    heat_j: Floats
    start_c: Floats
    contact: Contact
    core: int
    skin: Indices

    @property
    def resin(self) -> Indices:
        """(r,): indices of the cells that release heat."""
        return np.flatnonzero(self.heat_j > 0)


def exchange_matrix(first: Indices, second: Indices, conductance_w_k: Floats, cells: int) -> sparse.csr_matrix:
    """(n, n) of faces between the cells *first* and *second*; symmetric, rows sum to zero."""
    lost = np.bincount(first, conductance_w_k, cells) + np.bincount(second, conductance_w_k, cells)
    diagonal = np.arange(cells)
    rows = np.concatenate([first, second, diagonal])
    columns = np.concatenate([second, first, diagonal])
    values = np.concatenate([conductance_w_k, conductance_w_k, -lost])
    return sparse.csr_matrix((values, (rows, columns)), shape=(cells, cells))


def series(*resistances: Floats | float) -> Floats:
    """The conductance of *resistances* one behind the other; an infinite film is a resistance of zero."""
    return np.asarray(1 / sum(np.asarray(resistance, dtype=float) for resistance in resistances))


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One shell of a layered slab, cylinder or sphere: resin where ``heat_j_g`` is above zero."""

    substance: Substance
    thickness_mm: float
    cells: int
    start_c: float
    heat_j_g: float = 0.0

    @classmethod
    def of_resin(cls, resin: ResinThermal, thickness_mm: float, cells: int, start_c: float) -> Layer:
        """A layer that cures."""
        return cls(
            substance=resin.substance, thickness_mm=thickness_mm, cells=cells, start_c=start_c,
            heat_j_g=resin.heat_of_reaction_j_g,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """What lies outside a surface: still air, or a temperature held on the surface itself (infinite coefficient)."""

    air_c: float
    coefficient_w_m2k: float = STILL_AIR_W_M2K

    @classmethod
    def held(cls, surface_c: float) -> Film:
        """A surface kept at *surface_c*."""
        return cls(air_c=surface_c, coefficient_w_m2k=float("inf"))

    def conductance_w_k(self, area_mm2: Floats | float, half_cell_mm: Floats | float, w_mk: Floats | float) -> Floats:
        """From cell centres *half_cell_mm* below the surface to the air, W/K."""
        return series(
            half_cell_mm / (np.asarray(w_mk) * W_PER_MM_K * area_mm2),
            1 / (self.coefficient_w_m2k * W_PER_MM2_K * np.asarray(area_mm2, dtype=float)),
        )

"""Slabs, cylinders and spheres in layers, as cells along one radius.

A slab is taken from its mid-plane, per mm² of face; a cylinder per mm of length; a sphere whole. The same cells,
conduction and cure as a part's, so what is verified here holds there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import pi

import numpy as np

from moldvol.casting.heat.cells import W_PER_MM_K, Cells, Contact, Film, Floats, Layer, exchange_matrix, series


@dataclass(frozen=True, slots=True)
class Form:
    """How area and enclosed volume grow with the radius."""

    name: str
    area_mm2: Callable[[Floats], Floats]
    volume_mm3: Callable[[Floats], Floats]


SLAB = Form("slab", np.ones_like, lambda r: r)
CYLINDER = Form("cylinder", lambda r: 2 * pi * r, lambda r: pi * r**2)
SPHERE = Form("sphere", lambda r: 4 * pi * r**2, lambda r: 4 / 3 * pi * r**3)


def layered(
    form: Form,
    layers: Sequence[Layer],
    *,
    outside: Film | None,
    inside: Film | None = None,
    inner_radius_mm: float = 0.0,
) -> Cells:
    """Cells of *layers* from the centre outwards; where there is no film no heat crosses the surface (or mid-plane)."""
    steps = np.concatenate([np.full(layer.cells, layer.thickness_mm / layer.cells) for layer in layers])
    of_layer = np.repeat(np.arange(len(layers)), [layer.cells for layer in layers])
    radii = inner_radius_mm + np.concatenate([[0.0], np.cumsum(steps)])
    conductivity = np.array([layer.substance.conductivity_w_mk for layer in layers])[of_layer]
    volume, area = np.diff(form.volume_mm3(radii)), form.area_mm2(radii)
    capacity = volume * np.array([layer.substance.capacity_j_mm3k for layer in layers])[of_layer]
    density_heat = np.array([layer.substance.density_g_cm3 * 1e-3 * layer.heat_j_g for layer in layers])[of_layer]
    half = steps / 2 / (conductivity * W_PER_MM_K)
    first = np.arange(len(steps) - 1)
    film, film_w = _films(outside, inside, area, steps, conductivity)
    heat = volume * density_heat
    core, skin, contact = _resin_extent(heat, half, radii)
    return Cells(
        exchange_w_k=exchange_matrix(first, first + 1, area[1:-1] * series(half[:-1], half[1:]), len(steps)),
        film_w_k=film,
        film_w=film_w,
        capacity_j_k=capacity,
        heat_j=heat,
        start_c=np.array([layer.start_c for layer in layers], dtype=float)[of_layer],
        contact=contact,
        core=core,
        skin=skin,
    )


def _films(
    outside: Film | None, inside: Film | None, area: Floats, steps: Floats, conductivity: Floats
) -> tuple[Floats, Floats]:
    film, film_w = np.zeros(len(steps)), np.zeros(len(steps))
    for end, where in ((outside, -1), (inside, 0)):
        if end is not None:
            conductance = end.conductance_w_k(area[where], steps[where] / 2, conductivity[where])
            film[where] += conductance
            film_w[where] += conductance * end.air_c
    return film, film_w


def _resin_extent(heat_j: Floats, half: Floats, radii: Floats) -> tuple[int, np.ndarray, Contact]:
    """The core cell, the skin cells and the faces between resin and what encloses it."""
    resin = np.flatnonzero(heat_j > 0)
    if len(resin) == 0:
        none = np.zeros(0, dtype=np.int64)
        return 0, none, Contact(none, none, np.zeros(0))
    last = resin[-1:]
    outer = np.minimum(last + 1, len(heat_j) - 1)
    share = half[outer] / (half[last] + half[outer])
    # A symmetric body is hottest at its centre; a shell with a free inside is too, its inner face being insulated.
    core = int(resin[0]) if radii[0] == 0 or resin[0] == 0 else int(resin[len(resin) // 2])
    return core, last, Contact(last, outer, share)

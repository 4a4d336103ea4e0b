"""What is stirred into a resin beside its own parts: fillers, metal powders, thickeners, pigments."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from moldvol.materials.grade import Grade

FillerKind = Literal["filler", "metal", "thickener", "pigment"]

# Random close packing of equal spheres: G. D. Scott and D. M. Kilgour, J. Phys. D 2 (1969) 863 (0.637).
CLOSEST_PACKING = 0.64


@dataclass(frozen=True, slots=True, kw_only=True)
class Filler:
    """A powder or paste; ``density_g_ml`` is that of the grain, not of the heap.

    ``percent_low`` and ``percent_high`` are the usual dose by weight of resin. ``packing_limit`` is the share of the
    volume beyond which the resin no longer fills the gaps.
    """

    key: str
    name: str
    kind: FillerKind
    density_g_ml: float
    percent_low: float | None = None
    percent_high: float | None = None
    packing_limit: float = CLOSEST_PACKING
    price_per_kg: float | None = None
    note: str = ""
    shelf: str = "built-in"
    grades: Mapping[str, Grade] = field(default_factory=dict, repr=False, hash=False)

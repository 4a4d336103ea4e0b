"""The rest of the shelf: plasters, and the small moulds kept ready for what is left over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from moldvol.materials.grade import Grade


@dataclass(frozen=True, slots=True, kw_only=True)
class PlasterPowder:
    """A gypsum plaster. ``consistency`` is grams of water to 100 g of powder; expansion is a linear share."""

    key: str
    name: str
    consistency: float
    consistency_low: float
    consistency_high: float
    powder_density_g_ml: float
    setting_expansion: float | None = None
    price_per_kg: float | None = None
    note: str = ""
    shelf: str = "built-in"
    grades: Mapping[str, Grade] = field(default_factory=dict, repr=False, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallMould:
    """A mould that stands ready; ``count`` of them, each holding ``volume_ml``."""

    key: str
    name: str
    volume_ml: float
    count: int = 1
    note: str = ""
    shelf: str = "built-in"

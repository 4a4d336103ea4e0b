"""A two-part resin or rubber as the bench knows it: parts, ratio, density, times, price.

Masses in g, volumes in ml, times in s, temperatures in °C. Shares (tolerance, shrinkage) are fractions of one. A figure
that nobody has stated is ``None``, never a guess: what a whole class has in common stands in `materials.kinds`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from moldvol.materials.grade import Grade

Kind = Literal["polyurethane", "polyester", "epoxy", "silicone", "foam"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Setting = Literal["gradual", "snap"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One can of the set. A ratio by weight goes before one by volume, for it needs no density."""

    name: str
    by_weight: float | None = None
    by_volume: float | None = None
    density_g_ml: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalyst:
    """The peroxide solution that sets a polyester: per cent by weight of the resin, on top of it.

    ``percent_usual`` is the dose from 20 °C on, and the one the resin's pot life is stated for.
    """

    name: str = "catalyst"
    percent_low: float = 1.0
    percent_usual: float = 1.5
    percent_high: float = 2.0
    density_g_ml: float = 1.15
    price_per_kg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Resin:
    """A resin, rubber or foam. ``cured_density_g_ml`` of a foam is its free-rise density.

    ``largest_section_mm`` is the thickest section the maker lets pour at once; ``sets`` says whether it thickens slowly
    enough to be turned in a mould. ``pot_life_s`` holds for ``pot_life_mass_g`` at ``pot_life_temperature_c``.
    """

    key: str
    name: str
    kind: Kind
    parts: tuple[Part, ...]
    cured_density_g_ml: float
    pot_life_s: float
    pot_life_mass_g: float
    pot_life_temperature_c: float
    ratio_tolerance: float
    activation_energy_j_mol: float
    working_low_c: float
    working_high_c: float
    gel_time_s: float | None = None
    demould_s: float | None = None
    largest_section_mm: float | None = None
    price_per_kg: float | None = None
    viscosity_pa_s: float | None = None
    shrinkage: float | None = None
    sets: Setting | None = None
    catalyst: Catalyst | None = None
    overpack: float | None = None
    heat_of_reaction_j_g: float | None = None
    heat_capacity_j_gk: float | None = None
    conductivity_w_mk: float | None = None
    peak_c: float | None = None
    peak_mass_g: float | None = None
    note: str = ""
    shelf: str = "built-in"
    grades: Mapping[str, Grade] = field(default_factory=dict, repr=False, hash=False)

    def grade_of(self, figure: str) -> Grade | None:
        """The grade of a field by its name here, such as ``pot_life_s``; ``None`` if the field has no figure."""
        return self.grades.get(figure)

    @property
    def given_by_volume(self) -> bool:
        """Whether the ratio on the can is by volume only."""
        return any(part.by_weight is None and part.by_volume is not None for part in self.parts)

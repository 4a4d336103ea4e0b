"""A recipe for one cup, as data: what was asked for, what goes in, and what is to be said about it.

Masses in g, volumes in ml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from moldvol.casting.mixing.ingredients import Role
from moldvol.materials.chemistry.catalyst import CatalystDose
from moldvol.materials.mixtures.additions import Addition
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.scales import Scale
from moldvol.materials.weighing.weighing_error import RatioError
from moldvol.notices import Notice

KITCHEN_SCALE = Scale(readability_g=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class MixRequest:
    """What is to be mixed: a mass or a volume, exactly one of the two.

    ``mass_g`` is resin with its additions; a polyester's catalyst comes on top of it. ``volume_ml`` is the mould to
    fill. ``catalyst_percent`` is the user's own choice, ``section_mm`` the thickest section where it is known.
    """

    resin: Resin
    mass_g: float | None = None
    volume_ml: float | None = None
    additions: tuple[Addition, ...] = ()
    scale: Scale = KITCHEN_SCALE
    bench_c: float | None = None
    catalyst_percent: float | None = None
    section_mm: float | None = None
    poured: Mapping[str, float] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One thing that goes into the cup.

    ``reading_g`` is what the scale shows for all of it alone, ``scale_reading_g`` what it shows when the last of it has
    gone into the common cup; ``to_add_g`` is what is still missing of it.
    """

    name: str
    role: Role
    mass_g: float
    volume_ml: float | None
    reading_g: float
    scale_reading_g: float
    poured_g: float = 0.0
    to_add_g: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MixPlan:
    """A recipe for one cup. ``cost`` is ``None`` if the resin has no price; ``surplus_g`` is what over-pouring adds.

    ``pot_life_s`` is at ``bench_c`` for the mass it is stated for, ``one_cup_life_s`` for all of this mix in one cup,
    ``halving_rule_s`` what 'halves for each 10 °C' makes of the stated pot life.
    """

    request: MixRequest
    total_mass_g: float
    total_volume_ml: float
    density_g_ml: float
    components: tuple[Component, ...]
    ratio_error: RatioError
    smallest_batch_g: float
    pot_life_s: float
    one_cup_life_s: float
    halving_rule_s: float
    bench_c: float
    filler_share: float = 0.0
    surplus_g: float = 0.0
    catalyst: CatalystDose | None = None
    cost: float | None = None
    notices: tuple[Notice, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def ratio_error_percent(self) -> float:
        """How far the ratio may be off in the worst case, per cent."""
        return self.ratio_error.worst * 100

    @property
    def ratio_error_rss_percent(self) -> float:
        """How far the ratio is off when the errors of the weighings are independent, per cent."""
        return self.ratio_error.root_sum_square * 100

    @property
    def tolerance_percent(self) -> float:
        """How far off the resin lets its ratio be, per cent."""
        return self.request.resin.ratio_tolerance * 100


def in_ratio(components: Sequence[Component]) -> list[Component]:
    """Those whose ratio the cure depends on, in the order in which they go into the cup."""
    return sorted((one for one in components if one.role != "addition"), key=lambda one: one.poured_g == 0)

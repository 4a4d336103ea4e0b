"""How large the master must be when what it passes through shrinks or grows on the way to the cast. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.chemistry.shrinkage import (
    PATTERN_RULES,
    MasterSize,
    compound_shrinkage,
    linear_from_volumetric,
    master_size,
    scale_factor,
    shrinkage_from_pattern_rule,
)
from moldvol.materials.resin import Resin
from moldvol.materials.sundries import PlasterPowder
from moldvol.notices import Notice

_FREE = Notice(
    "free-shrinkage",
    "This is free shrinkage: in a stiff mould, or where the resin gels early, part of it becomes stress or sink marks "
    "instead. Cast a bar of known length and measure it.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrinkStep:
    """One material on the way from master to cast: its linear shrinkage as a share, below 0 where it grows."""

    what: str
    linear: float
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrinkPlan:
    """Sizes of the master for the wanted sizes of the cast, and the factor for any other."""

    steps: tuple[ShrinkStep, ...]
    sizes: tuple[MasterSize, ...]
    scale_factor: float
    linear_shrinkage: float
    notices: tuple[Notice, ...] = (_FREE,)


def plan_shrink(wanted_mm: Sequence[float], steps: Sequence[ShrinkStep]) -> ShrinkPlan:
    """The master for casts of *wanted_mm* after all *steps*. Raises `RequestError` if nothing shrinks or grows.

    Method: `shrinkage.master_size`, the product of 1/(1 − s).
    """
    if not steps:
        raise RequestError("Nothing shrinks; name a resin, a rubber, or a shrinkage like 0.4%.")
    shares = [step.linear for step in steps]
    return ShrinkPlan(
        steps=tuple(steps),
        sizes=tuple(master_size(length, *shares) for length in wanted_mm),
        scale_factor=scale_factor(*shares),
        linear_shrinkage=compound_shrinkage(*shares),
    )


def step_of_resin(resin: Resin) -> ShrinkStep:
    """The step that *resin* makes. Raises `RequestError` if the shelf does not say how much it shrinks."""
    if resin.shrinkage is None:
        raise RequestError(
            f"The shelf does not say how much {resin.name} shrinks; leave it out and give a shrinkage like 0.4%.",
            value=resin.key,
        )
    grade = resin.grade_of("shrinkage")
    return ShrinkStep(what=resin.name, linear=resin.shrinkage, origin=str(grade or ""))


def step_of_plaster(powder: PlasterPowder) -> ShrinkStep:
    """The step of a plaster, which grows as it sets. Raises `RequestError` if the shelf does not say how much."""
    if powder.setting_expansion is None:
        raise RequestError(
            f"The shelf does not say how much {powder.name} grows; leave it out and give a shrinkage like -0.2%.",
            value=powder.key,
        )
    return ShrinkStep(
        what=powder.name, linear=-powder.setting_expansion, origin=str(powder.grades.get("setting_expansion") or "")
    )


def step_of_metal(metal: str) -> ShrinkStep:
    """The step of a metal by the pattern-makers' rules. Raises `RequestError` for a metal they have no rule for."""
    if metal not in PATTERN_RULES:
        raise RequestError(f"There is no rule for {metal}; there is one for {', '.join(PATTERN_RULES)}.", value=metal)
    rule = PATTERN_RULES[metal]
    return ShrinkStep(
        what=metal,
        linear=shrinkage_from_pattern_rule(rule, 1),
        origin=f"pattern-makers' rule, 1 in {1 / rule:.4g}",
    )


def own_step(linear: float) -> ShrinkStep:
    """A linear shrinkage of the user's own."""
    return ShrinkStep(what="your figure", linear=linear, origin="linear, as you said")


def own_step_by_volume(volumetric: float) -> ShrinkStep:
    """A volume shrinkage of the user's own, as a data sheet may give it."""
    return ShrinkStep(
        what="your figure",
        linear=linear_from_volumetric(volumetric),
        origin=f"from {100 * volumetric:g} % by volume, as you said",
    )

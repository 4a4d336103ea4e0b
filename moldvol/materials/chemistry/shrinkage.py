"""How much larger the master must be so that the cast comes out at the wanted size.

A shrinkage is a share of one and a loss: 0.01 is 1 % shorter; plaster, which grows, has a negative one. All of it is
free shrinkage: a rigid mould or an early gel turns part of it into stress or sink marks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.materials.bounds import between, positive

# Beyond this nobody casts: polyester, the worst, loses 3 % of its length.
GREATEST_GROWTH, GREATEST_LOSS = -0.1, 0.5

# Pattern-makers' contraction: how much longer the pattern is, per length of cast. Historic rule lists, which differ
# on aluminium (1 in 77 to 1 in 64; here 1 in 75).
PATTERN_RULES = {
    "iron": 1 / 96,
    "aluminium": 1 / 75,
    "brass": 1 / 64,
    "copper": 1 / 64,
    "steel": 1 / 48,
    "lead": 1 / 38.4,
    "zinc": 1 / 38.4,
    "tin": 1 / 144,
    "pewter": 1 / 384,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MasterSize:
    """The master for one wanted length of the cast, and the factor that serves for every other length."""

    wanted_mm: float
    master_mm: float
    scale_factor: float
    linear_shrinkage: float


def linear_from_volumetric(volumetric: float) -> float:
    """Linear shrinkage of a piece that loses the share *volumetric* of its volume, the same in all directions.

    Method: 1 − ∛(1 − s_V).

    >>> round(100 * linear_from_volumetric(0.07), 4)
    2.39
    """
    return -math.expm1(math.log1p(-between(volumetric, -0.3, 0.9, "volume shrinkage as a share")) / 3)


def scale_factor(*linear_shrinkages: float) -> float:
    """How many times larger the master is than the cast, through every step that shrinks: rubber, then resin.

    Raises `RequestError` for a shrinkage beyond −10 % or +50 %: probably per cent typed for a share.

    Method: the product of 1/(1 − s). Not 1 + s, which leaves the cast too small by s².

    >>> round(scale_factor(linear_from_volumetric(0.07)), 6)
    1.024485
    """
    return math.prod(1 / (1 - _checked(linear)) for linear in linear_shrinkages)


def compound_shrinkage(*linear_shrinkages: float) -> float:
    """The one linear shrinkage from master to cast that several steps make together.

    >>> round(compound_shrinkage(0.004, 0.005), 6)
    0.00898
    """
    return 1 - 1 / scale_factor(*linear_shrinkages)


def master_size(wanted_mm: float, *linear_shrinkages: float) -> MasterSize:
    """The master whose cast, after all *linear_shrinkages* in turn, is *wanted_mm* long."""
    factor = scale_factor(*linear_shrinkages)
    wanted = positive(wanted_mm, "wanted size in mm")
    return MasterSize(wanted_mm=wanted, master_mm=wanted * factor, scale_factor=factor, linear_shrinkage=1 - 1 / factor)


def shrinkage_from_pattern_rule(longer: float, per_length: float) -> float:
    """Linear shrinkage that a pattern-makers' rule such as "1/8 in per ft" stands for; both in the same unit.

    Method: the rule says how much longer the pattern must be, so the factor is 1 + longer/per_length exactly.

    >>> round(12 * scale_factor(shrinkage_from_pattern_rule(1 / 8, 12)), 9)
    12.125
    """
    share = longer / positive(per_length, "length that the rule is for")
    return _checked(share / (1 + share))


def _checked(linear: float) -> float:
    return between(linear, GREATEST_GROWTH, GREATEST_LOSS, "linear shrinkage as a share")

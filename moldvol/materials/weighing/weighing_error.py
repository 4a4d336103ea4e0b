"""How far a ratio is off when its parts are weighed on a real scale.

Errors are shares (0.02 is 2 %); masses in g. To first order in the errors of the single weighings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from moldvol.materials.bounds import not_negative, positive
from moldvol.materials.weighing.ratio import shares
from moldvol.materials.weighing.scales import Scale


@dataclass(frozen=True, slots=True)
class RatioError:
    """Largest error of the ratio of any two parts: all against us (*worst*), or independent (*root_sum_square*)."""

    worst: float
    root_sum_square: float


def ratio_error(masses_g: Sequence[float], errors_g: Sequence[float]) -> RatioError:
    """The error of the ratio of parts of *masses_g*, each uncertain by ± *errors_g*; of three parts the worst two.

    Method: δr/r = δA/A + δB/B, or the root of the sum of squares (JCGM 100:2008, 5.1.6).
    Error: second order left out, about a twentieth of the result at 5 %.

    >>> error = ratio_error((200, 10), (0.5, 0.5))
    >>> round(error.worst * 100, 2), round(error.root_sum_square * 100, 3)
    (5.25, 5.006)
    """
    relative = [
        not_negative(error, "error of a weighing in g") / positive(mass, "mass of a part in g")
        for mass, error in zip(masses_g, errors_g, strict=True)
    ]
    largest = sorted(relative, reverse=True)[:2]
    return RatioError(worst=math.fsum(largest), root_sum_square=math.hypot(*largest))


def weighed_ratio_error(due_g: Sequence[float], readings_g: Sequence[float], scale: Scale) -> RatioError:
    """The error of a ratio due as *due_g* and weighed one part after another into one cup to *readings_g*.

    It is the part that rounding to the display fixes beforehand, plus what scale and display may still be off. A part
    that the scale shows as nothing has an error of 1: it may be missing altogether.

    Method: every weighing ± its permissible error, which holds for net loads and does not count rounding (Directive
    2014/31/EU, annex I, 4.1), and ± half a step for each of its readings: one for the first part, which starts at a
    zeroed display, two for each later one.
    """
    if min(readings_g) <= 0:
        return RatioError(1.0, 1.0)
    fixed = _shift(due_g, readings_g)
    worst = ratio_error(readings_g, [sum(_bounds(scale, mass, place)) for place, mass in enumerate(readings_g)])
    likely = ratio_error(
        readings_g, [math.hypot(*_bounds(scale, mass, place)) for place, mass in enumerate(readings_g)]
    )
    return RatioError(fixed + worst.worst, fixed + likely.root_sum_square)


def smallest_batch_g(parts: Sequence[float], scale: Scale, tolerance: float) -> float:
    """The least total of *parts* from which on this scale weighs within *tolerance* (a share) in the worst case, in g.

    Rounding to the display is counted with half a step for each part. Never less than the scale's lower limit asks.

    Method: fixed point from below; the permissible error only grows with the load. Where it steps up, a batch that was
    large enough may be too small again, so each step beyond is asked too.

    >>> smallest_batch_g((1, 1), Scale(readability_g=0.1), 0.05)
    18.0
    """
    share = shares(parts)
    if len(share) < 2:
        return scale.least_load_g or scale.readability_g
    least = (scale.least_load_g or scale.readability_g) / min(share)
    positive(tolerance, "tolerance of the ratio as a share")
    steps = sorted(step / part * (1 + 1e-9) for step in scale.error_steps_g for part in share)
    for start in (least, *steps):
        if start >= least:
            least = _settled_g(start, least, share, scale, tolerance)
    return scale.rounded_up_g(least)


def _settled_g(start_g: float, least_g: float, share: Sequence[float], scale: Scale, tolerance: float) -> float:
    """*least_g* if a batch of *start_g* is within *tolerance*, else the next total that is."""
    total = start_g
    while (wanted := _needed_g(total, share, scale, tolerance)) > total * (1 + 1e-9):
        total = wanted
    return least_g if total == start_g else total


def _bounds(scale: Scale, mass_g: float, place: int) -> tuple[float, ...]:
    readings = 1 if place == 0 else 2
    return (scale.permissible_error_g(mass_g), *([scale.readability_g / 2] * readings))


def _shift(due_g: Sequence[float], readings_g: Sequence[float]) -> float:
    factors = [reading / due for reading, due in zip(readings_g, due_g, strict=True)]
    return max((abs(one / other - 1) for one, other in combinations(factors, 2)), default=0.0)


def _needed_g(total_g: float, share: Sequence[float], scale: Scale, tolerance: float) -> float:
    # Half a step more for each part: what rounding to the display may fix beforehand.
    errors = [
        (sum(_bounds(scale, total_g * part, place)) + scale.readability_g / 2) / part
        for place, part in enumerate(share)
    ]
    return math.fsum(sorted(errors, reverse=True)[:2]) / tolerance

"""The largest plain section of a resin that stays below a temperature, found by bisection on the thickness."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from moldvol.casting.heat.band import Pours
from moldvol.casting.heat.layers import CYLINDER, SLAB, SPHERE, Form
from moldvol.casting.heat.pour import Pour, in_section

THINNEST_MM, THICKEST_MM = 1.0, 256.0  # plate thickness or diameter; beyond these the question is another one
SECTION_REL = 0.02  # of the thickness: finer than any resin is known
CELLS = 12  # against 48: thickness within 1 %


@dataclass(frozen=True, slots=True)
class LargestSection:
    """``across_mm``: thickness of a wide plate, or diameter of a long rod or a ball, at which none of the resins that
    fit the sheet passes ``limit_c``; ``usual_across_mm`` that of the usual one.

    ``None`` where even the thickest looked at stays below, 0 where the thinnest does not.
    """

    form: str
    limit_c: float
    across_mm: float | None
    usual_across_mm: float | None


def largest_sections(pours: Pours, limit_c: float) -> tuple[LargestSection, ...]:
    """Plate, rod and ball in the mould of *pours* that just stay below *limit_c*."""
    names = (("plate", SLAB), ("rod", CYLINDER), ("ball", SPHERE))
    # the end that lost more heat in the cup is the hotter one only where it was given more heat for it
    ends = [pour for pour in (pours.cooler, pours.hotter) if pour.adiabatic_c >= pours.hotter.adiabatic_c]
    found = ((name, [_largest_mm(form, pour, limit_c) for pour in (pours.usual, *ends)]) for name, form in names)
    return tuple(LargestSection(name, limit_c, _least(across), across[0]) for name, across in found)


def _least(across_mm: list[float | None]) -> float | None:
    known = [across for across in across_mm if across is not None]
    return min(known) if known else None


def _largest_mm(form: Form, pour: Pour, limit_c: float) -> float | None:
    if limit_c >= pour.adiabatic_c:
        return None

    def stays_below(across_mm: float) -> bool:
        course = in_section(form, across_mm / 2, pour, cells=CELLS, stop_above_c=limit_c)
        return course.peak_c <= limit_c

    low, high = _bracket(stays_below)
    if high is None or low is None:
        return None if high is None else 0.0
    while high / low > 1 + SECTION_REL:
        middle = (low * high) ** 0.5
        low, high = (middle, high) if stays_below(middle) else (low, middle)
    return low


def _bracket(stays_below: Callable[[float], bool]) -> tuple[float | None, float | None]:
    """A thickness that stays below and twice it, which does not; ``None`` for the side that was not found."""
    across = 16.0
    if stays_below(across):
        while across < THICKEST_MM:
            if not stays_below(2 * across):
                return across, 2 * across
            across *= 2
        return across, None
    while across > THINNEST_MM:
        across /= 2
        if stays_below(across):
            return across, 2 * across
    return None, across

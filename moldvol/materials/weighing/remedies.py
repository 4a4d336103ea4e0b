"""What to say, and what helps, when a scale is too coarse for what is to be weighed on it.

Masses in g, tolerances as shares. Four things help: a finer scale, a bigger batch, a syringe for a small liquid part,
and a pre-mix for what does not react.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from moldvol.materials.weighing.scales import Scale, step_in_ounces, told_mass, told_step
from moldvol.materials.weighing.weighing_error import smallest_batch_g, weighed_ratio_error
from moldvol.notices import Notice

USUAL_STEPS_G = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.001)  # scales are sold in these steps
# ISO 7886-1, table 1: from half of its capacity on a small syringe may be 5 % off (as quoted by a test laboratory).
SYRINGE_ERROR = 0.05
LARGEST_SYRINGE_ML = 60.0
# A colour or a filling may be this far off before anybody sees it: common practice, no source.
ADDITION_TOLERANCE = 0.20


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One thing to weigh: due exactly, and as the display can show it."""

    name: str
    due_g: float
    reading_g: float
    density_g_ml: float | None = None


def ratio_notices(parts: Sequence[Weighing], scale: Scale, tolerance: float) -> tuple[Notice, ...]:
    """What must be said about the ratio of *parts*, in the order they are weighed; nothing if it is certainly kept."""
    if len(parts) < 2:
        return ()
    error = weighed_ratio_error([part.due_g for part in parts], [part.reading_g for part in parts], scale)
    if error.worst <= tolerance:
        return ()
    smallest = min(parts, key=lambda part: part.due_g)
    step_g = scale.readability_g
    what = f"{told_mass(smallest.due_g, step_g)} of {smallest.name} on a scale that shows steps of {told_step(step_g)}"
    limits = f"the ratio may be off by {_percent(error.worst)} and this resin forgives {_percent(tolerance)}"
    ways = ", or ".join(remedies(parts, scale, tolerance))
    if error.root_sum_square <= tolerance:
        return (Notice("scale-marginal", f"{what}: at worst {limits}; {ways}."),)
    return (Notice("scale-too-coarse", f"Do not weigh {what}: {limits}; {ways}.", grave=True),)


def remedies(parts: Sequence[Weighing], scale: Scale, tolerance: float) -> list[str]:
    """What would help, each a few words to follow 'or'."""
    due = [part.due_g for part in parts]
    ways = []
    if (step_g := finer_step_g(due, scale, tolerance)) is not None:
        ways.append(f"use a scale that shows {step_g:g} g")
    names = " and ".join(part.name for part in parts)
    ways.append(f"mix at least {_batch(smallest_batch_g(due, scale, tolerance), scale)} of {names} at once")
    smallest = min(parts, key=lambda part: part.due_g)
    if (volume_ml := syringe_ml(smallest, tolerance)) is not None:
        ways.append(f"measure {volume_ml:.2g} ml of {smallest.name} with a syringe")
    return ways


def _batch(mass_g: float, scale: Scale) -> str:
    ounces = step_in_ounces(scale.readability_g)
    return f"{mass_g:g} g" if ounces is None else f"{round(mass_g / scale.readability_g) * ounces:g} oz"


def finer_step_g(due_g: Sequence[float], scale: Scale, tolerance: float) -> float | None:
    """The coarsest display step in use on which this ratio would hold in the worst case; ``None`` if none would do.

    >>> finer_step_g([4, 4], Scale(readability_g=1.0), 0.05)
    0.02
    """
    finer = (step for step in USUAL_STEPS_G if step < scale.readability_g)
    return next((step for step in finer if _holds(due_g, replace(_anew(scale), readability_g=step), tolerance)), None)


def syringe_ml(part: Weighing, tolerance: float) -> float | None:
    """The volume to draw up instead of weighing, in ml; ``None`` where a syringe is not exact enough, or not known.

    >>> syringe_ml(Weighing(name="catalyst", due_g=2.3, reading_g=2.0, density_g_ml=1.15), 0.2)
    2.0
    """
    if part.density_g_ml is None or tolerance < SYRINGE_ERROR:
        return None
    volume_ml = part.due_g / part.density_g_ml
    return volume_ml if volume_ml <= LARGEST_SYRINGE_ML else None


def addition_notice(addition: Weighing, into: Weighing, scale: Scale) -> tuple[Notice, ...]:
    """What must be said about weighing an addition into the cup; a pre-mix is made with the part *into*."""
    least_g = _least_sure_g(scale, ADDITION_TOLERANCE)
    if addition.reading_g > 0 and addition.due_g >= least_g:
        return ()
    shows = "does not show" if addition.reading_g == 0 else "hardly shows"
    return (
        Notice(
            "addition-too-fine",
            f"{addition.due_g:.2g} g of {addition.name} {shows} in steps of {told_step(scale.readability_g)}: use a "
            f"finer scale{_premix(addition, into, least_g)}.",
        ),
    )


def _premix(addition: Weighing, into: Weighing, least_g: float) -> str:
    """A dilution by ten, a hundred, ... of which enough is needed to weigh it; nothing if the carrier is not enough."""
    times = 10 ** max(1, math.ceil(math.log10(least_g / addition.due_g)))
    if (times - 1) * addition.due_g > into.due_g:
        return ""
    return (
        f", or stir {least_g:g} g of it into {least_g * (times - 1):g} g of {into.name} beforehand and add "
        f"{times * addition.due_g:.3g} g of that, which holds {(times - 1) * addition.due_g:.3g} g of {into.name}"
    )


def _holds(due_g: Sequence[float], scale: Scale, tolerance: float) -> bool:
    return smallest_batch_g(due_g, scale, tolerance) <= math.fsum(due_g)


def _anew(scale: Scale) -> Scale:
    # A finer scale has its own capacity and interval; only the class is assumed to stay.
    return replace(scale, capacity_g=None, verification_interval_g=None)


def _least_sure_g(scale: Scale, tolerance: float) -> float:
    """The least mass that a later weighing into the common cup gets within *tolerance*, in whole steps."""
    load_g = scale.readability_g
    while (needed := (scale.permissible_error_g(load_g) + scale.readability_g) / tolerance) > load_g:
        load_g = needed
    return scale.rounded_up_g(load_g)


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %" if share >= 0.1 else f"{share * 100:.1f} %"

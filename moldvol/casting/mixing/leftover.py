"""Which small moulds to fill from what is left in the cup, so that least of it is wasted.

Exact, on steps of a tenth of a gram: what is left is rounded down and what a mould takes is rounded up, so no plan ever
asks for more than there is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative, positive
from moldvol.materials.sundries import SmallMould

STEPS_PER_G = 10
MOST_LEFT_G = 100_000.0  # beyond a hundred kilograms it is no left-over; keeps the search below a second
_GRAIN = 1e-6  # so that 18.0 g stored as 17.999999999 still counts as 18


@dataclass(frozen=True, slots=True)
class SmallCavity:
    """A mould that can take what is left: *mass_g* of this resin fills it. *at_most* is how many can be filled now."""

    name: str
    mass_g: float
    at_most: int | None = 1

    def __post_init__(self) -> None:
        positive(self.mass_g, f"mass that fills {self.name} in g")
        if self.at_most is not None and self.at_most < 1:
            raise RequestError(f"{self.name} can be filled {self.at_most} times; give 1 or more.")


@dataclass(frozen=True, slots=True)
class Filling:
    """One kind of small mould and how many of it to fill."""

    name: str
    count: int
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftoverPlan:
    """Fill these; *wasted_g* is what no mould on the list can take up."""

    leftover_g: float
    fillings: tuple[Filling, ...]

    @property
    def used_g(self) -> float:
        """What goes into the small moulds."""
        return math.fsum(filling.count * filling.mass_g for filling in self.fillings)

    @property
    def wasted_g(self) -> float:
        """What is left even then."""
        return self.leftover_g - self.used_g


def cavity_for_volume(name: str, volume_ml: float, density_g_ml: float, *, at_most: int | None = 1) -> SmallCavity:
    """A small mould of known volume, in grams of the resin that is left."""
    mass_g = positive(volume_ml, f"volume of {name} in ml") * positive(density_g_ml, "density of the resin in g/ml")
    return SmallCavity(name, mass_g, at_most)


def cavities_on_shelf(moulds: Iterable[SmallMould], density_g_ml: float) -> tuple[SmallCavity, ...]:
    """The small moulds of a shelf, in grams of a resin of that cured density, each as often as there are of it."""
    return tuple(cavity_for_volume(mould.name, mould.volume_ml, density_g_ml, at_most=mould.count) for mould in moulds)


def spend_leftover(leftover_g: float, cavities: Iterable[SmallCavity]) -> LeftoverPlan:
    """The fillings that use up most of *leftover_g*; of equally good ones, those with the fewest and largest moulds.

    A cavity with ``at_most=None`` may be filled again and again. Raises `RequestError` for a left-over beyond 100 kg.

    Method: bounded subset sum by dynamic programming, the sums within reach kept as the bits of one whole number
    (Bellman 1957; Pisinger 1999 for the bits). Counts are split into 1, 2, 4, … so that each is one shift.
    Error: none but the step of 0.1 g, at most one step per mould filled.

    >>> plan = spend_leftover(18, [SmallCavity("knob", 7), SmallCavity("leaf", 5), SmallCavity("star", 11)])
    >>> [filling.name for filling in plan.fillings], plan.wasted_g
    (['star', 'knob'], 0.0)
    """
    if not_negative(leftover_g, "left-over in g") > MOST_LEFT_G:
        raise RequestError(f"A left-over of {leftover_g / 1000:g} kg is a batch of its own; plan it as one.")
    steps = math.floor(leftover_g * STEPS_PER_G + _GRAIN)
    choices = sorted(cavities, key=lambda cavity: -cavity.mass_g)
    doses = [dose for choice in range(len(choices)) for dose in _doses(choice, choices[choice], steps)]
    counts = [0] * len(choices)
    for dose in _best(doses, steps):
        counts[dose.choice] += dose.count
    fillings = tuple(
        Filling(cavity.name, count, cavity.mass_g) for cavity, count in zip(choices, counts, strict=True) if count
    )
    return LeftoverPlan(leftover_g=leftover_g, fillings=fillings)


@dataclass(frozen=True, slots=True)
class _Dose:
    """*count* of one choice, taken together or not at all."""

    choice: int
    count: int
    steps: int


def _doses(choice: int, cavity: SmallCavity, steps_left: int) -> list[_Dose]:
    each = max(1, math.ceil(cavity.mass_g * STEPS_PER_G - _GRAIN))
    fits = steps_left // each
    count = fits if cavity.at_most is None else min(fits, cavity.at_most)
    doses, size = [], 1
    while count > 0:
        taken = min(size, count)
        doses.append(_Dose(choice, taken, taken * each))
        count, size = count - taken, size * 2
    return doses


def _best(doses: Sequence[_Dose], steps: int) -> list[_Dose]:
    """The doses that together come closest to *steps* from below."""
    within = (1 << (steps + 1)) - 1
    reachable = [1]  # bit n of the k-th: the first k doses can make n steps
    for dose in doses:
        reachable.append((reachable[-1] | reachable[-1] << dose.steps) & within)
    rest, chosen = reachable[-1].bit_length() - 1, []
    # Backwards from the smallest mould: it is left out wherever larger ones alone come as far.
    for dose, without in zip(reversed(doses), reversed(reachable[:-1]), strict=True):
        if not without >> rest & 1:
            chosen.append(dose)
            rest -= dose.steps
    return chosen

"""What becomes of a recipe when too much of something is in the cup already: the rest grows, nothing is taken out."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence

from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative


def fill_up(due_g: Sequence[float], poured: Sequence[float]) -> tuple[list[float], float]:
    """The masses that keep the ratio of *due_g* and are nowhere less than *poured*, and what they add to the total.

    >>> fill_up([100, 90], [125, 0])
    ([125.0, 112.5], 47.5)
    """
    growth = max([1.0, *(done / due for due, done in zip(due_g, poured, strict=True))])
    grown = [max(due * growth, done) for due, done in zip(due_g, poured, strict=True)]
    return grown, math.fsum(due_g) * (growth - 1)


def poured_amounts(poured: Mapping[str, float], names: Sequence[str]) -> list[float]:
    """What is in the cup of each of *names*, in g. Raises `RequestError` for a name that is not in the recipe."""
    by_name = {name.casefold(): place for place, name in enumerate(names)}
    amounts = [0.0] * len(names)
    for name, mass_g in poured.items():
        if name.casefold() not in by_name:
            near = difflib.get_close_matches(name.casefold(), list(by_name), n=1)
            hint = f"did you mean {names[by_name[near[0]]]}?" if near else f"it is mixed from {', '.join(names)}."
            raise RequestError(f"There is no {name} in this mix; {hint}", what="poured", value=name)
        amounts[by_name[name.casefold()]] += not_negative(mass_g, f"amount of {name} poured in g")
    return amounts

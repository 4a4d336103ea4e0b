"""The bounds a figure must keep, and the one sentence for when it does not.

Every formula of this room is given plain numbers, so every formula has to refuse the same nonsense: a density of
nothing, a pot life below zero, a figure that is not a number at all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import index

from moldvol.errors import RequestError


def positive(value: float, what: str) -> float:
    """*value* itself if it is finite and above 0; *what* is the figure's name in the sentence.

    Raises `RequestError` otherwise.

    >>> positive(1.1, "density of the resin")
    1.1
    """
    if not (math.isfinite(value) and value > 0):
        raise RequestError(f"The {what} is {value:g}; give a number above 0.", what=what, value=value)
    return value


def not_negative(value: float, what: str) -> float:
    """*value* itself if it is finite and 0 or more. Raises `RequestError` otherwise."""
    if not (math.isfinite(value) and value >= 0):
        raise RequestError(f"The {what} is {value:g}; give 0 or more.", what=what, value=value)
    return value


def between(value: float, low: float, high: float, what: str) -> float:
    """*value* itself if *low* ≤ *value* ≤ *high*. Raises `RequestError` otherwise.

    >>> between(70, 19, 150, "consistency of the plaster")
    70
    """
    if not low <= value <= high:
        raise RequestError(
            f"The {what} is {value:g}; give a number from {low:g} to {high:g}.",
            what=what,
            value=value,
            low=low,
            high=high,
        )
    return value


def whole_number(value: int, least: int, what: str) -> int:
    """*value* itself if it is a whole number of *least* or more. Raises `RequestError` otherwise.

    >>> whole_number(3, 1, "number of copies")
    3
    """
    try:
        if index(value) >= least:
            return value
    except TypeError:  # 1.5, or a word
        pass
    raise RequestError(
        f"The {what} is {value}; give a whole number of {least} or more.", what=what, value=value, low=least
    )


def one_of(value: str, choices: Sequence[str], what: str) -> None:
    """Raises `RequestError` unless *value* is one of *choices*; *what* is the choice's name in the sentence.

    >>> one_of("block", ("block", "glove"), "style of the mould")
    """
    if value not in choices:
        raise RequestError(
            f"The {what} is '{value}'; give {', '.join(choices[:-1])} or {choices[-1]}.", what=what, value=str(value)
        )

"""Amounts typed with a blank and without quotes: ``mix 200 g`` means ``mix 200g``, whatever the shell makes of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from moldvol import quantities

_UNITS = frozenset(
    {
        *quantities.LENGTH_MM, *quantities.MASS_G, *quantities.VOLUME_ML, *quantities.AREA_MM2,
        *quantities.DURATION_S, *quantities.PRESSURE_PA, *quantities.AMBIGUOUS_VOLUME, "c", "f", "°c", "°f", "%",
    }
)  # fmt: skip
_NUMBER = re.compile(r"(?:[\w-]+=|-)?(?:\d+(?:[.,]\d*)?|[.,]\d+)|\d+/\d+")
_WHOLE, _FRACTION = re.compile(r"\d+"), re.compile(r"\d+/\d+")
_MOST_WORDS = 3  # "us fl oz"


def joined(arguments: Sequence[str]) -> list[str]:
    """*arguments* with every unit that stands alone behind a number put to that number.

    >>> joined(["200", "g", "--pot", "1", "1/2", "us", "pint"])
    ['200g', '--pot', '1 1/2uspint']
    """
    whole: list[str] = []
    rest = list(arguments)
    while rest:
        argument = rest.pop(0)
        words = _words_of_unit(rest) if _NUMBER.fullmatch(argument) else 0
        if words:
            argument += "".join(rest[:words])
            del rest[:words]
            if whole and _WHOLE.fullmatch(whole[-1]) and _FRACTION.match(argument):
                argument = f"{whole.pop()} {argument}"
        whole.append(argument)
    return whole


def _words_of_unit(words: Sequence[str]) -> int:
    """How many of the next *words* are one unit; none where a file is called so."""
    for count in range(min(_MOST_WORDS, len(words)), 0, -1):
        unit = re.sub(r"[\s.^]", "", "".join(words[:count])).casefold()
        if unit in _UNITS and not Path(words[0]).exists():
            return count
    return 0

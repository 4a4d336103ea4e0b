"""How far a figure can be trusted, and where it comes from.

=================  ==============================================================
standard           read in a standard or an authority's table
published          read in a handbook, a paper or an open table
data sheet         from the maker's sheet of the product in hand
common practice    what workshops do; no source worth citing
from memory        widely printed, but not looked up
own figure         typed by the user, who knows best
=================  ==============================================================
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

GradeName = Literal["standard", "published", "data sheet", "common practice", "from memory", "own figure"]
GRADE_NAMES: tuple[GradeName, ...] = get_args(GradeName)


@dataclass(frozen=True, slots=True)
class Grade:
    """The grade of one figure and, in a few words, its source (empty where there is none to name)."""

    name: GradeName
    source: str = ""

    def __str__(self) -> str:
        return f"{self.name}: {self.source}" if self.source else self.name


def parse_grade(text: str) -> Grade | None:
    """The grade written as ``published: its source`` or just ``published``; ``None`` if it begins with no grade.

    >>> parse_grade("standard: EN ISO 10077-2")
    Grade(name='standard', source='EN ISO 10077-2')
    """
    head, _, source = text.partition(":")
    for name in GRADE_NAMES:
        if head.strip().casefold() == name:
            return Grade(name, source.strip())
    return None

"""A plan on its way to whoever asked: each way of telling it is made only when it is wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from moldvol.present.numbers import Units

if TYPE_CHECKING:
    from moldvol.present.pictures import Drawing
    from moldvol.present.report import Report, Step


@dataclass(frozen=True, slots=True)
class Telling:
    """The ways a plan can be told, made only when asked for; ``pictures`` and ``steps`` go on paper."""

    report: Callable[[Units], Report]
    document: Callable[[], dict[str, Any]]
    pictures: Callable[[Units], Sequence[Drawing]] | None = None
    steps: Callable[[Units], Sequence[Step]] | None = None

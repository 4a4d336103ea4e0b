"""The tabs of the page, in the order in which a job goes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tab:
    """One tab: its key, what is written on it, and the knobs that matter to it."""

    key: str
    label: str
    knobs: tuple[str, ...]
    needs_depth: bool = False
    slow: bool = False
    of_part: bool = True


_MIX = ("resin", "allowance", "pot", "temperature", "readability")

TABS = (
    Tab("part", "The part", ("unit", "scale")),
    Tab("solid", "Solid", ("resin", "copies", *_MIX[1:])),
    Tab("pour", "The pour", (), of_part=False),
)
BY_KEY = {tab.key: tab for tab in TABS}

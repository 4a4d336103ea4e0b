"""The tabs of the page, in the order in which a job goes."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.page.knobs import FIELDS, Asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """One tab: its key, what is written on it, and the knobs that matter to it.

    A tab that is ``of_part`` has a sheet, which follows a knob at once where it ``drafts`` and takes seconds where it
    is ``slow``; ``hollow`` ones show the core in the part, those with ``plots`` draw some.
    """

    key: str
    label: str
    knobs: tuple[str, ...] = ()
    of_part: bool = True
    needs_depth: bool = False
    drafts: bool = False
    slow: bool = False
    hollow: bool = False
    plots: bool = False

    def matter(self, asked: Asked) -> tuple[object, ...]:
        """What of *asked* its sheet depends on."""
        return (asked.reading, asked.units, *(getattr(asked, FIELDS[name]) for name in self.knobs))


_BENCH = ("allowance", "temperature", "readability")

TABS = (
    Tab(key="part", label="The part", knobs=("part", "unit", "scale", "height", "plug", "taken_as", "inner_skins")),
    Tab(key="solid", label="Solid", knobs=("resin", "copies", "pot", *_BENCH)),
    Tab(
        key="hollow",
        label="Hollow",
        knobs=("wall", "coats", "opening", "resin", "copies", *_BENCH),
        needs_depth=True,
        drafts=True,
        hollow=True,
        plots=True,
    ),
    Tab(
        key="side",
        label="Side by side",
        knobs=("wall", "resin", "copies", "opening", *_BENCH),
        needs_depth=True,
        drafts=True,
        plots=True,
    ),
    Tab(key="holds", label="What it holds", knobs=("resin", "pot", *_BENCH), slow=True, plots=True),
    Tab(
        key="mould",
        label="The mould",
        knobs=("style", "rubber", "rubber_wall", "mould_parts", "pot", *_BENCH),
        slow=True,
        plots=True,
    ),
    Tab(
        key="heat",
        label="Heat",
        knobs=("resin", "heat_cast", "wall", "heat_mould", "rubber_wall", "pot", "temperature"),
        needs_depth=True,
        slow=True,
        plots=True,
    ),
    Tab(key="pour", label="The pour", knobs=("readability", "pot", "temperature"), of_part=False),
)
BY_KEY = {tab.key: tab for tab in TABS}

"""Where what rises in a room is caught: the tops of an `OpenSpace`, joined from above as the level sinks.

Lengths in mm, volumes in mm³. *Height* is along a unit vector *up*. Air is caught under the tops; held liquid is the
same thing upside down, so callers ask with *up* turned over.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np
from numpy.typing import ArrayLike

from moldvol.geometry.grid import Indices
from moldvol.geometry.linked import linked
from moldvol.geometry.mesh import Floats
from moldvol.geometry.moulding.level_cuts import highest_links
from moldvol.geometry.moulding.open_space import OpenSpace

OPEN_AIR = -1  # stands for the run beyond all runs, from which everything escapes

Exit = tuple[int, float]  # a run, and the height on it at which something can leave


@dataclass(frozen=True, slots=True)
class Pocket:
    """What is caught under one top.

    ``peak`` is the run with the top, ``peak_height_mm`` its height; the pocket drains at ``pass_height_mm`` towards the
    top on run ``beyond`` (`OPEN_AIR` for an exit). ``volume_mm3`` counts all above the pass, with the pockets
    ``within`` it; ``own_mm3`` leaves those out.
    """

    peak: int
    peak_height_mm: float
    pass_height_mm: float
    beyond: int
    volume_mm3: float
    within: tuple[Pocket, ...] = ()

    @property
    def own_mm3(self) -> float:
        """Volume that a vent at this top frees, once the pockets within have theirs."""
        return self.volume_mm3 - sum(pocket.volume_mm3 for pocket in self.within)

    def all_tops(self) -> Iterable[Pocket]:
        """This pocket and every one within it."""
        yield self
        for pocket in self.within:
            yield from pocket.all_tops()


@dataclass(slots=True)
class _Part:
    """A connected part of the room above the sinking level.

    Volume above the level s is fixed_mm3 + reach_mm3 - s · section_mm2: runs wholly above are in the first, runs that
    the level still cuts in the other two.
    """

    peak: int
    peak_height_mm: float
    fixed_mm3: float
    reach_mm3: float
    section_mm2: float
    within: list[Pocket] = field(default_factory=list)

    def volume_above(self, height_mm: float) -> float:
        return self.fixed_mm3 + self.reach_mm3 - height_mm * self.section_mm2


def find_pockets(
    space: OpenSpace,
    up: ArrayLike,
    *,
    exits: Sequence[Exit] = (),
    smallest_mm3: float = 0.0,
    shallowest_mm: float = 0.0,
) -> tuple[Pocket, ...]:
    """Pockets of at least *smallest_mm3* and *shallowest_mm* deep, largest first, each with those within it.

    The border of the grid is open, and so are the *exits*. A part of the room that has no way out counts its own
    highest top as one: air must have been let in somewhere. The runs of *space* must not lie level under *up*.

    Method: the join tree of the superlevel sets (H. Carr, J. Snoeyink and U. Axen, Comput. Geom. 24 (2003) 75) over
    runs and contacts, where the lower of two meeting tops becomes the pocket of the higher.
    Error: a pass is found too low by up to one spacing, as a way narrower than that is not seen.
    """
    sweep = _Sweep(space, up, smallest_mm3, shallowest_mm)
    sweep.sink(_events(space, up, exits))
    return tuple(sorted(sweep.found(), key=lambda pocket: -pocket.volume_mm3))


def parts_above(space: OpenSpace, up: ArrayLike, height_mm: float) -> Indices:
    """(r,) label of the connected part in which each run's share above *height_mm* lies."""
    open_ = space.contact_heights(up) > height_mm
    return linked(space.ends[open_], len(space.line)).astype(np.int64)


def _spanning_contacts(space: OpenSpace, heights: Floats) -> Indices:
    """Indices of the contacts that alone decide which runs are joined at which height."""
    count = len(space.line)
    order = np.argsort(-heights, kind="stable")
    a, b = space.ends[order].T
    # Two runs may touch in several places, above and below a pin that stands between: the highest counts.
    _, first = np.unique(np.minimum(a, b) * np.int64(count) + np.maximum(a, b), return_index=True)
    single = order[first]
    return np.asarray(single[highest_links(heights[single], space.ends[single], count)])


class _Sweep:
    """The level sinking past runs and contacts, with the parts above it in a union-find forest.

    The open air is one more node after the last run: higher than any top, so everything that meets it ends there.
    """

    def __init__(self, space: OpenSpace, up: ArrayLike, smallest_mm3: float, shallowest_mm: float) -> None:
        self.smallest_mm3, self.shallowest_mm = smallest_mm3, shallowest_mm
        self.tops_mm = space.run_heights(up)[1].tolist()
        self.run_mm3 = ((space.high_mm - space.low_mm) * space.section_mm2).tolist()
        self.section_mm2 = space.section_mm2 / abs(float(np.asarray(up)[space.axis]))
        section = self.section_mm2
        self.parts = [_Part(run, top, 0.0, section * top, section) for run, top in enumerate(self.tops_mm)]
        self.parts.append(_Part(OPEN_AIR, inf, 0.0, 0.0, 0.0))
        self.parent = list(range(len(self.parts)))

    def sink(self, events: Iterable[tuple[float, int, int]]) -> None:
        """Take *events* from the highest down: two nodes meet, or (a node with itself) a run is wholly above."""
        for height, one, other in events:
            if one == other:
                self._clear(one)
            else:
                self._meet(self._part_of(one), self._part_of(other), height)

    def found(self) -> list[Pocket]:
        """The pockets that ended at an exit or at the highest top of their part of the room."""
        return [pocket for node, part in enumerate(self.parts) if self.parent[node] == node for pocket in part.within]

    def _part_of(self, node: int) -> int:
        parent = self.parent
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def _clear(self, run: int) -> None:
        part = self.parts[self._part_of(run)]
        part.fixed_mm3 += self.run_mm3[run]
        part.reach_mm3 -= self.section_mm2 * self.tops_mm[run]
        part.section_mm2 -= self.section_mm2

    def _meet(self, one: int, other: int, height: float) -> None:
        if one == other:
            return
        if self.parts[one].peak_height_mm < self.parts[other].peak_height_mm:
            one, other = other, one
        elder, younger = self.parts[one], self.parts[other]
        self._close(younger, height, elder)
        self.parent[other] = one
        elder.fixed_mm3 += younger.fixed_mm3
        elder.reach_mm3 += younger.reach_mm3
        elder.section_mm2 += younger.section_mm2

    def _close(self, part: _Part, height: float, beyond: _Part) -> None:
        volume = part.volume_above(height)
        deep = part.peak_height_mm - height >= self.shallowest_mm
        if deep and volume > 0 and volume >= self.smallest_mm3:
            pocket = Pocket(part.peak, part.peak_height_mm, height, beyond.peak, volume, tuple(part.within))
            beyond.within.append(pocket)


def _events(space: OpenSpace, up: ArrayLike, exits: Sequence[Exit]) -> Iterable[tuple[float, int, int]]:
    """Meetings and cleared runs as `_Sweep.sink` wants them."""
    bottoms, tops = space.run_heights(up)
    heights = space.contact_heights(up)
    kept = _spanning_contacts(space, heights)
    border, border_heights = space.border(up)
    leave = np.concatenate([border, np.array([run for run, _ in exits], dtype=np.int64)])
    leave_heights = np.concatenate([border_heights, [height for _, height in exits]])
    runs, air = np.arange(len(tops)), np.full(len(leave), len(tops))
    when = np.concatenate([np.minimum(leave_heights, tops[leave]), heights[kept], bottoms])
    one = np.concatenate([leave, space.ends[kept, 0], runs])
    other = np.concatenate([air, space.ends[kept, 1], runs])
    order = np.argsort(-when, kind="stable")
    return zip(when[order].tolist(), one[order].tolist(), other[order].tolist(), strict=True)

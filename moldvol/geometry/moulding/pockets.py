"""Where what rises in a room is caught: the tops of an `OpenSpace`, joined from above as the level sinks.

Lengths in mm, volumes in mm³. *Height* is along a unit vector *up*. Air is caught under the tops; held liquid is the
same thing upside down, so callers ask with *up* turned over.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
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
    """The level sinking past runs and contacts, with the connected parts of the room above it in a union-find forest.

    The open air is one more node after the last run: higher than any top, so everything that meets it ends there. The
    root of a part is the run with its top. Volume of a part above the level s is fixed_mm3 + reach_mm3 - s ·
    section_mm2: runs wholly above are in the first, runs that the level still cuts in the other two. Every number has a
    list of its own, by node: half a million meetings are quick only if each is a few steps of Python.
    """

    def __init__(self, space: OpenSpace, up: ArrayLike, smallest_mm3: float, shallowest_mm: float) -> None:
        self.smallest_mm3, self.shallowest_mm = smallest_mm3, shallowest_mm
        self.run_mm3: list[float] = ((space.high_mm - space.low_mm) * space.section_mm2).tolist()
        self.run_section_mm2 = space.section_mm2 / abs(float(np.asarray(up)[space.axis]))
        tops = space.run_heights(up)[1]
        self.air = len(tops)
        self.top_mm: list[float] = [*tops.tolist(), inf]
        self.parent = list(range(self.air + 1))
        self.fixed_mm3 = [0.0] * (self.air + 1)
        self.reach_mm3: list[float] = [*(self.run_section_mm2 * tops).tolist(), 0.0]
        self.section_mm2 = [self.run_section_mm2] * self.air + [0.0]
        self.within: dict[int, list[Pocket]] = defaultdict(list)

    def sink(self, events: Iterable[tuple[float, int, int]]) -> None:
        """Take *events* from the highest down: two nodes meet, or (a node with itself) a run is wholly above."""
        parent, top, part_of = self.parent, self.top_mm, self._part_of
        fixed, reach, section = self.fixed_mm3, self.reach_mm3, self.section_mm2
        for height, one, other in events:
            if one == other:
                part = part_of(one)
                fixed[part] += self.run_mm3[one]
                reach[part] -= self.run_section_mm2 * top[one]
                section[part] -= self.run_section_mm2
                continue
            elder, younger = part_of(one), part_of(other)
            if elder == younger:
                continue
            if top[elder] < top[younger]:
                elder, younger = younger, elder
            if top[younger] - height >= self.shallowest_mm:
                self._close(younger, height, elder)
            parent[younger] = elder
            fixed[elder] += fixed[younger]
            reach[elder] += reach[younger]
            section[elder] += section[younger]

    def found(self) -> list[Pocket]:
        """The pockets that ended at an exit or at the highest top of their part of the room."""
        return [pocket for node in sorted(self.within) if self.parent[node] == node for pocket in self.within[node]]

    def _part_of(self, node: int) -> int:
        parent = self.parent
        while (above := parent[node]) != node:
            parent[node] = node = parent[above]
        return node

    def _close(self, part: int, height: float, beyond: int) -> None:
        volume = self.fixed_mm3[part] + self.reach_mm3[part] - height * self.section_mm2[part]
        if volume > 0 and volume >= self.smallest_mm3:
            towards = OPEN_AIR if beyond == self.air else beyond
            pocket = Pocket(part, self.top_mm[part], height, towards, volume, tuple(self.within[part]))
            self.within[beyond].append(pocket)


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

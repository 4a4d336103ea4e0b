"""What is cut off above a level in a room, with the level and the volume read from the triangles.

Lengths in mm, areas in mm², volumes in mm³; heights are along a unit vector *up*, and what is caught rises along it.
`pockets` finds what is cut off and roughly where; here the vertices say exactly at which height, and the surface how
much. The volumes of both ways are compared: their difference is the error, and where they are far apart (a way out
narrower than the net, a surface that touches itself) the net's own figures stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import ArrayLike

from moldvol.geometry.grid import Indices
from moldvol.geometry.moulding.level_cuts import NOWHERE, Cut, Meeting, meetings
from moldvol.geometry.moulding.orientation import Vector, vector
from moldvol.geometry.moulding.pockets import OPEN_AIR, Pocket, find_pockets, parts_above
from moldvol.geometry.moulding.room import Flags, Room

CLEAR_CELLS = 2.0  # a pass of the net may lie this far off: seeds are taken only from further above
MOST_EXACT = 40  # pockets for which the surface is asked; a part with more has other worries
NET_GRAIN = 0.03  # of the cells on a pocket's skin: what the net may be off besides its level
LEVEL_CELLS = 1e-6  # ends this close below the top, in spacings, are on one level ceiling


@dataclass(frozen=True, slots=True, eq=False)
class Caught:
    """What is caught under one top.

    ``volume_mm3`` counts all above ``level_mm``, with what is caught ``within``; ``own_mm3`` leaves that out.
    ``area_mm2`` is the area at the level. It leaves at ``leaves_at_mm`` towards the rest of the room. ``exact`` tells
    whether the figures are the surface's or the net's; ``runs`` (r,) and ``skin`` (v,) mark the runs and the vertices
    that belong to it.
    """

    top_mm: Vector
    top_height_mm: float
    level_mm: float
    leaves_at_mm: Vector
    volume_mm3: float
    volume_error_mm3: float
    area_mm2: float
    exact: bool
    peak_run: int
    runs: Flags
    skin: Flags
    within: tuple[Caught, ...] = ()

    @property
    def own_mm3(self) -> float:
        """Volume without what is caught within."""
        return max(0.0, self.volume_mm3 - sum(inner.volume_mm3 for inner in self.within))

    def all_tops(self) -> Iterable[Caught]:
        """This and everything within."""
        yield self
        for inner in self.within:
            yield from inner.all_tops()


def caught_in(room: Room, *, openings_mm: Sequence[ArrayLike] = (), smallest_mm3: float = 0.0) -> tuple[Caught, ...]:
    """All of at least *smallest_mm3* that is caught in *room*, largest first; it leaves by the *openings_mm* too."""
    exits = [_exit(room, point) for point in openings_mm]
    rough = find_pockets(room.space, room.up, exits=exits, smallest_mm3=smallest_mm3)
    return _all_measured(room, rough, openings_mm, smallest_mm3)


def outermost_in(room: Room, *, smallest_mm3: float = 0.0) -> tuple[Caught, ...]:
    """As `caught_in`, without telling apart what is caught within: liquid fills every dimple of a basin anyway.

    A relief has a dimple for each of its details, and measuring them takes longer than all the rest.
    """
    rough = find_pockets(room.space, room.up, smallest_mm3=smallest_mm3)
    return _all_measured(room, [replace(pocket, within=()) for pocket in rough], (), smallest_mm3)


def _all_measured(
    room: Room, rough: Sequence[Pocket], openings_mm: Sequence[ArrayLike], smallest_mm3: float
) -> tuple[Caught, ...]:
    if not rough:
        return ()
    tops = sorted((top for pocket in rough for top in pocket.all_tops()), key=lambda top: -top.volume_mm3)[:MOST_EXACT]
    passes = _exact_passes(room, tops, openings_mm)
    known = {top.peak: at for top, at in zip(tops, passes, strict=True)}
    found = [_measured(room, pocket, known) for pocket in rough]
    kept = [caught for caught in found if caught.volume_mm3 >= smallest_mm3]
    return tuple(sorted(kept, key=lambda caught: -caught.volume_mm3))


def _exit(room: Room, point_mm: ArrayLike) -> tuple[int, float]:
    return room.space.nearest_run(point_mm), float(np.asarray(point_mm, dtype=np.float64) @ room.up)


def _exact_passes(room: Room, tops: Sequence[Pocket], openings_mm: Sequence[ArrayLike]) -> list[Meeting | None]:
    """Where each pocket of *tops* drains by the vertices, None where they do not tell."""
    holes = [
        (room.highest_corners(np.reshape(point, (1, 3))), float(np.asarray(point) @ room.up)) for point in openings_mm
    ]
    sides: list[tuple[Indices, Indices]] = []
    ceilings: list[tuple[int, float]] = []
    for number, top in enumerate(tops):
        for own, beyond, ceiling in _sides(room, top, holes):
            sides.append((own, beyond))
            ceilings.append((number, ceiling))
    best: list[Meeting | None] = [None] * len(tops)
    for meeting, (number, ceiling) in zip(meetings(room.skin.edges, room.heights, sides), ceilings, strict=True):
        at = Meeting(min(meeting.height_mm, ceiling), meeting.vertex)
        rival = best[number]
        if at.height_mm > -inf and (rival is None or rival.height_mm < at.height_mm):
            best[number] = at
    return [_trusted(room, top, at) for top, at in zip(tops, best, strict=True)]


def _trusted(room: Room, top: Pocket, at: Meeting | None) -> Meeting | None:
    """*at* if it lies where the net has its way out.

    Lower, it would miss a way that the net has walked. Higher, it is a crack finer than the net, or only the seam of
    two bodies that touch, whose skins hang together where nothing can pass: both are taken for closed.
    """
    if at is None:
        return None
    near = abs(at.height_mm - top.pass_height_mm) <= CLEAR_CELLS * room.spacing_mm
    return at if near else None


def _sides(room: Room, top: Pocket, holes: Sequence[tuple[Indices, float]]) -> Iterable[tuple[Indices, Indices, float]]:
    """Vertices in a pocket and vertices beyond its pass, for each way out, with the height that caps that way."""
    level = top.pass_height_mm + _clearance(room, top)
    parts = parts_above(room.space, room.up, level)
    own = room.seeds(parts == parts[top.peak], level)
    if top.beyond != OPEN_AIR:
        yield own, room.seeds(parts == parts[top.beyond], level), inf
        return
    border, heights = room.space.border(room.up)
    if len(border):
        yield own, room.seeds(np.isin(parts, parts[border[heights > level]]), level), inf
    for vertices, ceiling in holes:
        yield own, vertices, ceiling


def _clearance(room: Room, top: Pocket) -> float:
    room_above = top.peak_height_mm - top.pass_height_mm
    if top.beyond != OPEN_AIR:
        beyond = float(room.space.run_heights(room.up)[1][top.beyond])
        room_above = min(room_above, beyond - top.pass_height_mm)
    return min(CLEAR_CELLS * room.spacing_mm, room_above / 2)


def raised(room: Room, caught: Caught, by_mm: float) -> Caught:
    """What of *caught* in *room* lies more than *by_mm* above its level."""
    level = caught.level_mm + by_mm
    cut, error = _cut(room, caught.runs, caught.skin, level, exact=caught.exact)
    volume = max(0.0, cut.volume_mm3)
    return replace(caught, level_mm=level, volume_mm3=volume, volume_error_mm3=error, area_mm2=cut.area_mm2, within=())


@dataclass(frozen=True, slots=True, eq=False)
class _Reading:
    """One reading of a pocket: the level it drains at, by a vertex if the surface told, and what lies above it."""

    level_mm: float
    vertex: int
    runs: Flags
    skin: Flags
    exact: bool


def _measured(room: Room, pocket: Pocket, known: dict[int, Meeting | None]) -> Caught:
    """*pocket* with the level and the volume of the surface where they can be trusted."""
    read = _read(room, pocket, known.get(pocket.peak))
    if not read.exact:
        read = _read(room, pocket, None)
    cut, error = _cut(room, read.runs, read.skin, read.level_mm, exact=read.exact)
    top, top_height = _top(room, read.runs, read.skin if read.exact else np.zeros_like(read.skin))
    within = [_measured(room, inner, known) for inner in pocket.within]
    return Caught(
        top_mm=top,
        top_height_mm=top_height,
        level_mm=read.level_mm,
        leaves_at_mm=vector(room.mesh.vertices[read.vertex] if read.exact else room.pass_near(read.level_mm)),
        volume_mm3=max(0.0, cut.volume_mm3),
        volume_error_mm3=error,
        area_mm2=cut.area_mm2,
        exact=read.exact,
        peak_run=pocket.peak,
        runs=read.runs,
        skin=read.skin,
        within=tuple(inner for inner in within if inner.volume_mm3 > 0),
    )


def _read(room: Room, pocket: Pocket, at: Meeting | None) -> _Reading:
    level = pocket.pass_height_mm if at is None else at.height_mm
    runs = room.part_of(pocket.peak, max(level, pocket.pass_height_mm))
    clear = min(CLEAR_CELLS * room.spacing_mm, max(0.0, pocket.peak_height_mm - level) / 2)
    skin = room.covered(runs, level, clear)
    exact = at is not None and _agree(room, runs, skin, level)
    return _Reading(level, NOWHERE if at is None else at.vertex, runs, skin, exact)


def _cut(room: Room, runs: Flags, skin: Flags, level_mm: float, *, exact: bool) -> tuple[Cut, float]:
    """Volume and area above a level and the error of the volume.

    By the surface when *exact*, give or take how far the net stands from it; else by the net, whose level may be off by
    a spacing.
    """
    by_net = room.cut_by_net(runs, level_mm)
    if not exact:
        grain = NET_GRAIN * _skin_mm2(room, by_net)
        return by_net, (by_net.area_mm2 + grain) * room.spacing_mm
    by_surface = room.cut_by_surface(skin, level_mm)
    return by_surface, abs(by_surface.volume_mm3 - by_net.volume_mm3)


def _agree(room: Room, runs: Flags, skin: Flags, level_mm: float) -> bool:
    """Whether the two volumes could differ by the cells on the pocket's skin alone."""
    by_net, by_surface = room.cut_by_net(runs, level_mm), room.cut_by_surface(skin, level_mm)
    skin_mm2 = by_net.area_mm2 + _skin_mm2(room, by_net)
    return bool(abs(by_net.volume_mm3 - by_surface.volume_mm3) <= skin_mm2 * room.spacing_mm)


def _skin_mm2(room: Room, cut: Cut) -> float:
    """About the wall area of a pocket, had it a compact shape."""
    return 4 * float(max(cut.volume_mm3, room.spacing_mm**3) ** (2 / 3))


def _top(room: Room, runs: Flags, skin: Flags) -> tuple[Vector, float]:
    """Place and height of the top: the middle of a level ceiling, else the highest vertex of *skin* or run end."""
    ends = np.flatnonzero(runs[room.end_run])
    heights = room.end_height[ends]
    vertices = np.flatnonzero(skin)
    highest = float(room.heights[vertices].max()) if len(vertices) else float(heights.max())
    ceiling = room.end_mm[ends[heights >= highest - LEVEL_CELLS * room.spacing_mm]]
    if len(ceiling):
        return vector(ceiling[np.linalg.norm(ceiling - ceiling.mean(axis=0), axis=1).argmin()]), highest
    return vector(room.mesh.vertices[vertices[room.heights[vertices].argmax()]]), highest

"""A cut through a hollow part: the wall dark, what stays empty light, what no resin reaches any more hatched.

Only greys and hatching, so that a black-and-white printer and any eye tell the same story. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.pictures import PAGE_WIDTH_MM, PART_HEIGHT_MM, Drawing

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from moldvol.geometry.field.distance import DistanceField
    from moldvol.geometry.field.reach import Reach

Mask = NDArray[np.bool_]

COATS = ("0.25", "0.55", "0.4", "0.7")  # neighbours differ by more than a printer blurs
EMPTY = "0.93"
HATCH = "////"
LETTERING = 8  # points
CLOSED_WEIGHT = 20  # a cell that closes off is worth this many of the core when a plane is chosen
BAR_SHARE = 0.3  # of the picture's width: the longest that the scale bar may be
LETTERING_MM = (8.0, 24.0)  # beside and below the part, for the scale bar and the key
LEAST_WIDTH_MM = 52.0  # room for the key


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane through the part: ``normal`` 0 cuts across x and is seen from the right, 1 across y, from the front."""

    normal: int
    index: int
    at_mm: float

    @property
    def told(self) -> str:
        """Where it lies, in words."""
        side = ("right", "front")[self.normal]
        return f"cut at {'xy'[self.normal]} = {numbers.significant(round(self.at_mm, 1) + 0.0, 4)} mm, from the {side}"

    def of(self, values: Floats) -> Floats:
        """(nz, n): the layer of *values* (nx, ny, nz) that lies in the plane, as rows from the bottom."""
        return np.asarray(np.take(values, self.index, axis=self.normal).T)


def best_plane(field: DistanceField, wall_mm: float, reach: Reach | None = None) -> Plane:
    """The plane that shows most of what the wall leaves: empty room, and above all what closes off.

    Where the wall leaves nothing, the one with most of the part.
    """
    shown = (field.depth_mm > _wall(reach, wall_mm)).astype(np.float64)
    shown += CLOSED_WEIGHT * closed_off(reach, wall_mm, field.depth_mm.shape)
    if not shown.any():
        shown = (field.depth_mm > 0).astype(np.float64)
    best = max((0, 1), key=lambda normal: _seen(shown, normal).max())
    seen = _seen(shown, best)
    most = np.flatnonzero(seen == seen.max())  # a prism shows the same all along: cut it in the middle
    index = int(most[len(most) // 2])
    return Plane(best, index, float(field.grid.axis(best)[index]))


def closed_off(reach: Reach | None, wall_mm: float, shape: tuple[int, ...]) -> Mask:
    """Cells of the pockets whose necks have closed before the wall is *wall_mm*."""
    if reach is None:
        return np.zeros(shape, dtype=np.bool_)
    closed = [number for number, one in enumerate(reach.pockets, 1) if one.closes_at_wall_mm < wall_mm]
    return np.isin(reach.pocket_of, closed)


def draw_cut(
    panel: Axes,
    field: DistanceField,
    walls_mm: Sequence[float],
    reach: Reach | None = None,
    *,
    plane: Plane | None = None,
    units: Units = Units.METRIC,
) -> None:
    """The cut on *panel*; *walls_mm* is the wall after each coat, the last the whole wall."""
    plane = plane or best_plane(field, walls_mm[-1], reach)
    right, up = field.grid.axis(1 - plane.normal), field.grid.axis(2)
    depth = plane.of(field.depth_mm)
    beyond = [plane.of(field.depth_mm - _wall(reach, wall)) for wall in walls_mm]
    greys = [COATS[number % len(COATS)] for number in range(len(walls_mm))]
    for level, grey in zip([depth, *beyond], [*greys, EMPTY], strict=True):
        _fill(panel, right, up, level, grey)
    closed = closed_off(reach, walls_mm[-1], field.depth_mm.shape).astype(np.float64)
    hatched = _hatch(panel, right, up, np.where(plane.of(closed) > 0, beyond[-1], -1.0))
    _frame(panel, right, up, depth)
    _scale_bar(panel)
    _key(panel, walls_mm, greys, units, hatched=hatched)
    panel.set_title(plane.told, fontsize=LETTERING)


def cut_drawing(
    field: DistanceField, walls_mm: Sequence[float], reach: Reach | None = None, units: Units = Units.METRIC
) -> Drawing:
    """The cut as a picture of its own, the part in the same size as in the three views where that fits."""
    plane = best_plane(field, walls_mm[-1], reach)
    inside = np.argwhere(plane.of(field.depth_mm) > 0)
    high, wide = (float(side + 1) * field.grid.spacing_mm for side in np.ptp(inside, axis=0))
    scale = min(PART_HEIGHT_MM / high, (PAGE_WIDTH_MM / 2 - LETTERING_MM[0]) / wide)
    wall = numbers.length(walls_mm[-1], units)
    return Drawing(
        title=f"Cut, wall of {wall}",
        draw=lambda figure: draw_cut(figure.subplots(), field, walls_mm, reach, plane=plane, units=units),
        width_mm=max(LEAST_WIDTH_MM, wide * scale + LETTERING_MM[0]),
        height_mm=high * scale + LETTERING_MM[1],
        told=f"A {plane.told}, with a wall of {wall}.",
        vector=True,
    )


def _wall(reach: Reach | None, wall_mm: float) -> Floats | float:
    return wall_mm if reach is None else reach.wall_everywhere(wall_mm)


def _seen(shown: Floats, normal: int) -> Floats:
    return np.asarray(shown.sum(axis=(1 - normal, 2)))


def _fill(panel: Axes, right: Floats, up: Floats, level: Floats, grey: str) -> None:
    if level.max() > 0:
        panel.contourf(right, up, level, levels=[0.0, level.max() + 1.0], colors=[grey])
        panel.contour(right, up, level, levels=[0.0], colors="black", linewidths=0.6)


def _hatch(panel: Axes, right: Floats, up: Floats, level: Floats) -> bool:
    if not level.max() > 0:
        return False
    panel.contourf(right, up, level, levels=[0.0, level.max() + 1.0], colors=["none"], hatches=[HATCH])
    return True


def _frame(panel: Axes, right: Floats, up: Floats, depth: Floats) -> None:
    rows, columns = np.nonzero(depth > 0)
    margin = 1.5 * float(right[1] - right[0])
    panel.set_xlim(right[columns.min()] - margin, right[columns.max()] + margin)
    panel.set_ylim(up[rows.min()] - margin, up[rows.max()] + margin)
    panel.set_aspect("equal")
    panel.set_xticks([])
    panel.set_yticks([])
    for spine in panel.spines.values():
        spine.set_visible(False)


def _scale_bar(panel: Axes) -> None:
    """A bar of a round length under the part, its two ends marked."""
    left, right = panel.get_xlim()
    bottom, top = panel.get_ylim()
    length = round_length_below(BAR_SHARE * max(right - left, (top - bottom) / 2))
    under = bottom - 0.03 * (top - bottom)
    panel.plot([left, left + length], [under] * 2, color="black", marker="|", linewidth=1.2, clip_on=False)
    panel.annotate(
        f"{length:g} mm", (left + length, under), (5, 0), textcoords="offset points", va="center", fontsize=LETTERING
    )
    panel.set_ylim(bottom - 0.07 * (top - bottom), top)


def round_length_below(most_mm: float) -> float:
    """The longest of 1, 2, 5, 10, 20 … mm (or tenths of these) that is no longer than *most_mm*.

    >>> round_length_below(37), round_length_below(4.9), round_length_below(0.1)
    (20.0, 2.0, 0.1)
    """
    decade = 10.0 ** floor(log10(most_mm) + 1e-9)
    return max(step * decade for step in (1.0, 2.0, 5.0) if step * decade <= most_mm * (1 + 1e-9))


def _key(panel: Axes, walls_mm: Sequence[float], greys: Sequence[str], units: Units, *, hatched: bool) -> None:
    from matplotlib.patches import Patch

    names = [f"coat {number}, to {numbers.length(wall, units)}" for number, wall in enumerate(walls_mm, 1)]
    if len(walls_mm) == 1:
        names = [f"wall {numbers.length(walls_mm[0], units)}"]
    entries: list[Artist] = [
        Patch(facecolor=grey, edgecolor="black", label=name) for grey, name in zip(greys, names, strict=True)
    ]
    entries.append(Patch(facecolor=EMPTY, edgecolor="black", label="stays empty"))
    if hatched:
        entries.append(Patch(facecolor=EMPTY, edgecolor="black", hatch=HATCH, label="closed off"))
    panel.legend(
        handles=entries,
        fontsize=LETTERING - 1,
        frameon=False,
        loc="upper center",
        bbox_to_anchor=(0.5, 0.0),
        ncols=2,
        columnspacing=1.0,
        handlelength=1.6,
    )

"""A part as it stands when it is poured: vents, pour, parting and rubber drawn over it, in greys and lines only.

Lengths in mm, in the frame of the pour: z points to the ceiling. What is drawn is known by its form and its number, so
that a black-and-white printer and any eye tell the same story.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING

import numpy as np

from moldvol.casting.fill import FillPlan
from moldvol.casting.mould.plan import MouldPlan
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.levels import AirPocket, TrappedAir
from moldvol.geometry.moulding.orientation import rotation_to_up, turned
from moldvol.geometry.moulding.undercuts import Split
from moldvol.present import numbers
from moldvol.present.moulds.vents import MOST_SHOWN, places, worth_a_vent
from moldvol.present.numbers import Units
from moldvol.present.pictures import LETTERING_MM, PAGE_WIDTH_MM, PART_HEIGHT_MM, Drawing
from moldvol.present.views import LETTERING, VIEWS, Shaded, View, shaded
from moldvol.quantities import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

FRONT, SIDE, _ = VIEWS
SEEN_AS_A_LINE = 0.98  # cosine of a parting's normal with the picture from which it is drawn as a line
MARGIN = 0.06  # of the larger side, around all that is drawn
DISC_POINTS = 9.0  # across a vent's number
DISC_MM = 1.1 * DISC_POINTS / 72 * MM_PER_INCH  # on paper, with a little air
ABOVE = 0.08  # of the height of what is drawn: room for numbers and the pour
LEAST_WIDTH_MM = 125.0  # room for the key
DIMENSION_MM = 5.0  # for a line of dimensions below


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """What is drawn: the part in the frame of the pour, the rubber around it, marks at (n, 3) places, a parting plane.

    ``parting`` is a normal and a level along it. ``block`` (2, 3) are the corners of a block of rubber; ``skins_mm``
    how far outside the part a skin and its jacket end, both cut off at the height ``board_mm`` where there is a board.
    """

    title: str
    mesh: Mesh
    vents_mm: Floats
    sprues_mm: Floats
    parting: tuple[Floats, float] | None = None
    block: Floats | None = None
    skins_mm: tuple[float, ...] = ()
    board_mm: float | None = None

    @property
    def bounds(self) -> Floats:
        """(2, 3) of the part and what is around it."""
        if self.block is not None:
            return self.block
        reach = max(self.skins_mm, default=0.0)
        low, high = self.mesh.bounds[0] - reach, self.mesh.bounds[1] + reach
        if self.board_mm is not None:
            high[2] = self.board_mm
        return np.array([low, high])

    @property
    def outside_mm(self) -> tuple[float, float, float]:
        """Width, depth and height of all that is drawn."""
        x, y, z = np.ptp(self.bounds, axis=0)
        return float(x), float(y), float(z)

    @property
    def frame(self) -> Floats:
        """(3,) what the pictures must take in along each axis: margins, and the row of marks above."""
        sides = np.ptp(self.bounds, axis=0)
        return np.asarray(sides + 2 * MARGIN * sides.max() + np.array([0.0, 0.0, ABOVE * sides[2]]))

    @property
    def scale(self) -> float:
        """Millimetres on paper for one of the part."""
        wide, deep, high = self.frame
        return float(min((PAGE_WIDTH_MM - LETTERING_MM[0]) / (wide + deep), PART_HEIGHT_MM / high))

    @property
    def widths(self) -> tuple[float, float]:
        """Of the two pictures: as wide as the part, or as the row of marks above it."""
        row = (len(self.vents_mm) + len(self.sprues_mm)) * DISC_MM / self.scale
        return max(float(self.frame[0]), row), max(float(self.frame[1]), row)


def mould_drawing(plan: MouldPlan, air: TrappedAir) -> Drawing:
    """The master in its rubber, the way up in which the mould is poured, with the vents it wants then."""
    turn = np.array(plan.rotation)
    over = rotation_to_up(turn @ np.array(air.up))
    standing = turned(plan.solid.outer, turn)
    upright = turned(standing, over)
    block = plan.style == "block"
    jacket = (plan.jacket.thickness_mm,) if plan.jacket else ()
    return _drawing(
        Scene(
            title="In its mould, as it is poured",
            mesh=upright,
            vents_mm=_places(worth_a_vent(air.pockets)) @ (over @ turn).T,
            sprues_mm=_highest(upright),
            parting=(over[:, 2], plan.split.parting_mm) if block and not plan.request.on_board else None,
            block=np.sort(_block(plan, standing) @ over.T, axis=0) if block else None,
            skins_mm=() if block else tuple(accumulate((plan.request.thickness_mm, *jacket))),
            board_mm=float(upright.bounds[1, 2]) if plan.request.on_board else None,
        )
    )


def cavity_drawing(plan: FillPlan) -> Drawing:
    """A master as its cavity is poured: where resin comes in, where air stays, where two rigid halves would part."""
    turn = rotation_to_up(plan.up)
    upright = turned(plan.solid.outer, turn)
    openings = np.array(plan.request.openings_mm, dtype=np.float64).reshape(-1, 3) @ turn.T
    return _drawing(
        Scene(
            title="As it is poured",
            mesh=upright,
            vents_mm=_places(plan.pockets) @ turn.T,
            sprues_mm=openings if len(openings) else _highest(upright),
            parting=_parting(plan.split, turn),
        )
    )


def _parting(split: Split | None, turn: Floats) -> tuple[Floats, float] | None:
    return None if split is None else (turn @ np.array(split.pull), split.parting_mm)


def _places(pockets: Sequence[AirPocket]) -> Floats:
    return np.array([pocket.at_mm for pocket in pockets[:MOST_SHOWN]], dtype=np.float64).reshape(-1, 3)


def _block(plan: MouldPlan, standing: Mesh) -> Floats:
    """(2, 3) corners of the block in the frame in which it is made."""
    low, high = standing.bounds
    middle, half = (low + high) / 2, np.array(plan.outside_mm) / 2
    below = plan.request.clearance.below_mm
    corners = np.array([middle - half, middle + half])
    corners[:, 2] = low[2] - below, low[2] - below + plan.outside_mm[2]
    return corners


def _highest(mesh: Mesh) -> Floats:
    """(1, 3): the highest place of *mesh*, or the middle of a level one."""
    points = mesh.vertices.astype(np.float64)
    highest = points[points[:, 2] >= points[:, 2].max() - 1e-6 * float(np.ptp(points[:, 2]))]
    return np.asarray((highest.min(axis=0) + highest.max(axis=0)) / 2).reshape(1, 3)


def _drawing(scene: Scene) -> Drawing:
    count = len(scene.vents_mm)
    vents = f"vents at {places(count)}" if count else "no vents"
    size = "" if scene.skins_mm else f", {numbers.size(scene.outside_mm)}"
    return Drawing(
        title=scene.title,
        draw=lambda figure: draw_scene(scene, figure),
        width_mm=min(PAGE_WIDTH_MM, max(LEAST_WIDTH_MM, sum(scene.widths) * scene.scale + LETTERING_MM[0])),
        height_mm=float(scene.frame[2]) * scene.scale + LETTERING_MM[1] + DIMENSION_MM,
        told=f"The part as it is poured, from the front and the right{size}; {vents}.",
    )


def draw_scene(scene: Scene, figure: FigureBase) -> None:
    """*scene* from the front and from the right, to one scale, with a key below."""
    panels = figure.subplots(1, 2, gridspec_kw={"width_ratios": scene.widths})
    drawn: dict[str, Artist] = {}
    for panel, view, width in zip(panels, (FRONT, SIDE), scene.widths, strict=True):
        drawn |= _draw_panel(panel, scene, view, width)
    figure.legend(
        handles=list(drawn.values()), loc="outside lower center", ncols=4, fontsize=LETTERING - 1, frameon=False
    )


def _draw_panel(panel: Axes, scene: Scene, view: View, width: float) -> dict[str, Artist]:
    """The part in *view* with its marks, *width* across; what was drawn, by its name, for the key."""
    picture = shaded(scene.mesh, view)
    (left, bottom), (right, top) = picture.frame_mm
    panel.imshow(picture.grey, cmap="gray", vmin=0, vmax=1, origin="lower", extent=(left, right, bottom, top))
    flat = view.axes[:2]
    low, high = scene.bounds @ flat.T
    margin = MARGIN * float(np.ptp(scene.bounds, axis=0).max())
    middle = (low[0] + high[0]) / 2
    panel.set_xlim(middle - width / 2, middle + width / 2)
    panel.set_ylim(low[1] - margin, high[1] + margin + ABOVE * (high[1] - low[1]))
    panel.set_title(view.name, fontsize=LETTERING)
    panel.set_axis_off()
    if not scene.skins_mm:  # a glove's rim lies on the board, outside of what is drawn
        _dimensions(panel, low, high, margin)
    drawn: dict[str, Artist] = {}
    if scene.block is not None:
        drawn["block"] = _outline(panel, low, high)
    drawn |= _skins(panel, scene, picture)
    if scene.parting is not None:
        drawn |= _parting_line(panel, scene.parting, view, (low, high))
    marks = scene.sprues_mm @ flat.T, scene.vents_mm @ flat.T
    return drawn | _marks(panel, *marks, high[1] + margin, DISC_MM / scene.scale)


def _dimensions(panel: Axes, low: Floats, high: Floats, margin: float) -> None:
    """How wide and how high it is outside, below and on the left, in mm and inches."""
    wide, tall = (_both(float(side)) for side in high - low)
    panel.text((low[0] + high[0]) / 2, low[1] - margin / 2, wide, fontsize=LETTERING, ha="center", va="top")
    panel.text(
        low[0] - margin / 2, (low[1] + high[1]) / 2, tall, fontsize=LETTERING, ha="right", va="center", rotation=90
    )


def _both(mm: float) -> str:
    return f"{numbers.length(mm)} ({numbers.length(mm, Units.US)})"


def _outline(panel: Axes, low: Floats, high: Floats) -> Artist:
    from matplotlib.patches import Rectangle

    wide, tall = high - low
    box = Rectangle(
        (low[0], low[1]), wide, tall, fill=False, edgecolor="0.35", linewidth=1.4, label="outside of rubber"
    )
    panel.add_patch(box)
    return box


def _skins(panel: Axes, scene: Scene, picture: Shaded) -> dict[str, Artist]:
    """Outlines of the skin and its jacket: the part's own outline grown by their thickness, as its shadow would be."""
    from matplotlib.lines import Line2D
    from scipy.ndimage import distance_transform_edt

    if not scene.skins_mm:
        return {}
    step = float(np.ptp(picture.frame_mm[:, 0])) / picture.grey.shape[1]
    margin = int(np.ceil(scene.skins_mm[-1] / step)) + 2
    away = step * distance_transform_edt(np.pad(np.isnan(picture.grey), margin, constant_values=True))
    xs, ys = (
        picture.frame_mm[0, axis] + step * (np.arange(count) - margin + 0.5)
        for axis, count in enumerate(away.shape[::-1])
    )
    if scene.board_mm is not None:
        away, ys = away[ys <= scene.board_mm], ys[ys <= scene.board_mm]
    drawn: dict[str, Artist] = {}
    looks = (("rubber", "0.35", 1.4), ("jacket", "0.6", 2.2))
    for reach, (name, grey, width) in zip(scene.skins_mm, looks, strict=False):
        panel.contour(xs, ys, away, levels=[reach], colors=[grey], linewidths=width)
        drawn[name] = Line2D([], [], color=grey, linewidth=width, label=f"outside of {name}")
    return drawn


def _parting_line(
    panel: Axes, parting: tuple[Floats, float], view: View, frame: tuple[Floats, Floats]
) -> dict[str, Artist]:
    """Where the plane is seen from its edge, a line across all that is drawn; elsewhere nothing."""
    normal, level = parting
    across = view.axes[:2] @ normal
    if float(np.linalg.norm(across)) < SEEN_AS_A_LINE:
        return {}
    across = across / np.linalg.norm(across)
    low, high = frame
    reach = float(np.linalg.norm(high - low)) / 2
    middle = (low + high) / 2
    foot = middle + (level - middle @ across) * across
    ends = foot + np.outer([-reach, reach], [-across[1], across[0]])
    within = np.clip(ends, low, high)
    panel.plot(*within.T, color="white", linewidth=2.6)
    (line,) = panel.plot(*within.T, color="black", linewidth=1.2, dashes=(6, 3), label="flat parting")
    return {"parting": line}


def _marks(panel: Axes, sprues: Floats, vents: Floats, row: float, apart: float) -> dict[str, Artist]:
    """In a *row* above all, each *apart*: where resin comes in, and a numbered disc for each vent with a line to it."""
    left, right = panel.get_xlim()
    wanted = np.concatenate([sprues[:, 0], vents[:, 0]])
    placed = spread(wanted, apart, (left + apart / 2, right - apart / 2))
    drawn: dict[str, Artist] = {}
    for at, above in zip(sprues, placed, strict=False):
        _leader(panel, at, (above, row))
        (drawn["sprue"],) = panel.plot(
            [above], [row], "v", color="black", markersize=DISC_POINTS, label="pour here", clip_on=False
        )
    for number, (at, above) in enumerate(zip(vents, placed[len(sprues) :], strict=True), start=1):
        _leader(panel, at, (above, row))
        panel.plot(*at, "o", color="black", markeredgecolor="white", markersize=4.5)
        (drawn["vent"],) = panel.plot(
            [above], [row], "o", markerfacecolor="white", markeredgecolor="black", markersize=DISC_POINTS,
            label="vent, by its number", clip_on=False,
        )  # fmt: skip
        panel.text(above, row, str(number), fontsize=LETTERING - 2, ha="center", va="center_baseline")
    return drawn


def _leader(panel: Axes, at: Floats, to: tuple[float, float]) -> None:
    """A thin line with a white rim, to be seen on any grey."""
    for color, width in (("white", 2.2), ("black", 0.7)):
        panel.plot([at[0], to[0]], [at[1], to[1]], color=color, linewidth=width)


def spread(wanted: Floats, apart: float, within: tuple[float, float]) -> Floats:
    """*wanted* (n,) moved as little as need be to stand *apart*, in the same order, *within* two limits if they fit.

    >>> spread(np.array([5.0, 5.0, 1.0]), 2.0, (0.0, 10.0)).tolist()
    [4.0, 6.0, 1.0]
    """
    order = np.argsort(wanted, kind="stable")
    steps = apart * np.arange(len(wanted))
    # With the steps taken off, standing apart is not falling: the nearest such row is the mean of two running limits.
    bare = wanted[order] - steps
    if not len(bare):
        return wanted
    rising = (np.maximum.accumulate(bare) + np.minimum.accumulate(bare[::-1])[::-1]) / 2
    rising = np.clip(rising, within[0], max(within[0], within[1] - steps[-1]))
    placed = np.zeros_like(wanted)
    placed[order] = rising + steps
    return placed

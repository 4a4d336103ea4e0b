"""A mould as it is filled: from above, and cut through the middle of the liquid in it.

Lengths in mm, in the frame of the pour: z points to the ceiling. Greys and hatching only.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from moldvol.casting.fill import FillPlan
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.moulding.levels import StandingMould
from moldvol.geometry.moulding.mould_cut import Mask, MouldCut, mould_cut
from moldvol.geometry.moulding.orientation import turned
from moldvol.present import numbers
from moldvol.present.moulds.mould_pictures import DISC_POINTS, LEAST_WIDTH_MM, cavity_drawing
from moldvol.present.moulds.vents import MOST_SHOWN
from moldvol.present.numbers import Units
from moldvol.present.pictures import PAGE_WIDTH_MM, PART_HEIGHT_MM, Drawing, three_sides
from moldvol.present.views import LETTERING, VIEWS, shaded

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

_, _, TOP = VIEWS
SOLID, LIQUID, DOTS = "0.55", "0.9", "..."
BETWEEN_MM = (16.0, 24.0)  # beside and below the two pictures


def fill_drawings(plan: FillPlan, units: Units) -> tuple[Drawing, ...]:
    """The mould or the master as it is poured; two halves lying side by side from three sides."""
    if plan.kind == "cavity":
        return (cavity_drawing(plan),)
    if plan.stood is None:
        return (three_sides(plan.solid.mesh),)
    return (_mould_drawing(plan, plan.stood, units),)


def _mould_drawing(plan: FillPlan, stood: StandingMould, units: Units) -> Drawing:
    cut = mould_cut(stood, plan.request.drop_mm)
    mesh = turned(plan.solid.mesh, cut.turn)
    pockets = [pocket.at_mm for pocket in plan.pockets[:MOST_SHOWN]]
    vents = np.array(pockets, dtype=np.float64).reshape(-1, 3) @ cut.turn.T
    spills = np.array(plan.basins[0].spills_at_mm) @ cut.turn.T
    wide, deep, high = (float(side) for side in mesh.size_mm)
    scale = min((PAGE_WIDTH_MM - BETWEEN_MM[0]) / (2 * wide), PART_HEIGHT_MM / max(deep, high))
    drop = numbers.length(plan.request.drop_mm, units)
    told = "to the brim" if plan.request.drop_mm == 0 else f"{drop} below the rim"

    def draw(figure: FigureBase) -> None:
        above, beside = figure.subplots(1, 2)
        _draw_above(above, mesh, vents, spills, cut.at_y_mm)
        _draw_cut(beside, cut, plan.basins[0].level_mm)

    return Drawing(
        title=f"Filled {told}",
        draw=draw,
        width_mm=max(LEAST_WIDTH_MM, 2 * wide * scale + BETWEEN_MM[0]),
        height_mm=max(deep, high) * scale + BETWEEN_MM[1],
        told=f"The mould from above, and cut through the middle of its liquid, filled {told}.",
    )


def _draw_above(panel: Axes, mesh: Mesh, vents: Floats, spills: Floats, cut_at: float) -> None:
    """The mould from above: where it is cut, where it spills, and every vent by its number."""
    picture = shaded(mesh, TOP)
    (left, bottom), (right, top) = picture.frame_mm
    panel.imshow(picture.grey, cmap="gray", vmin=0, vmax=1, origin="lower", extent=(left, right, bottom, top))
    key = [panel.axhline(cut_at, color="black", linewidth=0.8, dashes=(8, 3, 2, 3), label="cut")]
    key += panel.plot(*spills[:2], "X", color="black", markeredgecolor="white", markersize=8, label="spills here first")
    for number, (x, y, _) in enumerate(vents, start=1):
        disc = panel.plot(
            [x], [y], "o", markerfacecolor="white", markeredgecolor="black", markersize=DISC_POINTS, clip_on=False,
            label="vent, from above",
        )  # fmt: skip
        key += disc if number == 1 else []
        panel.text(x, y, str(number), fontsize=LETTERING - 2, ha="center", va="center_baseline")
    panel.set_title("from above", fontsize=LETTERING)
    _key(panel, key)


def _draw_cut(panel: Axes, cut: MouldCut, level_mm: float) -> None:
    from matplotlib.patches import Patch

    _fill(panel, cut, cut.solid, SOLID)
    _fill(panel, cut, cut.liquid, LIQUID, hatch=DOTS)
    panel.axhline(level_mm, color="black", linewidth=0.8, dashes=(4, 2))
    panel.set_aspect("equal")
    panel.set_xlim(cut.xs[0], cut.xs[-1])
    panel.set_ylim(cut.zs[0], cut.zs[-1])
    panel.set_title("cut, from the front", fontsize=LETTERING)
    mould = Patch(facecolor=SOLID, edgecolor="black", label="mould")
    _key(panel, [mould, Patch(facecolor=LIQUID, edgecolor="black", hatch=DOTS, label="resin")])


def _key(panel: Axes, handles: Sequence[Artist]) -> None:
    panel.set_axis_off()
    panel.legend(
        handles=list(handles), fontsize=LETTERING - 1, frameon=False, loc="upper center", bbox_to_anchor=(0.5, 0.0),
        ncols=2, numpoints=1,
    )  # fmt: skip


def _fill(panel: Axes, cut: MouldCut, mask: Mask, grey: str, hatch: str | None = None) -> None:
    if not mask.any():
        return
    values = mask.astype(np.float64)
    hatches: Sequence[str | None] = [hatch]
    panel.contourf(cut.xs, cut.zs, values, levels=[0.5, 1.5], colors=[grey], hatches=hatches)
    panel.contour(cut.xs, cut.zs, values, levels=[0.5], colors="black", linewidths=0.6)

"""Heat in grey: temperature over time, and the cut through the hottest place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from moldvol.casting.heat.plan import HeatPlan
from moldvol.present.pictures import PART_HEIGHT_MM, Drawing

if TYPE_CHECKING:
    from matplotlib.figure import FigureBase

LETTERING = 8  # points
# Lines are told apart by their dashes, not by colour.
LINES = (("core", "-", 1.8), ("skin on average", "--", 1.2), ("mould's face, hottest", ":", 1.4))


def over_time(heat: HeatPlan) -> Drawing:
    """Core, skin and mould's face over time, with the limit of the mould."""
    return Drawing("Temperature over time", lambda figure: _draw_curve(heat, figure), 90.0, PART_HEIGHT_MM, vector=True)


def hottest_cut(heat: HeatPlan) -> Drawing:
    """The most each place became, in the upright plane through the hottest."""
    return Drawing("Hottest cut", lambda figure: _draw_cut(heat, figure), 80.0, PART_HEIGHT_MM)


def _draw_curve(heat: HeatPlan, figure: FigureBase) -> None:
    panel = figure.subplots()
    minutes = heat.curve.time_s / 60
    for (name, dashes, width), values in zip(
        LINES, (heat.curve.core_c, heat.curve.skin_c, heat.curve.face_c), strict=True
    ):
        panel.plot(minutes, values, dashes, color="black", linewidth=width, label=name)
    if heat.face_limit_c is not None:
        panel.axhline(heat.face_limit_c, color="0.6", linewidth=1)
        panel.annotate("the mould bears this", (minutes[-1], heat.face_limit_c), ha="right", va="bottom", fontsize=7)
    panel.set_xlabel("minutes from the pour", fontsize=LETTERING)
    panel.set_ylabel("°C", fontsize=LETTERING)
    panel.tick_params(labelsize=LETTERING)
    panel.legend(fontsize=LETTERING, frameon=False, loc="center right")


def _draw_cut(heat: HeatPlan, figure: FigureBase) -> None:
    panel = figure.subplots()
    field = heat.map
    row = round((heat.peak_at_mm[1] - field.origin_mm[1]) / field.spacing_mm)
    row = int(np.clip(row, 0, field.highest_c.shape[1] - 1))
    cut, depth = field.highest_c[:, row, :].T, field.depth_mm[:, row, :].T
    left, bottom = field.origin_mm[0], field.origin_mm[2]
    right = left + field.spacing_mm * (cut.shape[1] - 1)
    top = bottom + field.spacing_mm * (cut.shape[0] - 1)
    # Dark is hot, so that paper stays white where nothing happens.
    shown = panel.imshow(cut, cmap="Greys", origin="lower", extent=(left, right, bottom, top), vmin=heat.room_c)
    across, upright = np.linspace(left, right, cut.shape[1]), np.linspace(bottom, top, cut.shape[0])
    panel.contour(across, upright, np.nan_to_num(depth, nan=-1.0), levels=[0.0], colors="black", linewidths=0.8)
    panel.set_title(f"hottest, cut at y = {heat.peak_at_mm[1]:.1f} mm", fontsize=LETTERING)
    panel.set_xticks([])
    panel.set_yticks([])
    bar = figure.colorbar(shown, ax=panel, shrink=0.8)
    bar.set_label("°C", fontsize=LETTERING)
    bar.ax.tick_params(labelsize=LETTERING)

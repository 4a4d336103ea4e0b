"""Heat in grey: temperature over time, and the cut through the hottest place.

Lines are told apart by their dashes and their names beside them, heat by lines that carry their temperature: a
black-and-white printer and any eye see the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, overload

import numpy as np
from scipy.ndimage import distance_transform_edt, zoom

from moldvol.casting.heat.plan import HeatMap, HeatPlan
from moldvol.geometry.mesh import Floats
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.pictures import PAGE_WIDTH_MM, PART_HEIGHT_MM, Drawing

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

LETTERING, SMALL = 8, 7  # points
CURVE_MM = (96.0, 66.0)
LETTERS_SHARE = 0.1  # of the height of the curves' panel: a line of small letters and the space above it
CUT_BESIDE_MM, CUT_BELOW_MM = 8.0, 12.0
LEAST_CUT_MM = 56.0
SMOOTHER = 4  # the cut is drawn on points so many times finer than the cells
LEVELS = 7  # bands of grey
# Paper white where nothing happens, dark grey where it is hottest: black lines and figures still show on it.
GREYS = np.linspace(0.97, 0.42, LEVELS)
CORE, SKIN, FACE = ("-", 1.8), ((0, (6, 2)), 1.2), ((0, (1.5, 1.5)), 1.5)


def over_time(heat: HeatPlan, units: Units = Units.METRIC) -> Drawing:
    """Core, skin and the mould's face over time, the band of the peak, and what the mould bears."""
    told = (
        f"Temperature over time: the core is hottest, {_degrees(heat.peak.usual_c, units)}, "
        f"{numbers.duration(heat.hot_from_s)} after the pour; the estimate lies between "
        f"{_degrees(heat.peak.low_c, units)} and {_degrees(heat.peak.high_c, units)}."
    )
    return Drawing(
        "Temperature over time",
        lambda figure: _draw_curve(heat, figure, units),
        *CURVE_MM,
        told=told,
        vector=True,
    )


def hottest_cut(heat: HeatPlan, units: Units = Units.METRIC) -> Drawing:
    """The most each place became, in an upright plane through the hottest."""
    cut = Cut.through(heat)
    high, wide = np.ptp(cut.up_mm), np.ptp(cut.right_mm)
    scale = min(PART_HEIGHT_MM / high, (PAGE_WIDTH_MM - CURVE_MM[0] - CUT_BESIDE_MM) / wide)
    return Drawing(
        "How hot each place gets",
        lambda figure: _draw_cut(cut, heat, figure, units),
        float(max(LEAST_CUT_MM, wide * scale + CUT_BESIDE_MM)),
        float(high * scale + CUT_BELOW_MM),
        told=f"A {cut.told}; hottest at {numbers.place(heat.peak_at_mm)}, cooler towards the mould.",
    )


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """An upright plane: ``highest_c`` and ``depth_mm`` (rows up, columns right), NaN in the air; ``hot_mm`` in it."""

    told: str
    right_mm: Floats
    up_mm: Floats
    highest_c: Floats
    depth_mm: Floats
    hot_mm: tuple[float, float]

    @classmethod
    def through(cls, heat: HeatPlan) -> Cut:
        """The cut through the hottest place of *heat*."""
        normal = _normal(heat)
        at = heat.peak_at_mm[normal]
        highest, depth = (_layer(heat, values, normal) for values in (heat.map.highest_c, heat.map.depth_mm))
        origin, step = heat.map.origin_mm, heat.map.spacing_mm
        place = numbers.significant(round(at, 1) + 0.0, 4)
        return cls(
            told=f"cut at {'xy'[normal]} = {place} mm, from the {('right', 'front')[normal]}",
            right_mm=origin[1 - normal] + step * np.arange(highest.shape[1], dtype=np.float64),
            up_mm=origin[2] + step * np.arange(highest.shape[0], dtype=np.float64),
            highest_c=highest,
            depth_mm=depth,
            hot_mm=(heat.peak_at_mm[1 - normal], heat.peak_at_mm[2]),
        )

    def finer(self) -> Cut:
        """The same on finer points, so that outlines do not show the cells."""
        air = np.isnan(self.highest_c)
        # carried on into the air, so that the edge of what is drawn is the surface and not the last cell
        rows, columns = distance_transform_edt(air, return_distances=False, return_indices=True)
        fine = [zoom(values, SMOOTHER, order=1) for values in (self.highest_c[rows, columns], self.depth_mm)]
        shape = fine[0].shape
        right = np.linspace(self.right_mm[0], self.right_mm[-1], shape[1])
        up = np.linspace(self.up_mm[0], self.up_mm[-1], shape[0])
        return Cut(self.told, right, up, fine[0], fine[1], self.hot_mm)


def _normal(heat: HeatPlan) -> int:
    """0 or 1, across x or y: of a solid cast the plane that shows more of it, of a wall that which cuts it squarely."""
    if heat.wall_mm is None:
        return max((0, 1), key=lambda axis: int(np.count_nonzero(_layer(heat, heat.map.depth_mm, axis) > 0)))
    at = tuple(_index(heat.map, axis, heat.peak_at_mm[axis]) for axis in range(3))
    slope = [abs(float(np.gradient(heat.map.depth_mm, axis=axis)[at])) for axis in (0, 1)]
    return int(np.argmin(slope))


def _index(field: HeatMap, axis: int, at_mm: float) -> int:
    most = field.depth_mm.shape[axis] - 1
    return int(np.clip(round((at_mm - field.origin_mm[axis]) / field.spacing_mm), 0, most))


def _layer(heat: HeatPlan, values: Floats, normal: int) -> Floats:
    """The layer of *values* through the hottest place, rows up."""
    return np.asarray(np.take(values, _index(heat.map, normal, heat.peak_at_mm[normal]), axis=normal).T)


def _draw_curve(heat: HeatPlan, figure: FigureBase, units: Units) -> None:
    panel = figure.subplots()
    curve = heat.curve
    scale, unit = (3600.0, "hours") if curve.time_s[-1] > 4 * 3600 else (60.0, "minutes")
    time = curve.time_s / scale
    face = "mould's face, hottest" if heat.face_limit_c is not None else "skin, hottest"
    for name, values, (dashes, width) in (
        ("core", curve.core_c, CORE), ("skin, average", curve.skin_c, SKIN), (face, curve.face_c, FACE),
    ):  # fmt: skip
        panel.plot(time, _shown(values, units), linestyle=dashes, color="black", linewidth=width, label=name)
    _mark_gel(panel, heat, scale, units)
    top = max(heat.peak.high_c, curve.core_c.max(), curve.face_c.max())
    band = _shown(heat.peak.low_c, units), _shown(heat.peak.high_c, units)
    _mark_band(panel, *band, f"peak {_span(heat, units)}", _shown(_below_limit(heat, top), units))
    if heat.face_limit_c is not None and heat.face_limit_c < 1.3 * top:
        top = max(top, heat.face_limit_c)
        words = f"the {heat.mould} bears {_degrees(heat.face_limit_c, units)}"
        _mark_limit(panel, _shown(heat.face_limit_c, units), words)
    panel.set_xlim(0, time[-1])
    panel.set_ylim(
        _shown(heat.floor_c - 0.04 * (top - heat.floor_c), units), _shown(top + 0.06 * (top - heat.floor_c), units)
    )
    panel.set_xlabel(f"{unit} from the pour", fontsize=LETTERING)
    panel.set_ylabel(_unit(units), fontsize=LETTERING)
    panel.tick_params(labelsize=LETTERING)
    panel.spines[["top", "right"]].set_visible(False)
    figure.legend(
        fontsize=SMALL, frameon=False, loc="outside lower center", ncols=3, handlelength=2.8, columnspacing=1.2
    )


def _below_limit(heat: HeatPlan, top_c: float) -> float:
    """Where the name of the band may hang: from its upper edge, or from the mould's line if that would cross it."""
    high, limit = heat.peak.high_c, heat.face_limit_c
    crossed = limit is not None and high - LETTERS_SHARE * (top_c - heat.floor_c) < limit <= high
    return limit if limit is not None and crossed else high


def _mark_band(panel: Axes, low: float, high: float, words: str, words_at: float) -> None:
    """What the peak may be, as a band all across, named where the core is still cold."""
    panel.axhspan(low, high, color="0.9", linewidth=0, zorder=0)
    panel.annotate(words, (0.0, words_at), (3, -2), xycoords=("axes fraction", "data"), textcoords="offset points",
                   va="top", fontsize=SMALL)  # fmt: skip


def _mark_limit(panel: Axes, level: float, words: str) -> None:
    """What the mould bears, as a line named where everything has cooled."""
    panel.axhline(level, color="0.6", linewidth=1, zorder=0.5)
    panel.annotate(words, (1.0, level), (-3, 2), xycoords=("axes fraction", "data"), textcoords="offset points",
                   ha="right", va="bottom", fontsize=SMALL)  # fmt: skip


def _mark_gel(panel: Axes, heat: HeatPlan, scale: float, units: Units) -> None:
    """A ring where the core gels."""
    if not np.isfinite(heat.gel.core_s):
        return
    gelled = float(np.interp(heat.gel.core_s, heat.curve.time_s, heat.curve.core_c))
    at = heat.gel.core_s / scale, _shown(gelled, units)
    panel.plot(*at, "o", color="black", markerfacecolor="white", markersize=4.5)
    panel.annotate("gels", at, (-6, 0), textcoords="offset points", ha="right", va="center", fontsize=SMALL)


def _draw_cut(cut: Cut, heat: HeatPlan, figure: FigureBase, units: Units) -> None:
    panel = figure.subplots()
    fine = cut.finer()
    beyond = fine.depth_mm < -heat.mould_thickness_mm
    empty = np.zeros_like(beyond) if heat.wall_mm is None else fine.depth_mm > heat.wall_mm
    shown = np.ma.array(_shown(fine.highest_c, units), mask=beyond | empty)
    levels = _levels(float(shown.min()), float(shown.max()))
    greys = [str(grey) for grey in np.interp(np.linspace(0, 1, len(levels) - 1), np.linspace(0, 1, LEVELS), GREYS)]
    panel.contourf(fine.right_mm, fine.up_mm, shown, levels=levels, colors=greys)
    lines = panel.contour(fine.right_mm, fine.up_mm, shown, levels=levels, colors="0.25", linewidths=0.5)
    panel.clabel(lines, levels[1:-1], fontsize=LETTERING - 2, fmt="%.0f", inline_spacing=1)
    _outline(panel, fine, 0.0, 1.1)
    if heat.wall_mm is not None:
        _outline(panel, fine, heat.wall_mm, 0.8)
    if heat.mould_thickness_mm > 0:
        _outline(panel, fine, -heat.mould_thickness_mm, 0.6, "dashed")
    panel.plot(*cut.hot_mm, "x", color="black", markersize=5, markeredgewidth=1.4)
    panel.set_aspect("equal")
    panel.set_axis_off()
    panel.set_title(f"highest {_unit(units)}\n{cut.told}", fontsize=LETTERING)


def _outline(panel: Axes, cut: Cut, depth_mm: float, width: float, style: str = "solid") -> None:
    if cut.depth_mm.min() < depth_mm < cut.depth_mm.max():
        panel.contour(
            cut.right_mm, cut.up_mm, cut.depth_mm, levels=[depth_mm], colors="black", linewidths=width, linestyles=style
        )


def _levels(low: float, high: float) -> Floats:
    """Round temperatures from below *low* to above *high*, about as many as there are greys."""
    step = next(step for step in (1, 2, 5, 10, 20, 25, 50, 100, 200, 500) if (high - low) / step <= LEVELS)
    return np.asarray(np.arange(np.floor(low / step), np.ceil(high / step + 1e-9) + 1) * step, dtype=np.float64)


@overload
def _shown(celsius: float, units: Units) -> float: ...
@overload
def _shown(celsius: Floats, units: Units) -> Floats: ...
def _shown(celsius: Floats | float, units: Units) -> Floats | float:
    return celsius if units is Units.METRIC else celsius * 1.8 + 32.0


def _unit(units: Units) -> str:
    return "°C" if units is Units.METRIC else "°F"


def _degrees(celsius: float, units: Units) -> str:
    return f"{_shown(celsius, units):.0f} {_unit(units)}"


def _span(heat: HeatPlan, units: Units) -> str:
    low, high = (_shown(end, units) for end in (heat.peak.low_c, heat.peak.high_c))
    return f"{low:.0f} to {high:.0f} {_unit(units)}"

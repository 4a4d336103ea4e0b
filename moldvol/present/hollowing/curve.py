"""The shell curve: what a hollow cast takes at every wall, beside what area times wall would have one believe.

In grey: the shell as a full line with its error as a band, the naive product dashed, the chosen wall as a dot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from moldvol.geometry.field.volume import Volume
from moldvol.geometry.mesh import Floats
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.pictures import Drawing
from moldvol.quantities import G_PER_OUNCE, MM3_PER_ML, MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LETTERING = 8  # points
HEADROOM = 1.18  # above the solid cast, for the words on its line
# name and size of the units on the axes: wall in mm, mass in g, volume in mm³
AXES = {
    Units.METRIC: (("mm", 1.0), ("g", 1.0), ("ml", MM3_PER_ML)),
    Units.US: (("in", MM_PER_INCH), ("oz", G_PER_OUNCE), ("in³", MM_PER_INCH**3)),
}


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """The shell at some walls: ``walls_mm`` (k,) rising, ``shells`` its volume at each; ``chosen_mm`` was asked for."""

    walls_mm: Floats
    shells: Sequence[Volume]
    solid_mm3: float
    area_mm2: float
    density_g_ml: float
    chosen_mm: float | None = None

    @property
    def masses_g(self) -> Floats:
        """(k + 1,) mass from no wall on."""
        return np.array([0.0, *(shell.volume_mm3 for shell in self.shells)]) * self.density_g_ml / MM3_PER_ML

    @property
    def errors_g(self) -> Floats:
        """(k + 1,) error of each mass."""
        return np.array([0.0, *(shell.error_mm3 for shell in self.shells)]) * self.density_g_ml / MM3_PER_ML

    @property
    def naive_g(self) -> Floats:
        """(k + 1,) area times wall."""
        return np.array([0.0, *self.walls_mm]) * self.area_mm2 * self.density_g_ml / MM3_PER_ML

    def mass_g(self, wall_mm: float) -> float:
        """Mass at *wall_mm*, between two walls of the curve on the straight line."""
        return float(np.interp(wall_mm, [0.0, *self.walls_mm], self.masses_g))


def draw_curve(panel: Axes, curve: Curve, units: Units = Units.METRIC) -> None:
    """*curve* on *panel*: mass on the left, volume on the right, wall along the bottom."""
    (length, mm), (mass, g), (volume, mm3) = AXES[units]
    walls, solid = np.array([0.0, *curve.walls_mm]) / mm, curve.solid_mm3 * curve.density_g_ml / MM3_PER_ML / g
    masses, errors = curve.masses_g / g, curve.errors_g / g
    panel.fill_between(walls, masses - errors, masses + errors, color="0.8", linewidth=0)
    panel.plot(walls, masses, color="black", linewidth=1.6, label="hollow cast")
    panel.plot(walls, curve.naive_g / g, color="0.35", linewidth=1.2, linestyle=(0, (5, 3)), label="area × wall")
    panel.axhline(solid, color="0.35", linewidth=1.0, linestyle=(0, (1, 2)), label="solid cast")
    panel.set_xlim(0, walls[-1])
    panel.set_ylim(0, solid * HEADROOM)
    panel.set_xlabel(f"wall, {length}", fontsize=LETTERING)
    panel.set_ylabel(f"mass, {mass}", fontsize=LETTERING)
    per_mass = MM3_PER_ML / curve.density_g_ml * g / mm3
    there, back = partial(np.multiply, per_mass), partial(np.multiply, 1 / per_mass)
    right = panel.secondary_yaxis("right", functions=(there, back))
    right.set_ylabel(f"volume, {volume}", fontsize=LETTERING)
    for axis in (panel, right):
        axis.tick_params(labelsize=LETTERING)
    if curve.chosen_mm is not None:
        _mark(panel, curve.chosen_mm / mm, curve.mass_g(curve.chosen_mm) / g, _chosen(curve, units))
    panel.legend(fontsize=LETTERING, frameon=False, loc="best")  # clear of the lines and of the mark's words


def curve_drawing(curve: Curve, units: Units = Units.METRIC) -> Drawing:
    """The curve as a picture of its own."""
    told = "Mass and volume of the hollow cast at every wall, beside area times wall"
    chosen = "" if curve.chosen_mm is None else f"; chosen {_chosen(curve, units)}"
    return Drawing(
        title="What each wall takes",
        draw=lambda figure: draw_curve(figure.subplots(), curve, units),
        width_mm=88.0,
        height_mm=62.0,
        told=f"{told}{chosen}.",
        vector=True,
        on_sheet=False,
    )


def _chosen(curve: Curve, units: Units) -> str:
    wall = curve.chosen_mm or 0.0
    return f"{numbers.length(wall, units)}: {numbers.mass(curve.mass_g(wall), units)}"


def _mark(panel: Axes, wall: float, mass: float, words: str) -> None:
    """A dot on the curve with a thin line down to its wall, and the amount beside it."""
    panel.vlines(wall, 0, mass, color="black", linewidth=0.8)
    panel.plot([wall], [mass], color="black", marker="o", markersize=5)
    panel.annotate(
        words,
        (wall, mass),
        (8, -3),
        textcoords="offset points",
        va="top",
        fontsize=LETTERING,
        fontweight="bold",
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
    )

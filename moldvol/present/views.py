"""A part from three sides, shaded from its own depth, in greys that survive a black-and-white printer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from moldvol.geometry.columns import column_crossings
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.present import numbers
from moldvol.quantities import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

PIXELS = 420
LETTERING = 8  # points
# Light from the upper left, a little from the front: how drawings of ornaments have always been lit.
LIGHT = np.array([-0.45, 0.55, 0.70]) / np.linalg.norm([-0.45, 0.55, 0.70])
DARKEST, LIGHTEST = 0.28, 0.97


@dataclass(frozen=True, slots=True)
class View:
    """A side to look from: which way right, up and towards the eye point in the part's own axes."""

    name: str
    right: tuple[int, int, int]
    up: tuple[int, int, int]

    @property
    def axes(self) -> Floats:
        """(3, 3) rows right, up, towards the eye."""
        right, up = np.array(self.right, dtype=float), np.array(self.up, dtype=float)
        return np.array([right, up, np.cross(right, up)])


VIEWS = (
    View("front", (1, 0, 0), (0, 0, 1)),
    View("right side", (0, 1, 0), (0, 0, 1)),
    View("top", (1, 0, 0), (0, 1, 0)),
)


@dataclass(frozen=True, slots=True, eq=False)
class Shaded:
    """A picture: ``grey`` (rows from the bottom, columns) 0 to 1, NaN off the part; ``frame_mm`` (2, 2) what the
    picture covers and ``part_mm`` (2, 2) the part in it: lower left and upper right corners."""

    grey: Floats
    frame_mm: Floats
    part_mm: Floats


def shaded(mesh: Mesh, view: View, pixels: int = PIXELS) -> Shaded:
    """*mesh* as seen in *view*, lit from the upper left.

    Method: the topmost crossing of each column is what the eye sees; the slope between neighbouring columns lights it.
    """
    seen = mesh.transformed(_matrix(view.axes))
    low, high = seen.bounds[:, :2]
    margin = 0.02 * float((high - low).max())
    step = float((high - low).max() + 2 * margin) / pixels
    xs = np.arange(low[0] - margin, high[0] + margin + step, step)
    ys = np.arange(low[1] - margin, high[1] + margin + step, step)
    crossings = column_crossings(seen, xs, ys)
    last = np.flatnonzero(np.diff(crossings.column, append=-1))
    depth = np.full(len(xs) * len(ys), np.nan)
    depth[crossings.column[last]] = crossings.z_mm[last]
    # The outermost pixels end half a step beyond their middles.
    frame = np.array([[xs[0], ys[0]], [xs[-1], ys[-1]]]) + np.array([[-step / 2], [step / 2]])
    return Shaded(_lit(depth.reshape(len(xs), len(ys)).T, step), frame, np.array([low, high]))


def draw_views(mesh: Mesh, figure: FigureBase) -> None:
    """The three views side by side on *figure*, to one scale, with their dimensions in mm and inches."""
    pictures = [shaded(mesh, view) for view in VIEWS]
    widths = [float(np.ptp(picture.frame_mm[:, 0])) for picture in pictures]
    axes = figure.subplots(1, 3, gridspec_kw={"width_ratios": widths})
    tallest = max(float(np.ptp(picture.frame_mm[:, 1])) for picture in pictures)
    for panel, view, picture in zip(axes, VIEWS, pictures, strict=True):
        _draw_view(panel, view, picture, tallest)


def _matrix(axes: Floats) -> Floats:
    matrix = np.eye(4)
    matrix[:3, :3] = axes
    return matrix


def _lit(depth: Floats, step: float) -> Floats:
    """Grey levels of a depth map (rows up, columns right); NaN where there is nothing."""
    rise_up, rise_right = np.gradient(depth, step)
    normals = np.dstack([-rise_right, -rise_up, np.ones_like(depth)])
    with np.errstate(invalid="ignore"):
        normals /= np.linalg.norm(normals, axis=2, keepdims=True)
        light = np.clip(normals @ LIGHT, 0, 1)
    grey = DARKEST + (LIGHTEST - DARKEST) * light
    # The gradient has no value along the outline: it is drawn dark, as a contour.
    grey[np.isnan(grey) & ~np.isnan(depth)] = 0.15
    return np.asarray(grey)


def _draw_view(panel: Axes, view: View, picture: Shaded, tallest: float) -> None:
    (left, bottom), (right, top) = picture.frame_mm
    panel.imshow(picture.grey, cmap="gray", vmin=0, vmax=1, origin="lower", extent=(left, right, bottom, top))
    panel.set_ylim(bottom, bottom + tallest)
    wide, high = (float(side) for side in np.ptp(picture.part_mm, axis=0))
    panel.set_title(view.name, fontsize=LETTERING)
    panel.set_xlabel(_dimension(wide), fontsize=LETTERING)
    # Beside the part, not beside the frame: a flat part in a tall frame would lose its dimension.
    panel.set_ylabel(_dimension(high), fontsize=LETTERING, y=(top - bottom) / 2 / tallest, ha="center")
    panel.set_xticks([])
    panel.set_yticks([])
    for spine in panel.spines.values():
        spine.set_visible(False)


def _dimension(mm: float) -> str:
    return f"{numbers.significant(mm, 3)} mm\n({numbers.significant(mm / MM_PER_INCH, 3)} in)"

"""The cut: the plane that shows most, greys that tell wall from room, and hatching where no resin comes any more."""

from __future__ import annotations

import io
from itertools import pairwise
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from moldvol.geometry.field.distance import DistanceField
from moldvol.geometry.field.reach import Reach
from moldvol.geometry.grid import Grid
from moldvol.present.hollowing.cut import (
    COATS,
    EMPTY,
    Plane,
    best_plane,
    closed_off,
    cut_drawing,
    draw_cut,
    round_length_below,
)
from moldvol.present.numbers import Units
from moldvol.present.pictures import PAGE_WIDTH_MM

SPACING = 1.0
AREA_REL = 0.04  # a grid of 1 mm and pixels of 0.2 mm, on sides of 20 to 40 mm
GREY_NEAR = 6  # of 255: greys are rounded, edges between areas blend


def field_of(*boxes: tuple[tuple[float, float, float], tuple[float, float, float]]) -> DistanceField:
    """The depths of separate boxes, each given by its centre and its sides, in a room of 80 × 80 × 80 mm."""
    grid = Grid((-40.0, -40.0, -40.0), SPACING, (81, 81, 81))
    at = grid.points(np.arange(grid.size)).reshape(*grid.shape, 3)
    depths = [(np.array(sides) / 2 - np.abs(at - centre)).min(axis=-1) for centre, sides in boxes]
    return cast(DistanceField, SimpleNamespace(grid=grid, depth_mm=np.max(depths, axis=0)))


def reach_of(field: DistanceField, pocket: np.ndarray, closes_at_mm: float) -> Reach:
    """A reach with one pocket where the mask *pocket* says."""

    def wall_everywhere(wall_mm: float) -> np.ndarray:
        return np.where(pocket & (closes_at_mm < wall_mm), closes_at_mm, wall_mm)

    one = SimpleNamespace(closes_at_wall_mm=closes_at_mm)
    return cast(Reach, SimpleNamespace(pockets=(one,), pocket_of=pocket.astype(int), wall_everywhere=wall_everywhere))


def cut(field: DistanceField, *walls: float, **more: Any) -> tuple[Figure, np.ndarray]:
    """The figure with the cut and its pixels as greys."""
    figure = Figure(figsize=(4, 4), dpi=100)
    draw_cut(figure.add_axes((0, 0.2, 1, 0.7)), field, walls, **more)
    stream = io.BytesIO()
    figure.savefig(stream, format="png")
    return figure, np.asarray(Image.open(stream).convert("L"))


def area_mm2(figure: Figure, grey: np.ndarray, level: str) -> float:
    """Area of the part drawn in the grey *level*."""
    panel = figure.axes[0]
    inside = grey[40:320]  # the panel's rows: the key stands below, the title above
    (x0, _), (x1, _) = panel.transData.inverted().transform([(0, 0), (1, 0)])
    return float(np.sum(np.abs(inside - 255 * float(level)) < GREY_NEAR) * (x1 - x0) ** 2)


BOX = field_of(((0, 0, 0), (40, 30, 20)))


def test_the_plane_lies_in_the_middle_of_where_most_room_stays() -> None:
    """Across y the core of a 40 × 30 × 20 box shows 34 × 14, across x 24 × 14."""
    plane = best_plane(BOX, 3.0)
    assert (plane.normal, plane.at_mm) == (1, pytest.approx(0, abs=SPACING))
    turned = best_plane(field_of(((0, 0, 0), (30, 40, 20))), 3.0)
    assert (turned.normal, turned.at_mm) == (0, pytest.approx(0, abs=SPACING))


def test_the_plane_goes_through_both_of_two_bodies_if_it_can() -> None:
    """Across x both cores show, across y only one: the cut runs through the core of the smaller, 12 mm wide."""
    plane = best_plane(field_of(((0, -20, 0), (20, 20, 20)), ((0, 20, 0), (30, 30, 30))), 4.0)
    assert plane.normal == 0
    assert abs(plane.at_mm) <= 6


def test_the_plane_shows_what_closes_off_before_all() -> None:
    field = field_of(((0, -20, 0), (60, 30, 60)), ((0, 25, 0), (20, 20, 20)))
    pocket = np.broadcast_to(field.grid.axis(1)[None, :, None] > 10, field.grid.shape) & (field.depth_mm > 0)
    assert best_plane(field, 4.0).at_mm < 0
    plane = best_plane(field, 4.0, reach_of(field, pocket, 2.0))
    at = field.grid.axis(1 - plane.normal) if plane.normal == 0 else np.array([plane.at_mm])
    assert (at > 15).any()
    assert plane.of(closed_off(reach_of(field, pocket, 2.0), 4.0, pocket.shape).astype(float)).any()


def test_a_wall_that_leaves_nothing_is_cut_through_the_part() -> None:
    plane = best_plane(BOX, 15.0)
    figure, grey = cut(BOX, 15.0, plane=plane)
    assert plane.of(BOX.depth_mm).max() > 0
    assert area_mm2(figure, grey, COATS[0]) == pytest.approx(40 * 20, rel=AREA_REL)
    assert area_mm2(figure, grey, EMPTY) < 3  # a stray pixel of a blended edge


def test_wall_and_room_have_their_areas() -> None:
    """The box cut across y through its middle: 40 × 20 outside, 34 × 14 inside."""
    figure, grey = cut(BOX, 3.0, plane=Plane(1, 40, 0.0))
    assert area_mm2(figure, grey, EMPTY) == pytest.approx(34 * 14, rel=AREA_REL)
    assert area_mm2(figure, grey, COATS[0]) == pytest.approx(40 * 20 - 34 * 14, rel=3 * AREA_REL)


def test_each_coat_has_its_own_grey() -> None:
    figure, grey = cut(BOX, 2.0, 5.0, plane=Plane(1, 40, 0.0))
    assert area_mm2(figure, grey, COATS[0]) == pytest.approx(40 * 20 - 36 * 16, rel=3 * AREA_REL)
    assert area_mm2(figure, grey, COATS[1]) == pytest.approx(36 * 16 - 30 * 10, rel=3 * AREA_REL)
    assert area_mm2(figure, grey, EMPTY) == pytest.approx(30 * 10, rel=AREA_REL)


def test_neighbouring_coats_are_told_apart_in_grey() -> None:
    levels = [float(grey) for grey in (*COATS, COATS[0])]
    assert min(abs(a - b) for a, b in pairwise(levels)) >= 0.15
    assert float(EMPTY) - max(levels) >= 0.2


def test_a_pocket_keeps_its_wall_and_is_hatched() -> None:
    """Where the neck closed at 2 mm the room is 36 × 16, not the 28 × 8 that a wall of 6 mm would leave."""
    pocket = BOX.depth_mm > 0
    figure, grey = cut(BOX, 6.0, reach=reach_of(BOX, pocket, 2.0), plane=Plane(1, 40, 0.0))
    hatched = [one for one in figure.axes[0].collections if getattr(one, "hatches", [None])[0]]
    assert len(hatched) == 1
    assert area_mm2(figure, grey, COATS[0]) == pytest.approx(40 * 20 - 36 * 16, rel=3 * AREA_REL)
    assert "closed off" in key(figure)


def key(figure: Figure) -> list[str]:
    legend = figure.axes[0].get_legend()
    assert legend is not None
    return [text.get_text() for text in legend.get_texts()]


def test_the_key_names_what_is_drawn() -> None:
    assert key(cut(BOX, 3.0)[0]) == ["wall 3 mm", "stays empty"]
    assert key(cut(BOX, 2.0, 4.0)[0]) == ["coat 1, to 2 mm", "coat 2, to 4 mm", "stays empty"]
    assert key(cut(BOX, 6.35, units=Units.US)[0]) == ["wall 0.25 in", "stays empty"]


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    panel = cut(BOX, 3.0)[0].axes[0]
    (bar,) = panel.lines
    (words,) = [text.get_text() for text in panel.texts]
    assert f"{np.ptp(np.asarray(bar.get_xdata())):g} mm" == words == "10 mm"


@pytest.mark.parametrize(("most", "length"), [(20.0, 20.0), (19.9, 10.0), (0.5, 0.5), (999, 500), (1.0, 1.0)])
def test_scale_bars_have_round_lengths(most: float, length: float) -> None:
    assert round_length_below(most) == pytest.approx(length)


def test_the_plane_says_where_it_is() -> None:
    assert Plane(0, 3, -0.04).told == "cut at x = 0 mm, from the right"
    assert cut(BOX, 3.0, plane=Plane(1, 40, 12.34))[0].axes[0].get_title() == "cut at y = 12.3 mm, from the front"


@pytest.mark.parametrize("sides", [(70, 4, 4), (4, 4, 70), (4, 70, 4)])
def test_the_drawing_fits_beside_the_views(sides: tuple[float, float, float]) -> None:
    drawing = cut_drawing(field_of(((0, 0, 0), sides)), [1.0])
    assert drawing.width_mm <= PAGE_WIDTH_MM / 2 + 1e-9
    assert drawing.height_mm <= 95
    assert drawing.told.endswith("with a wall of 1 mm.")

"""The three views: the right side of the part, its true dimensions, one scale, light from the upper left."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.figure import Figure

from moldvol.geometry.mesh import Mesh
from moldvol.present.views import VIEWS, Shaded, View, draw_views, shaded
from tests.shapes import ball, box, moved, together

FRONT, RIGHT, TOP = VIEWS
PIXEL_REL = 0.02  # an outline is found to a pixel or two in a picture of 120


def part_size(picture: Shaded) -> np.ndarray:
    """Width and height of the drawn pixels, mm."""
    step = np.ptp(picture.frame_mm, axis=0) / picture.grey.T.shape
    columns, rows = (np.flatnonzero(~np.isnan(picture.grey).all(axis=axis)) for axis in (0, 1))
    return np.array([np.ptp(columns) + 1, np.ptp(rows) + 1]) * step


@pytest.mark.parametrize(("view", "sides"), [(FRONT, (0, 2)), (RIGHT, (1, 2)), (TOP, (0, 1))])
def test_each_view_shows_its_two_dimensions(view: View, sides: tuple[int, int]) -> None:
    size = np.array([40.0, 25.0, 60.0])
    picture = shaded(box(*size).mesh, view, pixels=120)
    assert np.ptp(picture.part_mm, axis=0) == pytest.approx(size[list(sides)])
    assert part_size(picture) == pytest.approx(size[list(sides)], rel=PIXEL_REL * size.max() / size[list(sides)].min())


@pytest.mark.parametrize(("view", "towards"), [(FRONT, (0, -1, 0)), (RIGHT, (1, 0, 0)), (TOP, (0, 0, 1))])
def test_the_eye_is_where_the_name_says(view: View, towards: tuple[int, int, int]) -> None:
    assert view.axes[2] == pytest.approx(towards)
    assert np.linalg.det(view.axes) == pytest.approx(1)


def test_what_is_nearer_hides_what_is_behind() -> None:
    """A ball in front of a slab, seen from the front and, from behind, not at all."""
    slab, knob = box(40, 4, 40).mesh, moved(ball(8).mesh, (0, -12, 0))
    seen = shaded(together(slab, knob), FRONT, pixels=80).grey
    behind = shaded(together(slab, knob), View("back", (-1, 0, 0), (0, 0, 1)), pixels=80).grey
    middle = np.s_[30:50, 30:50]
    assert np.ptp(seen[middle]) > 0.3
    assert np.ptp(behind[middle]) == pytest.approx(0, abs=1e-6)


def test_light_falls_from_the_upper_left() -> None:
    grey = shaded(ball(10).mesh, FRONT, pixels=100).grey
    upper_left, lower_right = grey[70:76, 28:34], grey[28:34, 70:76]
    assert np.nanmean(upper_left) > np.nanmean(lower_right) + 0.3


def test_the_outline_is_dark_and_off_the_part_there_is_nothing() -> None:
    grey = shaded(ball(10).mesh, TOP, pixels=100).grey
    assert np.isnan(grey[0]).all()
    middle_row = grey[len(grey) // 2]
    first = np.flatnonzero(~np.isnan(middle_row))[0]
    assert middle_row[first] < 0.2


def drawn(mesh: Mesh) -> Figure:
    figure = Figure(figsize=(7, 3), layout="constrained")
    draw_views(mesh, figure)
    figure.draw_without_rendering()
    return figure


def test_dimensions_stand_under_and_beside_each_view() -> None:
    panels = drawn(box(50.8, 25.4, 101.6).mesh).axes
    assert [panel.get_title() for panel in panels] == ["front", "right side", "top"]
    assert [panel.get_xlabel() for panel in panels] == ["50.8 mm\n(2 in)", "25.4 mm\n(1 in)", "50.8 mm\n(2 in)"]
    assert [panel.get_ylabel() for panel in panels] == ["102 mm\n(4 in)", "102 mm\n(4 in)", "25.4 mm\n(1 in)"]


def test_all_views_have_one_scale() -> None:
    scales = []
    for panel in drawn(box(50, 20, 80).mesh).axes:
        (left, right), wide = panel.get_xlim(), panel.get_window_extent().width
        scales.append(wide / (right - left))
    assert scales == pytest.approx([scales[0]] * 3, rel=0.02)  # pixels of a picture are whole


@pytest.mark.filterwarnings("error")
def test_a_thin_plate_and_a_tiny_part_are_drawn_without_complaint() -> None:
    drawn(box(100, 100, 0.01).mesh)
    drawn(box(1e-3, 1e-3, 1e-3).mesh)

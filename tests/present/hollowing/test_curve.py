"""The shell curve against the shell of a ball: 4π/3 (r³ − (r − t)³), where area times wall is 4πr²t."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from moldvol.geometry.field.volume import Volume
from moldvol.present.hollowing.curve import HEADROOM, Curve, curve_drawing, draw_curve
from moldvol.present.numbers import Units

RADIUS = 30.0
DENSITY = 1.1
SOLID_G = 4 * pi / 3 * RADIUS**3 * DENSITY / 1000


def shell_g(wall: float) -> float:
    return 4 * pi / 3 * (RADIUS**3 - (RADIUS - wall) ** 3) * DENSITY / 1000


def ball(chosen: float | None = 4.0) -> Curve:
    walls = np.arange(1.0, 11.0)
    shells = [Volume(shell_g(wall) / DENSITY * 1000, 50.0) for wall in walls]
    return Curve(walls, shells, SOLID_G / DENSITY * 1000, 4 * pi * RADIUS**2, DENSITY, chosen)


def drawn(curve: Curve, units: Units = Units.METRIC) -> Figure:
    figure = Figure(layout="constrained")
    draw_curve(figure.subplots(), curve, units)
    figure.draw_without_rendering()
    return figure


def test_full_line_is_the_shell_and_dashes_are_area_times_wall() -> None:
    shell, naive, solid, _ = drawn(ball()).axes[0].lines
    assert shell.get_ydata() == pytest.approx([shell_g(wall) for wall in range(11)])
    assert naive.get_ydata() == pytest.approx([4 * pi * RADIUS**2 * wall * DENSITY / 1000 for wall in range(11)])
    assert solid.get_ydata() == pytest.approx([SOLID_G, SOLID_G])
    assert (shell.get_linestyle(), naive.get_linestyle()) == ("-", "--")


def test_the_chosen_wall_is_marked_with_its_mass() -> None:
    panel = drawn(ball(4.0)).axes[0]
    dot = panel.lines[-1]
    assert (dot.get_xdata()[0], dot.get_ydata()[0]) == (4.0, pytest.approx(shell_g(4)))
    assert [text.get_text() for text in panel.texts] == [f"4 mm: {shell_g(4):.4g} g"]
    assert len(drawn(ball(None)).axes[0].texts) == 0


@pytest.mark.parametrize("chosen", [2.0, 5.0, 8.0])
@pytest.mark.parametrize("most", [8.0, 60.0, 100.0])
def test_the_key_is_clear_of_the_curve_and_of_its_mark(chosen: float, most: float) -> None:
    walls = np.arange(1.0, 11.0)
    shells = [Volume(most / DENSITY * 1000 * min(1.0, wall / 3), 50.0) for wall in walls]  # closes off at 3 mm
    curve = Curve(walls, shells, 113.1 / DENSITY * 1000, 4 * pi * RADIUS**2, DENSITY, chosen)
    panel = drawn(curve).axes[0]
    key = panel.get_legend()
    assert key is not None
    box = key.get_window_extent()
    assert not box.overlaps(panel.texts[0].get_window_extent())
    line = panel.transData.transform(np.column_stack([[0.0, *curve.walls_mm], curve.masses_g]))
    assert not [point for point in line if box.contains(*point)]


def test_between_two_walls_the_mass_is_taken_on_the_line() -> None:
    assert ball().mass_g(4.5) == pytest.approx((shell_g(4) + shell_g(5)) / 2)
    assert ball().mass_g(0.5) == pytest.approx(shell_g(1) / 2)


def test_the_right_axis_shows_the_volume_of_the_same_cast() -> None:
    panel = drawn(ball()).axes[0]
    (right,) = panel.child_axes
    assert right.get_ylabel() == "volume, ml"
    assert panel.get_ylim()[1] == pytest.approx(SOLID_G * HEADROOM)
    assert right.get_ylim()[1] == pytest.approx(SOLID_G * HEADROOM / DENSITY)


def test_american_units() -> None:
    panel = drawn(ball(), Units.US).axes[0]
    assert (panel.get_xlabel(), panel.get_ylabel()) == ("wall, in", "mass, oz")
    assert panel.get_xlim()[1] == pytest.approx(10 / 25.4)
    assert panel.lines[0].get_ydata()[-1] == pytest.approx(shell_g(10) / 28.349523125)
    (right,) = panel.child_axes
    assert right.get_ylim()[1] == pytest.approx(SOLID_G * HEADROOM / DENSITY / 16.387064)
    assert panel.texts[0].get_text().startswith("0.157 in: 1.5")


def test_the_band_is_the_error() -> None:
    band = drawn(ball()).axes[0].collections[0]
    at_the_end = [y for x, y in band.get_paths()[0].vertices if x == 10]
    error = 50.0 * DENSITY / 1000
    assert (min(at_the_end), max(at_the_end)) == (
        pytest.approx(shell_g(10) - error),
        pytest.approx(shell_g(10) + error),
    )


def test_everything_is_grey() -> None:
    panel = drawn(ball()).axes[0]
    colours = {to_rgb(line.get_color()) for line in panel.lines}
    assert all(red == green == blue for red, green, blue in colours)


def test_the_drawing_says_itself_in_words() -> None:
    assert curve_drawing(ball()).told == (
        f"Mass and volume of the hollow cast at every wall, beside area times wall; chosen 4 mm: {shell_g(4):.4g} g."
    )
    assert curve_drawing(ball(None)).told.endswith("beside area times wall.")

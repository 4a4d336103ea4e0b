"""Pictures of moulds: what is drawn, where, and that numbers stand clear of each other."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from pytest import approx

from moldvol.casting.fill import FillPlan, plan_fill
from moldvol.casting.fill_request import FillRequest
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.air import air_when_cast
from moldvol.casting.mould.plan import MouldPlan, plan_mould
from moldvol.casting.mould.request import MouldRequest
from moldvol.materials.shelf import load_shelf
from moldvol.present.moulds.fill_pictures import fill_drawings
from moldvol.present.moulds.mould_pictures import Scene, cavity_drawing, draw_scene, mould_drawing, spread
from moldvol.present.numbers import Units
from tests import shapes
from tests.casting.test_fill import halves, solid, tray

pytestmark = pytest.mark.usefixtures("coarse_grids")

RUBBER = load_shelf().resins["tin-silicone"]
GATE = solid(shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10))
PLATE = solid(shapes.box(60, 40, 20).mesh)


def mould(**asked: object) -> MouldPlan:
    return plan_mould(PLATE, MouldRequest(mix=MixRequest(resin=RUBBER), **asked))


def gate(**asked: object) -> FillPlan:
    return plan_fill(GATE, FillRequest(up=(0, -1, 0), **asked))


def drawn(drawing) -> Figure:
    figure = Figure(figsize=(drawing.width_mm / 25.4, drawing.height_mm / 25.4), layout="constrained")
    drawing.draw(figure)
    figure.draw_without_rendering()
    return figure


def numbers_on(panel: Axes) -> list[str]:
    return [text.get_text() for text in panel.texts if text.get_text().isdecimal()]


def key_of(figure: Figure) -> set[str]:
    legends = [*figure.legends, *(panel.get_legend() for panel in figure.axes)]
    return {text.get_text() for legend in legends if legend for text in legend.get_texts()}


@pytest.mark.parametrize(
    ("asked", "key"),
    [
        ({"parts": 2}, {"outside of rubber", "flat parting", "pour here"}),
        ({"open_face": True}, {"outside of rubber", "pour here"}),
        ({"style": "glove"}, {"outside of rubber", "outside of jacket", "pour here"}),
    ],
)
def test_a_mould_shows_its_rubber_and_where_to_pour(asked, key):
    plan = mould(**asked)
    figure = drawn(mould_drawing(plan, air_when_cast(plan)))
    assert key_of(figure) == key
    assert [panel.get_title() for panel in figure.axes] == ["front", "right side"]


def test_a_cavity_shows_every_vent_by_its_number():
    figure = drawn(cavity_drawing(gate()))
    assert "vent, by its number" in key_of(figure)
    assert [numbers_on(panel) for panel in figure.axes] == [["1"], ["1"]]


def test_named_openings_take_the_place_of_the_sprue():
    figure = drawn(cavity_drawing(gate(openings_mm=((5.0, 0.0, 5.0), (35.0, 0.0, 5.0)))))
    assert key_of(figure) >= {"pour here"}
    assert not numbers_on(figure.axes[0])


def test_a_block_is_drawn_with_what_it_measures_outside():
    figure = drawn(mould_drawing(plan := mould(), air_when_cast(plan)))
    front, side = ([text.get_text() for text in panel.texts if "mm" in text.get_text()] for panel in figure.axes)
    wide, deep, high = plan.outside_mm
    assert [float(text.split()[0]) for text in front] == approx([wide, high], rel=0.005)
    assert [float(text.split()[0]) for text in side] == approx([deep, high], rel=0.005)
    assert front[0] == f"{wide:g} mm ({wide / 25.4:.3g} in)"


def test_a_glove_whose_rim_is_not_drawn_is_not_measured_by_its_picture():
    drawing = mould_drawing(plan := mould(style="glove"), air_when_cast(plan))
    assert not [text for panel in drawn(drawing).axes for text in panel.texts if "mm" in text.get_text()]
    assert "mm" not in drawing.told.split(";")[0]


def test_the_parting_is_a_line_where_it_is_seen_from_its_edge_only():
    scene = Scene("part", PLATE.mesh, np.zeros((0, 3)), np.zeros((0, 3)), parting=(np.array([1.0, 0.0, 0.0]), 0.0))
    figure = Figure(figsize=(5, 3), layout="constrained")
    draw_scene(scene, figure)
    front, side = figure.axes
    lines = [line for line in front.lines if line.get_label() == "flat parting"]
    assert len(lines) == 1 and np.ptp(lines[0].get_xdata()) == approx(0, abs=1e-9)
    assert not [line for line in side.lines if line.get_label() == "flat parting"]


def test_an_open_mould_is_seen_from_above_and_cut():
    plan = plan_fill(solid(tray()), FillRequest(drop_mm=3))
    (drawing,) = fill_drawings(plan, Units.METRIC)
    assert drawing.title == "Filled 3 mm below the rim"
    figure = drawn(drawing)
    assert [panel.get_title() for panel in figure.axes] == ["from above", "cut, from the front"]
    assert key_of(figure) == {"cut", "spills here first", "mould", "resin"}


def test_two_halves_are_shown_as_they_lie():
    (drawing,) = fill_drawings(plan_fill(solid(halves(apart=True)), FillRequest()), Units.METRIC)
    assert drawing.title == "From three sides"


def test_numbers_stand_apart_in_order_and_near_their_place():
    rng = np.random.default_rng(1)
    wanted = rng.uniform(0, 30, 12)
    placed = spread(wanted, 3.0, (-5.0, 40.0))
    order = np.argsort(wanted)
    assert np.diff(placed[order]).min() >= 3.0 - 1e-9
    assert placed.min() >= -5.0 and placed.max() <= 40.0


def test_numbers_with_room_stay_where_they_are():
    wanted = np.array([20.0, 5.0, 11.0])
    assert spread(wanted, 3.0, (0.0, 30.0)) == approx(wanted)


def test_no_numbers_need_no_room():
    assert len(spread(np.zeros(0), 3.0, (0.0, 1.0))) == 0

"""The heat as it is told: what to do first, the band always, strict JSON, pictures that survive a grey printer."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from moldvol.casting.heat_of_cast import CastHeat, HeatRequest, plan_cast_heat
from moldvol.casting.hollow_part import field_of
from moldvol.geometry.judging import read_solid
from moldvol.geometry.solid import Solid
from moldvol.materials.shelf import load_shelf
from moldvol.present.heating import heat
from moldvol.present.heating.heat_pictures import Cut, hottest_cut, over_time
from moldvol.present.numbers import Units
from moldvol.present.pictures import PAGE_WIDTH_MM, Drawing, drawn_on_one
from moldvol.present.report import Report, Section
from tests.files import binary_stl

DARK, LIGHT = 60, 200  # of 255


pytestmark = pytest.mark.usefixtures("coarse_heat")


def solid() -> Solid:
    return read_solid(binary_stl(), name="cube.stl")


def heated(**asked: Any) -> CastHeat:
    request = HeatRequest(**{"resin": load_shelf().resin("slow-urethane"), "pot_ml": 250.0, **asked})
    return plan_cast_heat(solid(), field_of(solid(), interior_points=2000), request)


@pytest.fixture(scope="module")
def warm() -> CastHeat:
    """A cube of 20 mm in a slow polyurethane: warm, and no harm to the silicone."""
    return heated()


@pytest.fixture(scope="module")
def hollow() -> CastHeat:
    """The same with a wall of 3 mm."""
    return heated(wall_mm=3.0, pot_ml=None)


def hotter(plan: CastHeat, peak_c: float, face_c: float, spread_k: float = 5.0) -> CastHeat:
    """The same plan with other bands, to try the words."""
    peak = replace(plan.heat.peak, low_c=peak_c - spread_k, usual_c=peak_c, high_c=peak_c + spread_k)
    face = replace(plan.heat.face, low_c=face_c - spread_k, usual_c=face_c, high_c=face_c + spread_k)
    return replace(plan, heat=replace(plan.heat, peak=peak, face=face))


def section(report: Report, heading: str) -> Section:
    return next(one for one in report.sections if one.heading.startswith(heading))


def words(report: Report) -> str:
    """Everything on the sheet."""
    told = [report.verdict, *report.warnings, *report.cautions]
    for one in report.sections:
        told += [one.heading, *(f"{row.label} {row.value} {row.remark}" for row in one.rows), *one.remarks]
        if one.table:
            told += [*one.table.columns, *(cell for row in one.table.rows for cell in row)]
    return "\n".join(told)


class TestVerdict:
    @pytest.mark.parametrize(
        ("peak_c", "first"),
        [
            (50.0, "It should stay below 120 °C."),
            (100.0, "It should stay below 120 °C, yet be hot enough to burn skin."),
            (118.0, "It may pass 120 °C."),
            (140.0, "It will probably pass 120 °C."),
            (178.0, "Do not pour it as it is: it may smoke and char."),
            (210.0, "Do not pour it as it is: it will probably smoke and char."),
        ],
    )
    def test_what_to_do_comes_first(self, warm: CastHeat, peak_c: float, first: str) -> None:
        assert heat.report(hotter(warm, peak_c, 30), Units.METRIC).verdict.startswith(first)

    @pytest.mark.parametrize(
        ("face_c", "said"),
        [(100.0, "should bear it"), (178.0, "may suffer"), (190.0, "will probably suffer")],
    )
    def test_whether_the_rubber_is_harmed(self, warm: CastHeat, face_c: float, said: str) -> None:
        assert f"The silicone {said}: its face sees" in heat.report(hotter(warm, 200, face_c), Units.METRIC).verdict

    def test_how_hot_where_and_when_with_the_band(self, warm: CastHeat) -> None:
        told = heat.report(hotter(warm, 130, 90), Units.METRIC).verdict
        assert "About 130 °C (125 to 135 °C) at (" in told and "after the pour" in told

    def test_only_what_helps_for_sure_is_advised(self, warm: CastHeat) -> None:
        sure, unsure = (replace(warm.heat.remedies[0], peak_c=80.0, peak_high_c=high) for high in (100.0, 125.0))
        plan = hotter(warm, 130, 90)
        told = heat.report(replace(plan, heat=replace(plan.heat, remedies=(sure,))), Units.METRIC)
        assert "Below 120 °C, even at the hot end: hollow" in told.verdict
        assert "(about 80 °C, at most 100 °C)" in told.verdict
        told = heat.report(replace(plan, heat=replace(plan.heat, remedies=(unsure,))), Units.METRIC)
        assert "Nothing reckoned here keeps it below 120 °C for sure" in told.verdict
        assert section(told, "What helps").table.rows[0][-1] == "likely"  # type: ignore[union-attr]

    def test_a_remedy_without_a_hot_end_is_never_sure(self, warm: CastHeat) -> None:
        unknown = replace(warm.heat.remedies[0], code="lifts-2", peak_c=80.0, peak_high_c=None)
        plan = hotter(warm, 130, 90)
        helps = section(heat.report(replace(plan, heat=replace(plan.heat, remedies=(unknown,))), Units.METRIC), "What")
        assert helps.table is not None and helps.table.rows[0][-1] == "likely"
        assert len(helps.table.columns) == len(helps.table.rows[0])
        assert "More lifts are not always cooler" in helps.remarks[-1]

    def test_thickness_is_told_of_the_hot_end_and_the_usual_resin(self, warm: CastHeat) -> None:
        rows = section(heat.report(warm, Units.METRIC), "How thick stays below 120 °C even at the hot end").rows
        assert [row.label for row in rows] == ["Plate", "Rod", "Ball"]
        assert all(row.value.startswith("up to ") and "the usual resin up to " in row.remark for row in rows)

    def test_no_word_is_a_licence(self, warm: CastHeat) -> None:
        told = words(heat.report(warm, Units.METRIC)).casefold()
        assert not [word for word in ("is safe to", "harmless", "no danger", "guarantee") if word in told]
        assert "an estimate between" in told


class TestSheet:
    def test_figures_are_told_by_where_they_are_from(self, warm: CastHeat) -> None:
        rows = {row.label: row.value for row in section(heat.report(warm, Units.METRIC), "What it rests on").rows}
        assert rows["Fitted to the cup"].startswith("rate constant")
        assert "heat capacity 1.8 J/(g K)" in rows["From the shelf"]
        assert "heat of reaction 280 J/g (from memory)" in rows["Of the class"]
        assert "gel conversion 0.707 (from memory)" in rows["Of the class"]

    def test_the_arithmetic_is_one_quiet_sentence(self, warm: CastHeat) -> None:
        (quiet,) = section(heat.report(warm, Units.METRIC), "What it rests on").remarks
        assert "balanced to below 0.01 %" in quiet and "K open in the peak" in quiet

    def test_a_pot_is_told_in_both_reckonings_with_its_band(self, warm: CastHeat) -> None:
        rows = {row.label: row for row in section(heat.report(warm, Units.METRIC), "A pot of 250 ml").rows}
        assert "70 % full" in rows["Holds"].remark
        assert " to " in rows["Lives"].remark
        assert "equally warm" in rows["as 'mix' has it"].remark
        assert "never leave it full" in rows["Left standing"].remark

    def test_without_a_mould_the_skin_is_told(self) -> None:
        told = heat.report(heated(mould="none", pot_ml=None), Units.METRIC)
        labels = [row.label for row in section(told, "How hot").rows]
        assert "Skin" in labels and "Its face" not in labels
        assert "bear it" not in told.verdict

    def test_a_cool_cast_is_given_no_advice(self, hollow: CastHeat) -> None:
        told = heat.report(hotter(hollow, 40, 30), Units.METRIC)
        assert not [one for one in told.sections if one.heading == "What helps"]

    def test_degrees_fahrenheit_throughout(self, warm: CastHeat) -> None:
        told = heat.report(hotter(warm, 100, 50), Units.US)
        assert "About 212 °F (203 to 221 °F)" in told.verdict
        helps = section(told, "What helps").table
        assert helps is not None and {"peak °F", "face °F", "< 248 °F"} <= set(helps.columns)
        rows = [row for one in told.sections if one.heading != "What it rests on" for row in one.rows]
        assert not [row for row in rows if "°C" in row.value + row.remark]


class TestDocument:
    def test_is_strict_json_even_where_a_time_never_came(self, warm: CastHeat) -> None:
        never = replace(warm.heat.gel, core_s=math.inf, last_s=math.inf)
        remedies = tuple(replace(one, core_gel_s=math.inf) for one in warm.heat.remedies)
        plan = replace(warm, heat=replace(warm.heat, gel=never, remedies=remedies))
        found = json.loads(json.dumps(heat.document(plan), allow_nan=False))["heat"]
        assert found["gel_core_s"] is None and found["remedies"][0]["gel_core_s"] is None

    def test_keys_have_units_and_bands_have_ends(self, warm: CastHeat) -> None:
        found = heat.document(warm)["heat"]
        for key in ("peak_c", "face_c"):
            assert found[key]["low"] <= found[key]["usual"] <= found[key]["high"]
        assert found["released_j"] == pytest.approx(found["stored_j"] + found["lost_j"], rel=1e-6)
        assert {one["origin"] for one in found["figures"]} == {"fitted", "shelf", "class"}
        assert all(one["grade"] for one in found["figures"] if one["origin"] == "class")
        assert len({len(values) for values in found["curve"].values()}) == 1
        assert found["pot"]["left_standing_c"]["usual"] > 60


def grey_of(drawing: Drawing) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(drawn_on_one(drawing, format="png"))))


class TestPictures:
    @pytest.mark.parametrize("units", Units)
    @pytest.mark.parametrize("draw", [over_time, hottest_cut])
    def test_show_something_in_grey(self, warm: CastHeat, draw: Any, units: Units) -> None:
        grey = grey_of(draw(warm.heat, units))
        assert grey.ndim == 2 and grey.min() < DARK
        assert 0.003 < np.mean(grey < DARK) < 0.4
        assert np.mean(grey > LIGHT) > 0.3

    def test_nothing_is_cut_off_at_the_edge(self, warm: CastHeat) -> None:
        for drawing in heat.pictures(warm):
            grey = grey_of(drawing)
            edge = np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
            assert edge.min() > LIGHT

    @pytest.mark.parametrize("high_c", [179.0, 181.0, 186.0, 190.0, 230.0])
    def test_the_name_of_the_band_keeps_clear_of_the_moulds_line(self, warm: CastHeat, high_c: float) -> None:
        plan = hotter(warm, high_c - 30, 90, spread_k=30.0)
        figure = Figure(figsize=(96 / 25.4, 66 / 25.4), dpi=100, layout="constrained")
        canvas = FigureCanvasAgg(figure)
        over_time(plan.heat).draw(figure)
        canvas.draw()
        panel = figure.axes[0]
        (name,) = [text for text in panel.texts if text.get_text().startswith("peak")]
        box = name.get_window_extent(canvas.get_renderer())
        line = panel.transData.transform((0.0, 180.0))[1]
        assert box.y1 < line or box.y0 > line

    def test_three_lines_differ_without_colour(self, warm: CastHeat) -> None:
        figure = Figure()
        over_time(warm.heat).draw(figure)
        lines = [line for line in figure.axes[0].lines if not line.get_label().startswith("_")]
        assert len({str(line.get_linestyle()) + str(line._unscaled_dash_pattern) for line in lines}) == 3
        assert {line.get_color() for line in lines} == {"black"}

    def test_hot_is_darker_than_cool(self, warm: CastHeat) -> None:
        figure = Figure()
        hottest_cut(warm.heat).draw(figure)
        filled = figure.axes[0].collections[0].get_facecolors()
        assert np.all(np.diff(filled[:, 0]) < 0)

    def test_the_cut_goes_through_the_hottest_place(self, warm: CastHeat) -> None:
        cut = Cut.through(warm.heat)
        column = int(np.argmin(np.abs(cut.right_mm - cut.hot_mm[0])))
        row = int(np.argmin(np.abs(cut.up_mm - cut.hot_mm[1])))
        assert cut.highest_c[row, column] == pytest.approx(np.nanmax(warm.heat.map.highest_c))

    def test_a_hollow_cast_shows_its_empty_core(self, hollow: CastHeat) -> None:
        figure = Figure(figsize=(3, 3), dpi=100)
        canvas = FigureCanvasAgg(figure)
        hottest_cut(hollow.heat).draw(figure)
        panel = figure.axes[0]
        canvas.draw()
        middle = panel.transData.transform(hollow.solid.mesh.bounds.mean(axis=0)[[0, 2]])
        x, y = (round(float(value)) for value in middle)
        grey = np.asarray(canvas.buffer_rgba())[..., 0]
        assert grey[grey.shape[0] - y, x] == 255

    def test_both_fit_side_by_side_on_a_page(self, warm: CastHeat) -> None:
        assert sum(drawing.width_mm for drawing in heat.pictures(warm)) <= PAGE_WIDTH_MM
        assert all(drawing.told for drawing in heat.pictures(warm))

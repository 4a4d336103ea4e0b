"""Pictures as files: grey, without a date or an address, and of the size they are to be printed in."""

from __future__ import annotations

import base64
import io
import re

import pytest
from matplotlib.figure import FigureBase
from PIL import Image

from moldvol.present.pictures import PAGE_WIDTH_MM, SHEET_DPI, Drawing, drawn, drawn_on_one, three_sides
from tests.shapes import box


def _line(figure: FigureBase) -> None:
    figure.subplots().plot([0, 1], [0, 1], color="red")


LINE = Drawing("A line", _line, 50.8, 25.4, "rising", vector=True)
DOTS = Drawing("Dots", _line, 25.4, 25.4)
INCH = 25.4


def pixels(png: bytes) -> Image.Image:
    return Image.open(io.BytesIO(png))


def test_lines_are_drawn_as_lines_and_shades_as_dots() -> None:
    assert (drawn(LINE).format, drawn(DOTS).format) == ("svg", "png")
    assert (drawn(LINE).title, drawn(LINE).told, drawn(LINE).width_mm) == ("A line", "rising", 50.8)


def test_a_png_is_grey_and_as_large_as_it_is_printed() -> None:
    picture = pixels(drawn_on_one(LINE, format="png"))
    assert picture.mode == "L"
    assert picture.size == (2 * SHEET_DPI, SHEET_DPI)


def test_an_svg_names_no_date_and_no_address_but_its_grammar() -> None:
    text = drawn_on_one(LINE, format="svg").decode()
    assert "<metadata" not in text
    assert set(re.findall(r"https?://[\w.]+", text)) == {"http://www.w3.org"}


def test_drawings_stand_side_by_side_as_far_as_the_page_goes() -> None:
    """Two inches and one beside each other, then what is as wide as the page below."""
    wide = Drawing("Wide", _line, 7 * INCH, INCH)
    assert pixels(drawn_on_one(LINE, DOTS, format="png")).size == (3 * SHEET_DPI, SHEET_DPI)
    assert pixels(drawn_on_one(LINE, DOTS, wide, format="png")).size == (7 * SHEET_DPI, 2 * SHEET_DPI)


def test_the_address_holds_the_picture_itself() -> None:
    picture = drawn(DOTS)
    head, _, body = picture.data_uri.partition(",")
    assert head == "data:image/png;base64"
    assert base64.b64decode(body) == picture.content


@pytest.mark.parametrize("size", [(10, 10, 10), (500, 3, 3), (3, 3, 500), (3, 500, 3)])
def test_three_sides_fit_on_a_page(size: tuple[float, float, float]) -> None:
    drawing = three_sides(box(*size).mesh)
    assert drawing.width_mm <= PAGE_WIDTH_MM + 1e-9
    assert drawing.height_mm <= 90
    assert f"{size[0]} by {size[1]} by {size[2]} mm" in drawing.told

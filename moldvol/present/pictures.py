"""Pictures that are not drawn until somebody wants them: on a sheet, in a file of their own, or not at all.

Everything is grey, so a PNG is kept as one channel; matplotlib is imported when something is drawn, not before.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from moldvol.quantities import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.figure import Figure, FigureBase

    from moldvol.geometry.mesh import Mesh

Format = Literal["png", "svg"]
MEDIA_TYPES = {"png": "image/png", "svg": "image/svg+xml"}

SHEET_DPI = 200  # a laser printer shows no more of a grey picture
PAGE_WIDTH_MM = 186.0  # what is left of A4 beside its margins; Letter is 6 mm wider
PART_HEIGHT_MM = 60.0  # room for the part on a sheet whose first page also holds the weigh-out
LETTERING_MM = (15.0, 19.0)  # beside and below each view, for its dimensions


@dataclass(frozen=True, slots=True)
class Drawing:
    """Something that can be drawn on a matplotlib figure of its natural size; ``told`` says it to who cannot see.

    One that is not ``on_sheet`` is for a picture file only: a sheet has no room for what is not needed at the bench.
    """

    title: str
    draw: Callable[[FigureBase], None]
    width_mm: float
    height_mm: float
    told: str = ""
    vector: bool = False
    on_sheet: bool = True


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawn picture: bytes of a PNG or SVG file, and how wide it wants to stand on paper."""

    title: str
    content: bytes
    format: Format
    width_mm: float
    told: str = ""

    @property
    def data_uri(self) -> str:
        """The picture as an address that needs no network."""
        return f"data:{MEDIA_TYPES[self.format]};base64,{base64.b64encode(self.content).decode('ascii')}"


def three_sides(mesh: Mesh) -> Drawing:
    """*mesh* from the front, the right and above, to one scale, with its dimensions."""
    from moldvol.present.views import draw_views

    wide, deep, high = (float(side) for side in mesh.size_mm)
    across, tall = 2 * wide + deep, max(high, deep)
    beside, below = 3 * LETTERING_MM[0], LETTERING_MM[1]
    scale = min((PAGE_WIDTH_MM - beside) / across, PART_HEIGHT_MM / tall)
    return Drawing(
        title="From three sides",
        draw=lambda figure: draw_views(mesh, figure),
        width_mm=across * scale + beside,
        height_mm=tall * scale + below,
        told=f"The part from the front, the right and above; {wide:.3g} by {deep:.3g} by {high:.3g} mm.",
    )


def drawn(drawing: Drawing) -> Picture:
    """*drawing* on a sheet: lines as SVG, shaded parts as PNG."""
    kind: Format = "svg" if drawing.vector else "png"
    return Picture(drawing.title, drawn_on_one(drawing, format=kind), kind, drawing.width_mm, drawing.told)


def drawn_on_one(*drawings: Drawing, format: Format) -> bytes:  # noqa: A002  (it is the format)
    """All *drawings* as the bytes of one picture file: side by side where a page is wide enough, else below."""
    from matplotlib.figure import Figure

    rows = _rows(drawings)
    widths = [sum(one.width_mm for one in row) for row in rows]
    heights = [max(one.height_mm for one in row) for row in rows]
    size = (max(widths) / MM_PER_INCH, sum(heights) / MM_PER_INCH)
    figure = Figure(figsize=size, dpi=SHEET_DPI, layout="constrained")
    for strip, row in zip(_parts(figure, heights=heights), rows, strict=True):
        for part, drawing in zip(_parts(strip, widths=[one.width_mm for one in row]), row, strict=True):
            drawing.draw(part)
    return _svg(figure) if format == "svg" else _png(figure)


def _rows(drawings: Sequence[Drawing]) -> list[list[Drawing]]:
    rows: list[list[Drawing]] = []
    for drawing in drawings:
        if rows and sum(one.width_mm for one in rows[-1]) + drawing.width_mm <= PAGE_WIDTH_MM:
            rows[-1].append(drawing)
        else:
            rows.append([drawing])
    return rows


def _parts(
    figure: FigureBase, *, heights: Sequence[float] = (1.0,), widths: Sequence[float] = (1.0,)
) -> list[FigureBase]:
    """*figure* split along one of its sides, or itself where there is nothing to split."""
    if len(heights) == len(widths) == 1:
        return [figure]
    split = figure.subfigures(len(heights), len(widths), height_ratios=heights, width_ratios=widths, squeeze=False)
    return list(split.ravel().tolist())


def _svg(figure: Figure) -> bytes:
    stream = io.BytesIO()
    # Without its remarks matplotlib names no date and no address in the file.
    figure.savefig(stream, format="svg", metadata={"Creator": None, "Date": None, "Format": None, "Type": None})
    return stream.getvalue()


def _png(figure: Figure) -> bytes:
    from PIL import Image

    coloured, grey = io.BytesIO(), io.BytesIO()
    figure.savefig(coloured, format="png")
    Image.open(coloured).convert("L").save(grey, format="PNG", optimize=True, dpi=(SHEET_DPI, SHEET_DPI))
    return grey.getvalue()

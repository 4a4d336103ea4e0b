"""The part to look at, and how: its colours with their scale, the cutting plane, the place where resin enters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from nicegui import ui

from moldvol.page.colouring import Legend
from moldvol.page.job import Job
from moldvol.page.views.buttons import Slider, plain_button
from moldvol.page.views.part_view import PartView
from moldvol.present import numbers
from moldvol.present.numbers import Units

PAINTS = {"wall": "thin", "depth": "thick", "plain": "plain"}
POINT = "Tap the place where resin enters; or turn it into the ring and press Enter, Escape to leave it."
CUTS = {"": "whole", "front": "from the front", "right": "from the right", "top": "from above"}


@dataclass(frozen=True, slots=True)
class _Mark:
    """A dot on the part: its ``kind``, what it is, where it is about the part's centre, and the radius of a ball."""

    kind: str
    told: str
    at: list[float]
    radius_mm: float = 0.0


class LookingPanel:
    """Draws the part of a *job*; what is only looked at stays here, what counts is turned in the session."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._picking = False
        with ui.element("div").classes("looking") as self._root:
            self._view = PartView()
            self._view.on("picked", lambda event: self._picked(event.args["at"]))
            self._view.on("leave", lambda: self._pick(False))
            self._hint = ui.label(POINT).classes("picking").props('role="status"')
            self._legend = ui.html(sanitize=False).props("data-is=legend")
            with ui.element("div").classes("look-tools"):
                self._draw_tools()
            self._size = ui.label("").classes("size").props("data-is=size")
            self._shown = ui.label("").classes("quiet")
        self._pick(False)

    def _draw_tools(self) -> None:
        self._paint = ui.toggle(dict(PAINTS), value="wall", on_change=self._dress).props(
            'no-caps unelevated aria-label="Colour by"'
        )
        with ui.element("div").classes("sides").props('role="group" aria-label="Look from"'):
            for word, act in (
                ("Fit", self._view.fit),
                ("Front", lambda: self._view.look("front")),
                ("Side", lambda: self._view.look("right")),
                ("Top", lambda: self._view.look("top")),
            ):
                plain_button(word, act)
        self._upright = ui.switch("y is up", on_change=self._dress)
        self._glass = ui.switch("See through", on_change=self._dress)
        self._cut = ui.select(dict(CUTS), label="Cut", value="", on_change=self._dress).props(
            'outlined dense stack-label behavior="menu" aria-label="Cut"'
        )
        self._cut.props("data-is=cut")
        self._share = Slider(min=0, max=100, value=50, on_change=self._dress).props('aria-label="Where it is cut"')

    def update(self) -> None:
        """Draw the part anew."""
        session = self._job.session
        part, view = session.part, session.view
        self._root.set_visibility(part is not None)
        if part is None or view is None:
            self._view.show(url="")
            return
        key = session.key
        self._view.show(
            url=f"/job/{key}/view/{session.view_number}.glb",
            core=f"/job/{key}/core/{session.core_number}.glb" if session.core else "",
            sides=f"/job/{key}/sides.png?{session.view_number}",
            label=f"{part.name}, {numbers.size(part.size_mm)}; turn it with the arrow keys",
        )
        self._size.set_text(numbers.size(part.size_mm))
        simplified = f"view simplified to {part.shown_triangles:,} triangles, numbers from all {part.triangles:,}"
        self._shown.set_text(simplified if part.simplified else f"{part.triangles:,} triangles")
        self._dress()

    def pick_opening(self) -> None:
        """The next tap on the part says where resin enters."""
        self._pick(True)

    def _pick(self, picking: bool) -> None:
        self._picking = picking
        self._hint.set_visibility(picking)
        self._view.show(picking=picking)

    def _picked(self, at: list[float]) -> None:
        part = self._job.session.part
        if not self._picking or part is None:
            return
        self._pick(False)
        place = ",".join(f"{x + centre:.2f}" for x, centre in zip(at, part.centre_mm, strict=True))
        self._job.turn("opening", place)

    def _dress(self, _: Any = None) -> None:
        session = self._job.session
        view, paint = session.view, str(self._paint.value)
        self._glass.set_visibility(session.core is not None)
        self._share.set_visibility(bool(self._cut.value))
        legends = view.legends if view else ()
        legend = {"wall": legends[:1], "depth": legends[1:2]}.get(paint, ())
        marks = self._marks(paint)
        scale = _scale_html(legend[0], session.asked.units) if legend else ""
        self._legend.set_content(scale + _key_html(marks))
        self._view.show(
            paint=paint,
            cut=str(self._cut.value),
            share=float(self._share.value) / 100,
            glass=bool(self._glass.value) and session.core is not None,
            upright=bool(self._upright.value),
            inches=session.asked.units is Units.US,
            marks=[{"at": mark.at, "radius": mark.radius_mm, "kind": mark.kind} for mark in marks],
        )

    def _marks(self, paint: str) -> list[_Mark]:
        """The place that the colours lead to, and where resin enters."""
        session = self._job.session
        part, units, opening = session.part, session.asked.units, session.asked.opening
        if part is None:
            return []
        marks = []
        if paint == "wall":
            told = f"thinnest place, {numbers.length(part.thinnest_mm, units)}"
            marks.append(_Mark("thin", told, _about(part.thinnest_at_mm, part.centre_mm)))
        if paint == "depth":
            told = f"largest ball that fits, {numbers.length(part.thickest_mm, units)}"
            marks.append(_Mark("thick", told, _about(part.thickest_at_mm, part.centre_mm), part.thickest_mm / 2))
        enters_at = opening if isinstance(opening, tuple) else session.enters_at_mm
        if enters_at is not None:
            marks.append(_Mark("enter", "resin enters", _about(enters_at, part.centre_mm)))
        return marks


def _about(place: tuple[float, float, float], centre: tuple[float, float, float]) -> list[float]:
    return [x - c for x, c in zip(place, centre, strict=True)]


def _scale_html(legend: Legend, units: Units) -> str:
    """The scale of colours with its ends and middle; all of it our own figures and words, nothing from a file."""
    low, middle, high = (numbers.length(mm, units) for mm in (legend.low_mm, legend.middle_mm, legend.high_mm))
    title = "wall, thin to thick" if legend.title == "wall" else "depth below the surface"
    more = "≥ " if legend.title == "wall" else ""
    return (
        f'<figure class="legend"><figcaption>{title}</figcaption>'
        f'<span class="ramp" style="background:linear-gradient(90deg,{",".join(legend.stops)})"></span>'
        f"<span>{low}</span><span>{middle}</span><span>{more}{high}</span></figure>"
    )


def _key_html(marks: list[_Mark]) -> str:
    """What the dots on the part are."""
    items = "".join(f'<li class="mark-{mark.kind}">{mark.told}</li>' for mark in marks)
    return f'<ul class="key">{items}</ul>' if items else ""

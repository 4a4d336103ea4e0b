"""The knobs: those that matter to the tab at hand, each saying beside itself what is wrong with what was typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from nicegui import ui
from nicegui.elements.mixins.validation_element import ValidationElement

from moldvol.materials.shelf import Shelf
from moldvol.page.choices import CHOICES, LABELS, in_words
from moldvol.page.job import Job
from moldvol.page.tabs import BY_KEY
from moldvol.page.views.buttons import Slider, plain_button

WALL_MOST_MM, WALL_STEP_MM = 15.0, 0.5


class KnobPanel:
    """All knobs of a *job*; `show` keeps those of one tab in sight."""

    def __init__(self, job: Job, shelf: Shelf, pick: Callable[[], None]) -> None:
        self._job, self._shelf, self._pick = job, shelf, pick
        self._knobs: dict[str, ValidationElement[Any]] = {}
        self._cells: dict[str, ui.element] = {}
        self._tab = "part"
        with ui.element("div").classes("knobs").props('role="group" aria-label="Settings"') as self._root:
            self._build()
        self.update()

    def show(self, tab: str) -> None:
        """Keep the knobs of *tab* in sight; none once a pour has begun, which they change no more."""
        begun = not BY_KEY[tab].of_part and self._job.session.pour is not None
        self._root.set_visibility(bool(BY_KEY[tab].knobs) and not begun)
        self._tab = tab
        for name, cell in self._cells.items():
            cell.set_visibility(name in BY_KEY[tab].knobs)
        self._offer_parts()

    def _offer_parts(self) -> None:
        """One part of a file with several may be taken alone."""
        parts = self._job.session.parts
        self._cells["part"].set_visibility("part" in BY_KEY[self._tab].knobs and len(parts) > 1)
        offered = {"": "all together", **{str(n): f"{n} {name}".strip() for n, name in enumerate(parts, start=1)}}
        choice = self._knobs["part"]
        if isinstance(choice, ui.select) and choice.options != offered:
            choice.set_options(offered, value=self._typed("part"))

    def update(self) -> None:
        """Show what the session's knobs are set to, and what is wrong with them."""
        knobs = self._job.session.knobs
        self._offer_parts()
        for name, knob in self._knobs.items():
            if str(knob.value) != knobs.typed[name]:
                knob.value = self._fitting(knob, knobs.typed[name])
            knob.validate()

    def _build(self) -> None:
        named = {key: resin.name for key, resin in self._shelf.resins.items()}
        rubbers = {key: name for key, name in named.items() if self._shelf.resin(key).kind == "silicone"}
        self._choice("resin", named)
        self._wall()
        self._count("coats", "2 mm each")
        self._opening()
        self._count("copies", "1")
        self._choice("style")
        self._choice("rubber", rubbers)
        self._choice("mould_parts")
        self._choice("heat_cast")
        self._choice("heat_mould")
        self._text("rubber_wall", "usual, or 12mm")
        self._text("allowance", "usual, or 8%")
        self._text("pot", "one cup, or 250ml")
        self._text("temperature", "the sheet's, or 22c")
        self._choice("readability")
        self._choice("part", {"": "all together"})
        self._choice("unit")
        self._text("height", "as it is, or 180mm")
        self._text("plug", "none, or 5mm")
        self._choice("taken_as")
        self._choice("inner_skins")
        self._text("scale", "1, or 1.02")

    def _cell(self, name: str) -> ui.element:
        self._cells[name] = ui.element("div").classes(f"knob knob-{name.replace('_', '-')}")
        return self._cells[name]

    def _turned(self, name: str) -> Callable[[Any], None]:
        return lambda event: self._job.turn(name, "" if event.value is None else str(event.value))

    def _text(self, name: str, usual: str) -> None:
        with self._cell(name):
            self._knobs[name] = self._input(name, usual)

    def _input(self, name: str, usual: str) -> ui.input:
        label = LABELS[name]
        field = ui.input(
            label,
            placeholder=usual,
            value=self._typed(name),
            on_change=self._turned(name),
            validation=lambda _: self._job.session.knobs.faults.get(name),
        )
        field.props(f'outlined stack-label hide-bottom-space debounce=200 aria-label="{label}"').props(
            f"data-is={name}"
        )
        return field

    def _choice(self, name: str, options: Mapping[str, str] | None = None) -> None:
        label = LABELS[name]
        with self._cell(name):
            known = dict(CHOICES[name] if options is None else options)
            known.setdefault(self._typed(name), self._typed(name))
            choice = ui.select(known, label=label, value=self._typed(name), on_change=self._turned(name))
            choice.props(f'outlined stack-label hide-bottom-space behavior="menu" aria-label="{label}"').props(
                f"data-is={name}"
            )
            self._knobs[name] = choice

    def _count(self, name: str, usual: str) -> None:
        with self._cell(name), ui.element("div").classes("stepper"):
            self._knobs[name] = self._input(name, usual)
            self._knobs[name].props("inputmode=numeric")
            for sign, step, word in (("−", -1, "fewer"), ("+", 1, "more")):
                button = ui.element("button").classes("plain-button step")
                button.props(f'type="button" aria-label="{word} {LABELS[name].lower()}"').on(
                    "click", lambda step=step: self._step(name, step)
                )
                with button:
                    ui.html(sign, sanitize=False, tag="span")

    def _step(self, name: str, step: int) -> None:
        text = self._typed(name)
        number = int(text) if text.isdecimal() else 1
        self._job.turn(name, str(max(1, number + step)))

    def _wall(self) -> None:
        with self._cell("wall"):
            self._knobs["wall"] = self._input("wall", "4mm or 1/8in")
            wall_mm = min(self._job.session.asked.wall_mm, WALL_MOST_MM)
            slider = Slider(min=WALL_STEP_MM, max=WALL_MOST_MM, step=WALL_STEP_MM, value=wall_mm)
            slider.props('aria-label="Wall in millimetres" label').props("data-is=wall-slider")
            slider.on_value_change(lambda event: self._slid(float(event.value)))
            self._slider = slider
            self._knobs["wall"].on_value_change(lambda _: self._follow())

    def _slid(self, wall_mm: float) -> None:
        if abs(wall_mm - min(self._job.session.asked.wall_mm, WALL_MOST_MM)) > WALL_STEP_MM / 4:
            self._job.turn("wall", f"{wall_mm:g}mm")

    def _follow(self) -> None:
        self._slider.value = min(self._job.session.asked.wall_mm, WALL_MOST_MM)

    def _opening(self) -> None:
        with self._cell("opening"):
            choice = ui.select(
                dict(CHOICES["opening"]), label=LABELS["opening"], value="", on_change=self._turned("opening")
            ).props('outlined stack-label hide-bottom-space behavior="menu" aria-label="Resin enters"')
            self._knobs["opening"] = choice.props("data-is=opening")
            plain_button("Pick on the part", self._pick)

    def _typed(self, name: str) -> str:
        return self._job.session.knobs.typed[name]

    def _fitting(self, knob: ValidationElement[Any], text: str) -> str:
        """*text* as a value of *knob*; a place picked on the part becomes one more choice."""
        if knob is self._knobs["opening"] and isinstance(knob, ui.select) and text not in knob.options:
            knob.set_options({**CHOICES["opening"], text: in_words("opening", text)})
        return text

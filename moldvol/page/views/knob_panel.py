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
    """The knobs of a *job* that matter to one tab. No others are on the page: whatever changes draws all of it anew."""

    def __init__(self, job: Job, shelf: Shelf, pick: Callable[[], None]) -> None:
        self._job, self._shelf, self._pick = job, shelf, pick
        self._knobs: dict[str, ValidationElement[Any]] = {}
        self._tab = "part"
        self._shown: object = None
        self._root = ui.element("div").classes("knobs").props('role="group" aria-label="Settings"')
        self.show(self._tab)

    def show(self, tab: str) -> None:
        """Have the knobs of *tab* on the page; none once a pour has begun, which they change no more."""
        self._tab = tab
        begun = not BY_KEY[tab].of_part and self._job.session.pour is not None
        wanted = () if begun else tuple(filter(self._is_of_use, BY_KEY[tab].knobs))
        self._root.set_visibility(bool(wanted))
        shown = (wanted, self._job.session.parts)
        if shown == self._shown:
            return
        self._shown = shown
        self._knobs.clear()
        self._root.clear()
        with self._root:
            for name, build in self._builders().items():
                if name in wanted:
                    build()
        self.update()

    def update(self) -> None:
        """Show what the session's knobs are set to, and what is wrong with them."""
        self.show(self._tab)  # another file has other parts
        knobs = self._job.session.knobs
        for name, knob in self._knobs.items():
            if str(knob.value) != knobs.typed[name]:
                knob.value = self._fitting(knob, knobs.typed[name])
            knob.validate()

    def _is_of_use(self, name: str) -> bool:
        return name != "part" or len(self._job.session.parts) > 1

    def _builders(self) -> dict[str, Callable[[], None]]:
        """How each knob is made, in the order in which they stand."""
        named = {key: resin.name for key, resin in self._shelf.resins.items()}
        rubbers = {key: name for key, name in named.items() if self._shelf.resin(key).kind == "silicone"}
        parts = {str(n): f"{n} {name}".strip() for n, name in enumerate(self._job.session.parts, start=1)}
        return {
            "resin": lambda: self._choice("resin", named),
            "wall": self._wall,
            "coats": lambda: self._count("coats", "2 mm each"),
            "opening": self._opening,
            "copies": lambda: self._count("copies", "1"),
            "style": lambda: self._choice("style"),
            "rubber": lambda: self._choice("rubber", rubbers),
            "mould_parts": lambda: self._choice("mould_parts"),
            "heat_cast": lambda: self._choice("heat_cast"),
            "heat_mould": lambda: self._choice("heat_mould"),
            "rubber_wall": lambda: self._text("rubber_wall", "usual, or 12mm"),
            "allowance": lambda: self._text("allowance", "usual, or 8%"),
            "pot": lambda: self._text("pot", "one cup, or 250ml"),
            "temperature": lambda: self._text("temperature", "the sheet's, or 22c"),
            "readability": lambda: self._choice("readability"),
            "part": lambda: self._choice("part", {"": "all together", **parts}),
            "unit": lambda: self._choice("unit"),
            "height": lambda: self._text("height", "as it is, or 180mm"),
            "plug": lambda: self._text("plug", "none, or 5mm"),
            "taken_as": lambda: self._choice("taken_as"),
            "inner_skins": lambda: self._choice("inner_skins"),
            "scale": lambda: self._text("scale", "1, or 1.02"),
        }

    def _cell(self, name: str) -> ui.element:
        return ui.element("div").classes(f"knob knob-{name.replace('_', '-')}")

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
        if knob is self._knobs.get("opening") and isinstance(knob, ui.select) and text not in knob.options:
            knob.set_options({**CHOICES["opening"], text: in_words("opening", text)})
        return text

"""The part to turn and cut, drawn by the browser from the reduced copy."""

from __future__ import annotations

from typing import Any

from nicegui import ui
from nicegui.element import Element

# Asking for the scene makes its 3D library known to the page; the element here draws only when something has moved.
SCENE = ui.scene


class PartView(Element, component="part_view.js"):
    """A canvas with the part on it. Emits ``picked`` with the place pointed at, ``leave`` when nothing is to be picked
    after all, and ``without3d``."""

    def __init__(self) -> None:
        super().__init__()
        self.classes("part-view")

    def show(self, **what: Any) -> None:
        """Set what is shown; only what differs is sent. Keys are the properties named in ``part_view.js``."""
        news = {name: value for name, value in what.items() if self._props.get(name) != value}
        if news:
            self._props.update(news)
            self.update()

    def fit(self) -> None:
        """Bring the whole part back into view."""
        self.run_method("fit")

    def look(self, side: str) -> None:
        """Look from ``front``, ``right`` or ``top``."""
        self.run_method("look", side)

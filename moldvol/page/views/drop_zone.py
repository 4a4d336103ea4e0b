"""Where a file is let fall: anywhere on the page, or through the button."""

from __future__ import annotations

from typing import Any

from nicegui.element import Element


class DropZone(Element, component="drop_zone.js"):
    """Sends one file to *url* as it is, up to *limit_bytes*. ``small`` leaves only the button."""

    def __init__(self, url: str, limit_bytes: int) -> None:
        super().__init__()
        self._props.update(url=url, limit=limit_bytes, small=False)

    def show(self, **what: Any) -> None:
        """Set properties named in ``drop_zone.js``."""
        if any(self._props.get(name) != value for name, value in what.items()):
            self._props.update(what)
            self.update()

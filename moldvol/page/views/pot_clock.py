"""The pot-life clock, counted by the browser itself so that it runs on when the network does not."""

from __future__ import annotations

from nicegui.element import Element


class PotClock(Element, component="pot_clock.js"):
    """Counts down from what is set; shows nothing before that."""

    def __init__(self) -> None:
        super().__init__()
        self._number = 0

    def set(self, left_s: float | None, life_s: float) -> None:
        """*left_s* of *life_s* are left now; None stops the clock."""
        self._number += 1
        self._props.update(left=left_s, life=life_s, number=self._number)
        self.update()

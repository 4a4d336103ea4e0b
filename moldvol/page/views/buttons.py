"""What is pressed and slid: the button that goes on, all other buttons, and a slider that moves with the hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from nicegui import ui


class Slider(ui.slider):
    """A slider that the browser moves at once, without asking the server first."""

    LOOPBACK = False


def strong_button(text: str, act: Callable[..., Any], *, huge: bool = False) -> ui.button:
    """The button that goes on with the work; *huge* for gloves."""
    button = ui.button(text, on_click=lambda: act(), color=None).props("unelevated no-caps")
    return button.classes("strong-button huge" if huge else "strong-button")


def plain_button(text: str, act: Callable[..., Any]) -> ui.button:
    """Any other button."""
    return ui.button(text, on_click=lambda: act(), color=None).props("flat no-caps").classes("plain-button")

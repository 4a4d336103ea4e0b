"""The sheet of the tab at hand: its amounts large, then everything the terminal would tell."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from nicegui import ui

from moldvol.page.job import Job
from moldvol.page.report_html import amounts_html, plots_html, report_html
from moldvol.page.tabs import BY_KEY
from moldvol.page.told import ToPour
from moldvol.page.views.buttons import plain_button, strong_button

NOTHING_YET = "Nothing on the bench yet: drop a mesh, or go to The pour to mix an amount."


class SheetPanel:
    """Draws what the session tells on one tab. Replaces whole texts, so that nothing of another part stays."""

    def __init__(self, job: Job, pour: Callable[[ToPour], None]) -> None:
        self._job, self._pour, self.tab = job, pour, "part"
        self._offered: tuple[str, ...] = ()
        self._to_scale: list[ui.button] = []

    def draw_head(self) -> None:
        """The amounts and what can be done with them: above the knobs, so that they stay in sight while one turns."""
        with ui.element("div").classes("sheet-head").props('aria-live="polite"') as self._head:
            self._amounts = ui.html(sanitize=False).classes("amounts").props("data-is=amounts")
        self._actions = ui.element("div").classes("actions")

    def draw_body(self) -> None:
        """Everything else."""
        with ui.element("article").classes("sheet").props("data-is=sheet") as self._root:
            # What is dimmed stands in a frame: an element that changes is sent again with all that is in itself.
            with ui.element("div") as self._words_frame:
                self._words = ui.html(sanitize=False).props("data-is=words")
            with ui.element("div").classes("plots").props("data-is=plots") as self._plots_frame:
                self._plots = ui.html(sanitize=False)

    def update(self) -> None:
        """Draw the tab anew."""
        session, tab = self._job.session, self.tab
        told, failed = session.told.get(tab), session.failed.get(tab)
        self._amounts.set_content(amounts_html(told.amounts) if told else "")
        self._words.set_content(report_html(told.report) if told else "")
        plots = session.plots.get(tab, ()) if told else ()
        self._plots.set_content(plots_html(plots))
        self._say(failed or ("" if told else self._waiting()))
        self._offer(told.pours if told else ())
        self.mark_stale()

    def set_visibility(self, visible: bool) -> None:
        """Show or hide the sheet."""
        for element in (self._root, self._head, self._actions):
            element.set_visibility(visible)

    def mark_stale(self) -> None:
        """Dim figures made for other settings, and let nobody weigh them out, until the new ones are there."""
        stale = self.tab in self._job.session.told and self._job.session.is_stale(self.tab)
        for element in (self._words_frame, self._head):
            _dim(element, stale)
        for button in self._to_scale:
            button.set_enabled(not stale)
        _dim(self._plots_frame, stale or self._job.session.has_old_plots(self.tab))

    def _waiting(self) -> str:
        session, tab = self._job.session, BY_KEY[self.tab]
        if session.part is None:
            return "" if session.refused else NOTHING_YET
        if session.part.trouble and tab.needs_depth:
            return session.part.trouble
        return "Measuring the depth of the part …" if tab.needs_depth and not session.part.has_depth else "A moment …"

    def _say(self, sentence: str) -> None:
        from markupsafe import escape

        if sentence:
            self._words.set_content(f'<p class="waiting">{escape(sentence)}</p>')

    def _offer(self, pours: tuple[ToPour, ...]) -> None:
        titles = (self.tab, *(pour.title for pour in pours))
        if titles == self._offered:
            return
        self._offered = titles
        self._actions.clear()
        self._to_scale = []
        if self.tab not in self._job.session.told:
            self._offered = ()
            return
        with self._actions:
            for number, pour in enumerate(pours):
                word = "To the scale" if len(pours) == 1 else f"{pour.title} to the scale"
                make = plain_button if number else strong_button
                button = make(word, partial(self._take, number)).props("data-is=to-scale")
                self._to_scale.append(button)
            link = ui.link("Sheet for the workshop", f"/job/{self._job.session.key}/sheet/{self.tab}", new_tab=True)
            link.classes("plain-button")

    def _take(self, number: int) -> None:
        told = self._job.session.told.get(self.tab)
        if told and number < len(told.pours):
            self._pour(told.pours[number])


def _dim(element: ui.element, stale: bool) -> None:
    element.classes(**({"add": "stale"} if stale else {"remove": "stale"}))

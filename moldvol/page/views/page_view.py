"""One screen that shows a job: the part to turn, the knobs, the tabs. The same job may be on several screens."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from nicegui import ui

from moldvol.casting.pour_book import PourBook
from moldvol.materials.shelf import Shelf
from moldvol.page.job import Job
from moldvol.page.session import What
from moldvol.page.tabs import BY_KEY, TABS
from moldvol.page.told import ToPour
from moldvol.page.views.buttons import plain_button
from moldvol.page.views.drop_zone import DropZone
from moldvol.page.views.knob_panel import KnobPanel
from moldvol.page.views.looking_panel import LookingPanel
from moldvol.page.views.pour_panel import PourPanel
from moldvol.page.views.sheet_panel import SheetPanel


class PageView:
    """Draws *job* and follows it until the browser is gone."""

    def __init__(
        self,
        job: Job,
        shelf: Shelf,
        book: PourBook,
        limit_bytes: int,
        invitation: Callable[[str], str] | None = None,
    ) -> None:
        self._job = job
        client = ui.context.client
        self._draw_head(invitation)
        self._sheet = SheetPanel(job, pour=self._begin_pour)
        self._draw_tabs()
        with ui.element("main").classes("bench") as self._main:
            with ui.element("section").classes("stand").props('aria-label="The part"') as self._stand:
                self._drop = DropZone(f"/job/{job.session.key}/file", limit_bytes)
                self._draw_work()
                self._looking = LookingPanel(job)
            with ui.element("section").classes("paper"):
                self._sheet.draw_head()
                self._knobs = KnobPanel(job, shelf, pick=self._looking.pick_opening)
                self._sheet.draw_body()
                self._pour = PourPanel(job, shelf, book)
        self._tabs.value = "part"
        self._update("part")
        job.session.listeners.append(self._update)
        job.watch(self, self._sheet.tab)
        client.on_delete(self._leave)

    def _leave(self) -> None:
        self._job.session.listeners.remove(self._update)
        self._job.unwatch(self)

    # ---- drawing

    def _draw_head(self, invitation: Callable[[str], str] | None) -> None:
        with ui.element("header").classes("head"):
            ui.html("<h1>moldvol <span>bench</span></h1>", sanitize=False).classes("contents")
            self._name = ui.label("").classes("part-name").props("data-is=part-name")
            ui.label(date.today().isoformat()).classes("on-paper")
            with ui.element("div").classes("head-tools"):
                units = ui.toggle({"metric": "mm g", "us": "in oz"}, value="metric").props(
                    'no-caps unelevated aria-label="Units of the sheets"'
                )
                units.on_value_change(lambda event: self._job.turn("units", str(event.value)))
                self._units = units
                if invitation is not None:
                    self._draw_invitation(invitation)

    def _draw_invitation(self, invitation: Callable[[str], str]) -> None:
        def invite() -> None:
            code.set_content(invitation(f"/job/{self._job.session.key}"))
            dialog.open()

        with ui.dialog() as dialog, ui.card().classes("invitation"):
            ui.label("Scan this with the phone within ten minutes.").classes("amount-label")
            code = ui.html(sanitize=False)
            ui.label("It opens this job once, on one phone. Anyone on this network who gets hold of the code gets in.")
            plain_button("Close", dialog.close)
        plain_button("Add a phone", invite).props("data-is=add-phone")

    def _draw_work(self) -> None:
        with ui.element("div").classes("work").props('role="status"') as self._work:
            self._stage = ui.label("").props("data-is=stage")
            self._share = ui.linear_progress(0, show_value=False).props('aria-label="Progress"')
            plain_button("Stop", self._job.stop).props("data-is=stop")
        with ui.element("div").classes("refused").props('role="alert"') as self._refused:
            self._sentence = ui.label("").classes("fault").props("data-is=refused")
            self._accept = plain_button("Take it with that error", lambda: self._job.turn("accept_open", "yes"))

    def _draw_tabs(self) -> None:
        with (
            ui.tabs(on_change=lambda event: self._show(str(event.value)))
            .props("no-caps align=left outside-arrows mobile-arrows inline-label")
            .classes("tabs") as self._tabs
        ):
            for tab in TABS:
                ui.tab(tab.key, label=tab.label).props(f"data-is=tab-{tab.key}")

    # ---- following

    def _show(self, tab: str) -> None:
        self._sheet.tab = tab
        pouring = not BY_KEY[tab].of_part
        self._stand.set_visibility(not pouring)
        self._main.classes(**({"add": "pouring"} if pouring else {"remove": "pouring"}))
        self._knobs.show(tab)
        self._pour.set_visibility(pouring)
        self._sheet.set_visibility(not pouring)
        self._sheet.update()
        self._job.watch(self, tab)

    def _update(self, what: What) -> None:
        if what == "work":
            self._update_work()
        elif what == "pour":
            self._pour.update()
            self._knobs.show(self._sheet.tab)
        elif what == "sheet":
            self._sheet.update()
        elif what == "look":
            self._looking.update()
        elif what == "knobs":
            self._knobs.update()
            self._looking.update()
            self._sheet.mark_stale()
            self._units.value = self._job.session.asked.units.value
        else:
            self._update_part()

    def _update_part(self) -> None:
        session = self._job.session
        self._name.set_text(session.part.name if session.part else "")
        self._drop.show(small=session.part is not None)
        self._refused.set_visibility(session.refused is not None)
        if session.refused is not None:
            self._sentence.set_text(session.refused.sentence)
            self._accept.set_visibility(session.refused.open_rims)
        self._update_work()
        self._knobs.update()
        self._looking.update()
        self._sheet.update()

    def _update_work(self) -> None:
        work = self._job.session.work
        self._work.set_visibility(work is not None)
        if work is not None:
            self._stage.set_text(work.stage)
            self._share.value = work.share

    def _begin_pour(self, mix: ToPour) -> None:
        self._job.session.begin_pour(mix)
        self._tabs.value = "pour"


def no_such_job() -> None:
    """What is seen under the address of a job that was put away."""
    with ui.element("main").classes("bench alone"):
        ui.html("<h1>moldvol <span>bench</span></h1>", sanitize=False)
        ui.label("This job was put away: nobody had looked at it for half an hour, or the bench was started anew.")
        ui.link("Begin a new one", "/").classes("strong-button")

"""The weigh-out at the bench: one big figure at a time, for gloves and arm's length."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from nicegui import ui

from moldvol.casting.pour_book import PourBook, Result
from moldvol.errors import MoldvolError
from moldvol.materials.shelf import Shelf
from moldvol.page.job import Job
from moldvol.page.pour import PourJob, PourStep
from moldvol.page.report_html import cautions_html
from moldvol.page.views.buttons import plain_button, strong_button
from moldvol.page.views.pot_clock import PotClock
from moldvol.present import numbers
from moldvol.present.mixing.weigh_out import decimals_of
from moldvol.quantities import parse_mass_g

RESULTS: dict[Result, str] = {"good": "came out good", "short": "mould not full", "spoiled": "spoiled"}


class PourPanel:
    """Draws the pour of a *job* and what is done to it; the finished pour goes into *book*."""

    def __init__(self, job: Job, shelf: Shelf, book: PourBook) -> None:
        self._job, self._shelf, self._book = job, shelf, book
        self._root = ui.element("section").classes("pour").props('aria-label="The pour"')
        # Read aloud only if it was there before its words changed: it must not be drawn anew with the rest.
        self._aloud = ui.label("").classes("unseen").props('aria-live="assertive"').props("data-is=aloud")
        self._next: ui.button | None = None
        self.update()

    def update(self) -> None:
        """Draw the pour anew."""
        self._root.clear()
        self._next = None
        pour = self._job.session.pour
        self._aloud.set_text(_aloud(pour))
        with self._root:
            if pour is None:
                self._draw_start()
            elif pour.entered is not None:
                self._draw_entered(pour)
            elif pour.finished:
                self._draw_end(pour)
            else:
                self._draw_cup(pour)

    def set_visibility(self, visible: bool) -> None:
        """Show or hide the pour."""
        self._root.set_visibility(visible)

    # ---- before

    def _draw_start(self) -> None:
        ui.html("<h2>Weigh out</h2>", sanitize=False)
        ui.label("Take a mix here with 'To the scale' on a sheet, or type an amount to mix.").classes("quiet")
        with ui.element("div").classes("entry"):
            resins = {key: resin.name for key, resin in self._shelf.resins.items()}
            ui.select(
                resins,
                label="Resin or rubber",
                value=self._job.session.asked.resin,
                on_change=lambda event: self._job.turn("resin", str(event.value)),
            ).props('outlined stack-label behavior="menu" aria-label="Resin or rubber"')
            amount = ui.input("Amount", placeholder="205g or 180ml").props(
                'outlined stack-label aria-label="Amount" autocomplete="off"'
            )
            amount.props("data-is=amount").on("keydown.enter", lambda: self._begin(amount))
            strong_button("Begin", lambda: self._begin(amount))
        self._fault_line()

    def _begin(self, amount: ui.input) -> None:
        self._try(lambda: self._job.session.begin_amount(str(amount.value or ""), self._shelf))

    # ---- the cup

    def _draw_cup(self, pour: PourJob) -> None:
        plan, steps = pour.plan, pour.steps()
        now = pour.current
        cup = f", cup {pour.cup + 1} of {len(pour.cups)}" if len(pour.cups) > 1 else ""
        with ui.element("details").props("" if pour.poured else "open").classes("pour-cautions"):
            ui.html("Cautions", sanitize=False, tag="summary")
            ui.html(cautions_html(plan.cautions), sanitize=False)
        ui.label(f"{plan.request.resin.name}{cup}").classes("pour-title")
        if now is not None:
            self._draw_now(pour, now)
        else:
            self._draw_full(pour)
        clock = PotClock()
        clock.set(pour.left_s(), plan.one_cup_life_s)
        self._draw_steps(pour, steps)
        for notice in plan.notices:
            if notice.code in ("surplus", "over-poured"):
                ui.label(notice.message).classes("mind")

    def _draw_now(self, pour: PourJob, now: PourStep) -> None:
        target = _grams(now.reading_g, pour)
        verb = "more of" if now.poured_g else "of"
        with ui.element("div").classes("now").props("data-is=now"):
            ui.label(now.name).classes("now-part")
            ui.label("pour until the scale shows").classes("quiet")
            ui.label(target).classes("now-reading").props("data-is=reading")
            ui.label(f"{_grams(now.to_add_g, pour)} {verb} {now.name}").classes("quiet")
        self._next = strong_button(f"It shows {target}", lambda: self._do(pour.tick), huge=True).props("data-is=tick")
        with ui.element("div").classes("entry"):
            shown = ui.input("It shows something else", placeholder=target).props(
                'outlined stack-label inputmode="decimal" aria-label="What the scale shows" autocomplete="off"'
            )
            shown.props("data-is=shown").on("keydown.enter", lambda: self._type(pour, shown))
            plain_button("Enter", lambda: self._type(pour, shown)).props("data-is=enter")
        self._fault_line()
        with ui.element("div").classes("actions"):
            if pour.can_go_back:
                plain_button("Back", lambda: self._do(pour.back))
            if pour.mixed_at is None and pour.poured:
                plain_button("The parts have met: start the clock", lambda: self._do(pour.start_clock))
            self._leave_button()

    def _draw_full(self, pour: PourJob) -> None:
        last = pour.cup + 1 == len(pour.cups)
        with ui.element("div").classes("now").props("data-is=now"):
            ui.label("All in the cup").classes("now-part")
            ui.label(_grams(pour.in_cup_g, pour)).classes("now-reading")
            ui.label("mix, and pour").classes("quiet")
        word = "It is in the mould" if last else "It is in the mould: next cup"
        self._next = strong_button(word, lambda: self._do(pour.empty_cup), huge=True).props("data-is=emptied")
        with ui.element("div").classes("actions"):
            plain_button("Back", lambda: self._do(pour.back))
            self._leave_button()

    def _draw_steps(self, pour: PourJob, steps: tuple[PourStep, ...]) -> None:
        signs = {"done": "✓", "now": "→", "later": "·"}
        words = {"done": "in the cup", "now": "now", "later": "then to"}
        with ui.element("ol").classes("steps").props('aria-label="Order of pouring"'):
            for step in steps:
                with ui.element("li").classes(step.state):
                    ui.label(signs[step.state]).props('aria-hidden="true"')
                    ui.label(step.name)
                    ui.label(words[step.state]).classes("quiet")
                    ui.label(_grams(step.reading_g, pour)).classes("step-reading")

    # ---- after

    def _draw_end(self, pour: PourJob) -> None:
        ui.html("<h2>For the pour book</h2>", sanitize=False)
        ui.label(f"{numbers.mass(pour.emptied_g)} were mixed, {numbers.mass(pour.planned_g)} planned.")
        with ui.element("div").classes("entry column"):
            left = ui.input("Left over to use elsewhere", value="0g").props('outlined stack-label inputmode="decimal"')
            result = ui.radio(dict(RESULTS), value="good").props('aria-label="How it came out"')
            note = ui.input("Note").props("outlined stack-label")
            mould = ui.input("Mould", value=pour.mould).props("outlined stack-label")
        self._fault_line()
        with ui.element("div").classes("actions"):
            strong_button(
                "Into the pour book",
                lambda: self._enter(pour, left.value, result.value, note.value, mould.value),
            ).props("data-is=into-book")
            plain_button("Leave it out", self._job.session.end_pour)

    def _enter(self, pour: PourJob, left: Any, result: Result, note: Any, mould: Any) -> None:
        def enter() -> None:
            pour.mould = str(mould or "").strip()
            line = pour.for_the_book(
                left_over_g=parse_mass_g(str(left or "0")), result=result, note=str(note or "").strip()
            )
            pour.entered = self._book.add(line)
            self._job.session.changed("pour")

        self._try(enter)

    def _draw_entered(self, pour: PourJob) -> None:
        ui.html("<h2>In the pour book</h2>", sanitize=False)
        entered = pour.entered
        if entered is not None:
            ui.label(f"Pour {entered.number}: {numbers.mass(entered.actual_g)} of {pour.cups[0].resin.name}.").props(
                "data-is=entered"
            )
        strong_button("Next pour", self._job.session.end_pour)

    # ---- common

    def _leave_button(self) -> None:
        plain_button("Give up this pour", self._job.session.end_pour)

    def _fault_line(self) -> None:
        self._fault = ui.label("").classes("fault").props('role="alert"').props("data-is=pour-fault")

    def _do(self, action: Callable[[], None]) -> None:
        def done() -> None:
            action()
            self._job.session.changed("pour")
            if (
                self._next is not None
            ):  # the button that was pressed is gone; whoever has no mouse goes on with this one
                ui.run_javascript(f"getHtmlElement({self._next.id})?.focus({{preventScroll: true}})")

        self._try(done)

    def _type(self, pour: PourJob, shown: ui.input) -> None:
        self._do(lambda: pour.pour_to(parse_mass_g(str(shown.value or ""))))

    def _try(self, action: Callable[[], None]) -> None:
        try:
            action()
        except MoldvolError as error:
            self._fault.set_text(error.message)


def _aloud(pour: PourJob | None) -> str:
    """What is to be done now, for those who hear the page."""
    if pour is None or pour.finished:
        return ""
    now = pour.current
    if now is None:
        return f"All in the cup, {_grams(pour.in_cup_g, pour)}: mix, and pour."
    return f"{now.name}: pour until the scale shows {_grams(now.reading_g, pour)}."


def _grams(mass_g: float, pour: PourJob) -> str:
    return f"{mass_g:.{decimals_of(pour.step_g)}f} g"

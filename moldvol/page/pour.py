"""Weighing out at the bench, step by step: what the scale is to show, what was really poured, how long is left.

Masses in g, times in s. Everything of one pot goes into one cup on the scale, so a reading is that of the whole cup.
Nothing that is poured can be taken out again: too much of one part makes the others more.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from moldvol.casting.mixing.mix import plan_request
from moldvol.casting.mixing.recipe import Component, MixPlan, MixRequest
from moldvol.casting.pour_book import Pour, Result
from moldvol.errors import RequestError

if TYPE_CHECKING:
    from moldvol.casting.mixing.pots import PotPlan

State = Literal["done", "now", "later"]
MOST_READING_G = 1e6


@dataclass(frozen=True, slots=True)
class PourStep:
    """One thing that goes into the cup: pour until the scale shows ``reading_g``, which is ``to_add_g`` more of it.

    Of what is done, ``reading_g`` is how much went in.
    """

    name: str
    state: State
    reading_g: float
    to_add_g: float
    poured_g: float


@dataclass(slots=True, kw_only=True)
class PourJob:
    """One mix on its way from the cans into the mould, pot by pot.

    ``cups`` are the recipes of the pots in order, ``poured`` what is in the cup now, ``mixed_at`` when its parts met.
    """

    title: str
    mould: str
    planned_g: float
    net_g: float | None
    cups: tuple[MixRequest, ...]
    clock: Callable[[], float] = time.monotonic
    cup: int = 0
    poured: dict[str, float] = field(default_factory=dict)
    mixed_at: float | None = None
    emptied_g: float = 0.0
    finished: bool = False
    entered: Pour | None = None
    _before: list[dict[str, float]] = field(default_factory=list)

    @property
    def plan(self) -> MixPlan:
        """The recipe of this cup, corrected for what is in it."""
        return plan_request(replace(self.cups[self.cup], poured=dict(self.poured)))

    @property
    def step_g(self) -> float:
        """The step of the scale's display."""
        return self.cups[self.cup].scale.readability_g

    @property
    def in_cup_g(self) -> float:
        """What the scale shows now."""
        return round(math.fsum(self.poured.values()), 6)

    def steps(self) -> tuple[PourStep, ...]:
        """What goes into this cup, in order. An over-poured part makes an earlier one come up again."""
        found, current = [], True
        for component in self.plan.components:
            done = self._is_done(component)
            state: State = "done" if done else "now" if current else "later"
            current = current and done
            reading = component.poured_g if done else component.scale_reading_g
            found.append(PourStep(component.name, state, reading, component.to_add_g, component.poured_g))
        return tuple(found)

    @property
    def current(self) -> PourStep | None:
        """What is to be poured now; None when the cup is complete."""
        return next((step for step in self.steps() if step.state == "now"), None)

    def tick(self) -> None:
        """The scale shows what it should: on to the next."""
        step = self.current
        if step is not None:
            self.pour_to(step.reading_g)

    def pour_to(self, reading_g: float) -> None:
        """The scale shows *reading_g* with the current part in the cup.

        Raises `RequestError` for a reading below what was in the cup before, or when the cup is complete.
        """
        step = self.current
        if step is None:
            raise RequestError("This cup is complete; pour it out, and go on to the next.")
        if not math.isfinite(reading_g) or reading_g > MOST_READING_G:
            raise RequestError(f"{reading_g:g} g is no reading of a bench scale; type what its display shows.")
        added = reading_g - self.in_cup_g
        if added < -self.step_g / 2:
            raise RequestError(
                f"{reading_g:g} g is less than the {self.in_cup_g:g} g in the cup already; type the reading of the "
                "whole cup, or go back a step."
            )
        self._before.append(dict(self.poured))
        self.poured[step.name] = round(self.poured.get(step.name, 0.0) + max(0.0, added), 6)
        if self.mixed_at is None and self._parts_have_met():
            self.start_clock()

    def back(self) -> None:
        """Take back the last entry, not the resin."""
        if self._before:
            self.poured = self._before.pop()
            if not self._parts_have_met():
                self.mixed_at = None

    @property
    def can_go_back(self) -> bool:
        """Whether there is an entry to take back."""
        return bool(self._before)

    def start_clock(self) -> None:
        """The parts have met: the pot life runs."""
        self.mixed_at = self.clock()

    def left_s(self) -> float | None:
        """Time left to pour this cup, below zero when it is over; None before its parts have met."""
        return None if self.mixed_at is None else self.plan.one_cup_life_s - (self.clock() - self.mixed_at)

    def empty_cup(self) -> None:
        """This cup is in the mould: on to the next, or to the end."""
        self.emptied_g += self.in_cup_g
        self.poured, self.mixed_at, self._before = {}, None, []
        if self.cup + 1 < len(self.cups):
            self.cup += 1
        else:
            self.finished = True

    def for_the_book(self, *, left_over_g: float = 0.0, result: Result = "good", note: str = "") -> Pour:
        """The line for the pour book. Raises `RequestError` for more left over than was poured."""
        actual_g = self.emptied_g + self.in_cup_g - left_over_g
        if left_over_g < 0 or actual_g < 0:
            raise RequestError(
                f"{left_over_g:g} g cannot be left over of {self.emptied_g + self.in_cup_g:g} g; type what is left in "
                "the cup to use elsewhere."
            )
        request = self.cups[0]
        return Pour(
            resin=request.resin.key,
            mould=self.mould,
            planned_g=self.planned_g,
            actual_g=actual_g,
            net_g=self.net_g,
            room_c=request.bench_c,
            result=result,
            note=note,
        )

    def _is_done(self, component: Component) -> bool:
        return component.name in self.poured and component.to_add_g <= self.step_g / 2 + 1e-9

    def _parts_have_met(self) -> bool:
        roles = {component.name: component.role for component in self.plan.components}
        return sum(grams > 0 and roles[name] != "addition" for name, grams in self.poured.items()) > 1


def cups_of(request: MixRequest, pots: PotPlan | None) -> tuple[MixRequest, ...]:
    """The recipes to weigh: one for each of the *pots*, or all of *request* in one cup."""
    return tuple(pot.mix.request for pot in pots.pots) if pots else (request,)

"""Cure and conduction together, from the pour until the body has set and is cooling.

Method: Strang splitting, half a step of cure in every cell, a step of conduction, half a step of cure (second order).
The step follows the fastest cell. Heat released is compared with heat stored and heat lost through the film on every
run.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from moldvol.casting.heat.cells import Cells, Floats
from moldvol.casting.heat.conduction import Conductor
from moldvol.casting.heat.cure import conversion, react, speed_per_s
from moldvol.casting.heat.record import Course, Moment, Recorder
from moldvol.materials.kinetics import Kinetics


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How far one step may go: the cure's warming and conversion of any cell, and conduction's change of any cell."""

    rise_k: float = 4.0
    conversion: float = 0.05
    conduction_k: float = 6.0
    growth: float = 1.5


def solve(
    cells: Cells,
    law: Kinetics,
    *,
    end_s: float,
    pace: Pace | None = None,
    finished: Callable[[Recorder], bool] | None = None,
    start_conversion: float = 0.0,
) -> Course:
    """Run until exactly *end_s*, or until *finished* says so after a step."""
    run = _Run(cells, law, pace or Pace(), start_conversion)
    record = Recorder(cells, law.gel_conversion, run.moment())
    while run.time_s < end_s and not (finished and finished(record)):
        run.advance(end_s - run.time_s)
        record.add(run.moment())
    return record.course()


class _Run:
    """The marching state: ``u`` is −ln(1 − α) of the resin cells; ``state`` temperatures and, last, heat lost."""

    def __init__(self, cells: Cells, law: Kinetics, pace: Pace, start_conversion: float) -> None:
        self.law, self.pace, self.resin = law, pace, cells.resin
        self.conductor = Conductor.of(cells)
        self.rise_k = cells.heat_j[self.resin] / cells.capacity_j_k[self.resin]
        self.u = np.full(len(self.resin), -np.log1p(-start_conversion))
        self.state = np.append(cells.start_c, 0.0)
        self.time_s = 0.0
        self.step_s = self.conductor.explicit_limit_s

    def moment(self) -> Moment:
        return Moment(self.time_s, self.state[:-1], conversion(self.u), float(self.state[-1]))

    def advance(self, left_s: float) -> None:
        step = min(self.step_s, self._cure_limit_s(), self.conductor.longest_step_s)
        # the last two steps share what is left, so none is a sliver
        step = left_s if step >= left_s else min(step, max(left_s / 2, left_s - step))
        before = self._cured(self.state, step / 2)
        conducted = self.conductor.after(before, step)
        change = float(np.max(np.abs(conducted[:-1] - before[:-1])))
        self.state = self._cured(conducted, step / 2)
        self.time_s += step
        self.step_s = step * float(np.clip(self.pace.conduction_k / max(change, 1e-12), 0.5, self.pace.growth))

    def _cure_limit_s(self) -> float:
        if not len(self.resin):
            return np.inf
        rate = speed_per_s(self.law, self.u, self.state[self.resin]) * np.exp(-self.u)
        allowed = np.minimum(self.pace.conversion, self.pace.rise_k / self.rise_k)
        return float(1 / max(np.max(rate / allowed), 1e-30))

    def _cured(self, state: Floats, seconds: float) -> Floats:
        cured = state.copy()
        self.u, cured[self.resin] = react(self.law, self.u, state[self.resin], self.rise_k, seconds, self.pace.rise_k)
        return cured

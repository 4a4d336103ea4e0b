"""Cure and conduction together, from the pour until the body has set and is cooling.

Method: in each step every cell cures with conduction held at its rate, then conduction spreads what was released as a
source that is steady over the step. Second order in the step; a balance of cure and conduction is kept exactly, which
splitting into one after the other would not do. The step follows the fastest cell. Heat released is compared with heat
stored and heat lost through the film on every run.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from moldvol.casting.heat.cells import Cells, Floats
from moldvol.casting.heat.conduction import Conductor
from moldvol.casting.heat.cure import Charge, conversion, react
from moldvol.casting.heat.record import Course, Moment, Recorder
from moldvol.materials.chemistry.kinetics import Kinetics

SHARP_BEND_K = 10.0  # between a cell and its neighbours' mean; about half of what doubles a cure's rate
# of the explicit limit: a cell that cures as fast as it may then does a fifteenth of what is left in one step, which
# the cure itself takes in finer parts; without it a cure front is followed kelvin by kelvin through every cell
SHORTEST_STEP = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How far one step may go: the cure's warming and conversion of any cell, and conduction's change of any cell."""

    rise_k: float = 3.0
    conversion: float = 0.03
    conduction_k: float = 4.0
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
        self.pace, self.resin = pace, cells.resin
        self.conductor = Conductor.of(cells)
        rise_k = cells.heat_j[self.resin] / cells.capacity_j_k[self.resin]
        self.crossing_per_s = _crossing_per_s(cells)[self.resin]
        self.bend_k = np.zeros(len(self.resin))
        no_limit, no_drift = np.full(len(self.resin), np.inf), np.zeros(len(self.resin))
        self.charge = Charge(law, rise_k, no_limit, no_drift)
        self.u = np.full(len(self.resin), -np.log1p(-start_conversion))
        self.state = np.append(cells.start_c, 0.0)
        self.time_s = 0.0
        self.step_s = self.conductor.explicit_limit_s

    def moment(self) -> Moment:
        return Moment(self.time_s, self.state[:-1], conversion(self.u), float(self.state[-1]))

    def advance(self, left_s: float) -> None:
        shortest = SHORTEST_STEP * self.conductor.explicit_limit_s
        step = min(self.step_s, max(self._cure_limit_s(), shortest), self.conductor.longest_step_s)
        # the last two steps share what is left, so none is a sliver
        step = left_s if step >= left_s else min(step, max(left_s / 2, left_s - step))
        warming_k = np.zeros_like(self.state)
        warming_k[self.resin] = self._cure(step)
        after = self.conductor.after(self.state, step, warming_k / step)
        change = float(np.max(np.abs((after - self.state - warming_k)[:-1])))
        self.state = after
        self.time_s += step
        self.step_s = step * float(np.clip(self.pace.conduction_k / max(change, 1e-12), 0.5, self.pace.growth))

    def _cure(self, step: float) -> Floats:
        """(r,): the warming by what cures in *step*, while conduction goes on as at its start."""
        # next to a sudden step in temperature conduction is large and gone at once: bounded
        most = self.pace.conduction_k / step
        conduction = self.conductor.rate(self.state)[self.resin]
        # remembered while heat crosses the cell: a cell that the front lights passes through no bend at all
        faded = self.bend_k * np.exp(-step * self.crossing_per_s)
        self.bend_k = np.maximum(np.abs(conduction) / self.crossing_per_s, np.maximum(faded, 1e-3))
        charge = replace(
            self.charge,
            drift_k_s=np.clip(conduction, -most, most),
            fastest_per_s=self.crossing_per_s * (1 + (SHARP_BEND_K / self.bend_k) ** 2),
        )
        before = np.exp(-self.u)
        self.u = react(charge, self.u, self.state[self.resin], step, self.pace.rise_k)
        return np.asarray(self.charge.rise_k * (before - np.exp(-self.u)))

    def _cure_limit_s(self) -> float:
        if not len(self.resin):
            return np.inf
        heating = self.charge.heating_k_s(self.u, self.state[self.resin])
        allowed = np.minimum(self.pace.conversion * self.charge.rise_k, self.pace.rise_k)
        return float(1 / max(np.max(heating / allowed), 1e-30))


def _crossing_per_s(cells: Cells) -> Floats:
    """(n,): 2 a/h² for diffusivity a, how fast heat crosses each cell.

    In a runaway the cure runs through the resin as a front that may be thinner than a cell. Cells would then light one
    after the other, each preheated and so hotter than adiabatic: measured on a slab of 100 mm, 299 °C where fine cells
    give 262 and full heat 265. So where the temperature bends sharply from cell to cell, du/dt is held to about this
    pace: the front is then as thick as a cell and the peak keeps below adiabatic on every grid. The limit vanishes as
    cells shrink.
    """
    faces = np.maximum(np.diff(cells.exchange_w_k.indptr) - 1, 1)
    return np.asarray(-2 * cells.exchange_w_k.diagonal() / faces / cells.capacity_j_k)

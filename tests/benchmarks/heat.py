"""Time of the heat model: a 750 cm³ part in its mould to the end of cure, its growth with cells, and one step's rival.

``python -m tests.benchmarks heat`` prints the rows. The promise: a 750 cm³ part to the end of cure in at most 10 s on
two cores. "Peer" says what was found, or is the same minute of conduction by Crank-Nicolson with conjugate gradients.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from math import log, pi
from typing import TypeVar

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import cg

from moldvol.casting.heat.cells import Film
from moldvol.casting.heat.conduction import Conductor
from moldvol.casting.heat.cup import CupTest, calibrate
from moldvol.casting.heat.part import Mould, PartCells
from moldvol.casting.heat.plan import plan_heat
from moldvol.casting.heat.pour import Pour, in_part
from moldvol.casting.heat.record import Course
from moldvol.materials.chemistry.thermal import MOULD_MATERIALS
from tests.benchmarks.measuring import Line, times
from tests.depths import ball_depth

MOST_SECONDS = 10.0
VOLUME_MM3 = 750_000.0
MOULD = Mould(substance=MOULD_MATERIALS["silicone"], thickness_mm=15, start_c=22)
SHEETS = (
    CupTest(name="fast", kind="polyurethane", pot_life_s=180, pot_life_mass_g=100, peak_c=110),
    CupTest(name="slow", kind="epoxy", pot_life_s=2700, pot_life_mass_g=100, peak_c=120),
    CupTest(name="runaway", kind="epoxy", pot_life_s=2400, pot_life_mass_g=100),
)
CELLS = (6_000, 12_000, 24_000, 48_000)

Made = TypeVar("Made")


@dataclass(frozen=True)
class Spent:
    """Time by the clock, and time that the cores were busy with it."""

    clock_s: float
    busy_s: float

    def __str__(self) -> str:
        return f"{self.clock_s:.2f} s, cores busy {self.busy_s:.2f} s"


def run() -> list[Line]:
    """One line for each resin and number of cells, for the whole plan, and for a minute of conduction."""
    part = ball_depth((VOLUME_MM3 * 3 / 4 / pi) ** (1 / 3), points=250_000)
    lines: list[Line] = []
    for sheet in SHEETS:
        usual = calibrate(sheet).usual
        pour = Pour(resin=usual.resin, law=usual.law, mould=MOULD, room=Film(air_c=22), start_c=22)
        lines += _growth(sheet.name, lambda size, pour=pour: in_part(part, pour, size))
        spent, plan = _timed(lambda sheet=sheet: plan_heat(part, sheet, MOULD, room_c=22))
        what = f"750 cm³ in {sheet.name} resin, whole plan with band, sections and remedies"
        lines.append(Line(what, str(spent), f"{plan.cells} cells", ""))
    return [*lines, _minute(in_part(part, pour, 2.66)[0])]


def _growth(resin: str, solve: Callable[[float], tuple[PartCells, Course]]) -> list[Line]:
    lines, before = [], None
    for cells in CELLS:
        spent, (placed, course) = _timed(lambda cells=cells: solve((VOLUME_MM3 / cells) ** (1 / 3)))
        # growth by what the core was busy, which other work on the machine does not change
        grown = "" if before is None else f"time ∝ cells^{log(spent.busy_s / before) / log(2):.2f}"
        before = spent.busy_s
        found = f"{len(placed.cells.heat_j)} cells, {len(course.time_s)} steps, peak {course.peak_c:.1f} °C"
        lines.append(Line(f"750 cm³ in {resin} resin, {cells} in the resin", str(spent), found, grown))
    return lines


def _minute(placed: PartCells) -> Line:
    """A minute of conduction in a part that has been hot for a while."""
    conductor = Conductor.of(placed.cells)
    warm = np.append(np.where(placed.cells.heat_j > 0, 100.0, 22.0), 0.0)
    warm = conductor.after(warm, 300.0)
    ours = _timed(lambda: conductor.after(warm, 60.0))[0].busy_s
    theirs = _timed(lambda: _crank_nicolson(placed, warm[:-1], 60.0))[0].busy_s
    cells = len(placed.cells.heat_j)
    return Line(
        f"a minute of conduction, {cells} cells", f"{ours * 1e3:.1f} ms", f"{theirs * 1e3:.1f} ms", times(theirs, ours)
    )


def _crank_nicolson(placed: PartCells, start: np.ndarray, seconds: float) -> np.ndarray:
    cells = placed.cells
    flow = cells.exchange_w_k - sparse.diags_array(cells.film_w_k)
    system = sparse.csr_matrix(sparse.diags_array(cells.capacity_j_k) - seconds / 2 * flow)
    right = cells.capacity_j_k * start + seconds * (flow @ start / 2 + cells.film_w)
    scaling = sparse.diags_array(1 / system.diagonal())
    return cg(system, right, x0=start, rtol=1e-8, M=scaling)[0]


def _timed(work: Callable[[], Made]) -> tuple[Spent, Made]:
    begun, idle = time.perf_counter(), time.process_time()
    made = work()
    return Spent(time.perf_counter() - begun, time.process_time() - idle), made

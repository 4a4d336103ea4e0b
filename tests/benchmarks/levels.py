"""Time for levels of liquid: one mould held and vented, and the search over 26 pour directions.

``python -m tests.benchmarks levels`` prints the lines. The promise: 700,000 points in the cavity and 26 directions in
at most 15 s on two cores.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from moldvol.geometry.directions import Nets, rank_directions, rank_standings
from moldvol.geometry.levels import StandingMould
from moldvol.geometry.mesh import Mesh
from tests import shapes
from tests.benchmarks.measuring import Line

MOST_SECONDS = 15.0


def run() -> list[Line]:
    """One line for each job: what, seconds, and in the peer's column the figure it came to."""
    ring = shapes.turned(shapes.torus(40, 12, sections=256).mesh, seed=3)
    fork = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    bowl = shapes.lathe([(0, -60), (60, -60), (60, 0), (50, 0), (35, -35), (0, -50)], 256)
    return [
        _line("nets of a ring, points inside", ring, lambda: _cells(Nets.inside(ring))),
        _line("26 directions, ring, mm³ of air", ring, lambda: rank_directions(ring)[0].trapped_air_mm3),
        _line("26 directions, fork, mm³ of air", fork, lambda: rank_directions(fork)[-1].trapped_air_mm3),
        _line("26 standings, bowl, mm³ held", bowl, lambda: rank_standings(bowl)[0].held_volume_mm3),
        _line("held and vented, bowl, mm³ held", bowl, lambda: _held(bowl)),
    ]


def _line(what: str, mesh: Mesh, job: Callable[[], float]) -> Line:
    start = time.perf_counter()
    figure = job()
    seconds = time.perf_counter() - start
    return Line(f"{what}, {len(mesh.faces):,} triangles", f"{seconds:.2f} s", f"found {figure:,.1f}", "")


def _cells(nets: Nets) -> float:
    return nets.spaces[0].volume_mm3 / nets.spaces[0].grid.cell_mm3


def _held(mesh: Mesh) -> float:
    mould = StandingMould.of(mesh)
    mould.air()
    return mould.held().volume_mm3

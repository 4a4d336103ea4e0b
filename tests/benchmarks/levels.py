"""Time for levels of liquid: one mould held and vented, and the search over 26 pour directions.

``python -m tests.benchmarks.levels`` prints the rows. The promise: 700,000 points in the cavity and 26 directions in at
most 15 s on two cores.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from moldvol.geometry.directions import Nets, rank_directions, rank_standings
from moldvol.geometry.levels import StandingMould
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.triangles import measures
from tests import shapes

MOST_SECONDS = 15.0

Row = dict[str, str | int | float]


def run() -> list[Row]:
    """One row for each job: what, triangles, seconds, and the figure it came to."""
    ring = shapes.turned(shapes.torus(40, 12, sections=256).mesh, seed=3)
    fork = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    bowl = shapes.lathe([(0, -60), (60, -60), (60, 0), (50, 0), (35, -35), (0, -50)], 256)
    return [
        _row("nets of a ring", ring, lambda: _cells(Nets.inside(ring))),
        _row("26 directions, ring", ring, lambda: rank_directions(ring)[0].trapped_air_mm3),
        _row("26 directions, fork", fork, lambda: rank_directions(fork)[-1].trapped_air_mm3),
        _row("26 standings, bowl", bowl, lambda: rank_standings(bowl)[0].held_volume_mm3),
        _row("held and vented, bowl", bowl, lambda: _held(bowl)),
    ]


def _row(what: str, mesh: Mesh, job: Callable[[], float]) -> Row:
    start = time.perf_counter()
    figure = job()
    seconds = time.perf_counter() - start
    volume = abs(measures(mesh).signed_volume_mm3)
    return {
        "what": what,
        "triangles": len(mesh.faces),
        "volume_mm3": round(volume, 1),
        "seconds": round(seconds, 2),
        "figure": round(figure, 3),
    }


def _cells(nets: Nets) -> float:
    return nets.spaces[0].volume_mm3 / nets.spaces[0].grid.cell_mm3


def _held(mesh: Mesh) -> float:
    mould = StandingMould.of(mesh)
    mould.air()
    return mould.held().volume_mm3


if __name__ == "__main__":
    for row in run():
        print(row)

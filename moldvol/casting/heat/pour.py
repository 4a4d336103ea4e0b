"""One pour: which resin, how fast, into which mould, in which room; and its course in a part or in a plain section."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np

from moldvol.casting.heat.cells import Cells, Film, Layer
from moldvol.casting.heat.depth import PartDepth, regrid
from moldvol.casting.heat.layers import Form, layered
from moldvol.casting.heat.part import Lift, Mould, PartCells, part_cells
from moldvol.casting.heat.record import Course, Recorder
from moldvol.casting.heat.solver import solve
from moldvol.errors import RequestError
from moldvol.materials.chemistry.kinetics import Kinetics
from moldvol.materials.chemistry.thermal import ResinThermal

CURED_SHARE = 0.9  # of the heat is out: what comes after is slow and cool
COOLED_SHARE = 0.1  # of its rise the hottest place has lost: the peak is past, and the mould's face has had its own
FEWEST_CELLS, THINNEST_CELL_MM = 6, 0.1  # of resin along a section
LEAST_MOST_CELLS = 24  # of mould beside it
COOLEST_C, HOTTEST_C = -20.0, 120.0  # of anything at the pour; beyond it the figure was typed in another unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """What one run needs beside the shape. ``start_c`` is the mixed resin's temperature."""

    resin: ResinThermal
    law: Kinetics
    mould: Mould
    room: Film
    start_c: float

    def __post_init__(self) -> None:
        for what, value in (("resin", self.start_c), ("mould", self.mould.start_c), ("room", self.room.air_c)):
            if not COOLEST_C <= value <= HOTTEST_C:
                raise RequestError(
                    f"A {what} at {value:g} °C is outside {COOLEST_C:g} to {HOTTEST_C:g} °C; give it in °C."
                )
        if not 0 <= self.mould.thickness_mm <= 1000:
            raise RequestError(
                f"A mould {self.mould.thickness_mm:g} mm thick cannot be reckoned with; give 0 to 1000 mm."
            )

    def with_rate(self, factor: float) -> Pour:
        """The same pour of a resin that is *factor* times as fast."""
        return replace(self, law=self.law.scaled(factor))

    def in_room(self, shift_k: float) -> Pour:
        """The same pour with room, mould and resin all *shift_k* warmer."""
        return replace(
            self,
            start_c=self.start_c + shift_k,
            mould=replace(self.mould, start_c=self.mould.start_c + shift_k),
            room=replace(self.room, air_c=self.room.air_c + shift_k),
        )

    @property
    def floor_c(self) -> float:
        """The hottest anything can be without the cure."""
        return max(self.start_c, self.mould.start_c, self.room.air_c)

    @property
    def adiabatic_c(self) -> float:
        """The hottest anything can be with all heat of the cure kept in."""
        return self.floor_c + self.resin.adiabatic_rise_k


def follow(cells: Cells, pour: Pour, *, stop_above_c: float = inf) -> Course:
    """The course of *cells* until they have cured and the peak is past, or until even cold resin would have.

    It ends early where *stop_above_c* is passed.
    """
    coldest = min(pour.start_c, pour.mould.start_c, pour.room.air_c)
    end_s = 1.5 * pour.law.time_to_s(CURED_SHARE, start_c=coldest)

    def done(record: Recorder) -> bool:
        cooled = record.peak_c - record.hottest_c >= COOLED_SHARE * (record.peak_c - pour.room.air_c)
        cured = record.all_gelled and record.mean_conversion >= CURED_SHARE
        return (cured and cooled) or record.peak_c > stop_above_c

    return solve(cells, pour.law, end_s=end_s, finished=done)


def in_part(
    part: PartDepth, pour: Pour, spacing_mm: float, *, wall_mm: float | None = None, lift: Lift | None = None
) -> tuple[PartCells, Course]:
    """The course in the *part*, on cubes of *spacing_mm*."""
    grid = regrid(part, spacing_mm, pour.mould.thickness_mm)
    return on_grid(grid, pour, wall_mm=wall_mm, lift=lift)


def on_grid(
    grid: PartDepth, pour: Pour, *, wall_mm: float | None = None, lift: Lift | None = None
) -> tuple[PartCells, Course]:
    """The course in a part that is on its final grid already."""
    placed = part_cells(grid, pour.resin, pour.mould, pour.room, start_c=pour.start_c, wall_mm=wall_mm, lift=lift)
    return placed, follow(placed.cells, pour)


def in_section(form: Form, half_mm: float, pour: Pour, *, cells: int = 24, stop_above_c: float = inf) -> Course:
    """The course in a slab of twice *half_mm*, or a cylinder or ball of that radius, in the mould.

    A slab from its mid-plane is also a hollow cast of the wall *half_mm*, whose inner face loses no heat. A thin coat
    gets fewer *cells*: heat crosses one of 0.05 mm in milliseconds, and following that takes for ever.
    """
    cells = min(cells, max(FEWEST_CELLS, round(half_mm / THINNEST_CELL_MM)))
    layers = [Layer.of_resin(pour.resin, half_mm, cells, pour.start_c)]
    thickness = pour.mould.thickness_mm
    if thickness > 0:
        # cells of the mould about as fine as the resin's, but never so fine that they rule the step
        count = int(np.clip(round(cells * thickness / half_mm), FEWEST_CELLS, max(2 * cells, LEAST_MOST_CELLS)))
        layers.append(
            Layer(substance=pour.mould.substance, thickness_mm=thickness, cells=count, start_c=pour.mould.start_c)
        )
    return follow(layered(form, layers, outside=pour.room), pour, stop_above_c=stop_above_c)

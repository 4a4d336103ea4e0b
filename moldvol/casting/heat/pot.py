"""A pot of mixed resin standing on the bench: how long before it gels, and how hot it gets.

The pot is a straight round cup as tall as it is wide, filled to the brim; its thin wall counts as air; top, side and
bottom lose heat through the same film. Cells are rings: radius and height.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from moldvol.casting.heat.cells import W_PER_MM_K, Cells, Contact, Film, Floats, exchange_matrix
from moldvol.casting.heat.record import Course, Recorder
from moldvol.casting.heat.solver import solve
from moldvol.errors import RequestError
from moldvol.materials.chemistry.kinetics import Kinetics
from moldvol.materials.chemistry.thermal import ResinThermal

RINGS, FLOORS = 10, 20  # halving both moves pot life by less than 1 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Pot:
    """Mixed resin in a cup; ``height_per_width`` of the liquid."""

    mass_g: float
    room: Film
    start_c: float
    height_per_width: float = 1.0

    def __post_init__(self) -> None:
        if not 0.1 <= self.mass_g <= 1e6:
            raise RequestError(f"A pot of {self.mass_g:g} g cannot be reckoned with; give 0.1 g to 1000 kg.")

    def radius_mm(self, density_g_cm3: float) -> float:
        """Inner radius of the cup."""
        volume = self.mass_g / density_g_cm3 * 1000
        return float((volume / (2 * pi * self.height_per_width)) ** (1 / 3))


def pot_cells(pot: Pot, resin: ResinThermal) -> Cells:
    """The rings of a *pot*; the core is on the axis at half height."""
    radius = pot.radius_mm(resin.substance.density_g_cm3)
    step, floor = radius / RINGS, 2 * radius * pot.height_per_width / FLOORS
    w_mm_k = resin.substance.conductivity_w_mk * W_PER_MM_K
    edges = step * np.arange(RINGS + 1)
    plan_area = np.repeat(pi * np.diff(edges**2)[:, None], FLOORS, axis=1)
    number = np.arange(RINGS * FLOORS).reshape(RINGS, FLOORS)
    sideways = np.repeat((2 * pi * edges[1:-1] * floor * w_mm_k / step)[:, None], FLOORS, axis=1)
    upwards = plan_area[:, 1:] * w_mm_k / floor
    film = _film(pot, plan_area, edges[-1], floor, step, resin.substance.conductivity_w_mk)
    volume = (plan_area * floor).ravel()
    none = np.zeros(0, dtype=np.int64)
    return Cells(
        exchange_w_k=exchange_matrix(
            np.concatenate([number[:-1].ravel(), number[:, :-1].ravel()]),
            np.concatenate([number[1:].ravel(), number[:, 1:].ravel()]),
            np.concatenate([sideways.ravel(), upwards.ravel()]),
            number.size,
        ),
        film_w_k=film,
        film_w=film * pot.room.air_c,
        capacity_j_k=volume * resin.substance.capacity_j_mm3k,
        heat_j=volume * resin.substance.density_g_cm3 * 1e-3 * resin.heat_of_reaction_j_g,
        start_c=np.full(number.size, float(pot.start_c)),
        contact=Contact(none, none, np.zeros(0)),
        core=FLOORS // 2,
        skin=number[-1],
    )


def _film(pot: Pot, plan_area: Floats, radius: float, floor: float, step: float, w_mk: float) -> Floats:
    film = np.zeros(plan_area.shape)
    film[-1] += pot.room.conductance_w_k(2 * pi * radius * floor, step / 2, w_mk)
    for end in (0, -1):
        film[:, end] += pot.room.conductance_w_k(plan_area[:, end], floor / 2, w_mk)
    return film.ravel()


def gel_time_s(pot: Pot, resin: ResinThermal, law: Kinetics) -> float:
    """When the first place in the *pot* gels: its pot life here."""
    # the coldest it can be all along, and a margin: by then it has gelled
    end_s = 1.2 * law.time_to_s(law.gel_conversion, start_c=min(pot.start_c, pot.room.air_c))
    course = solve(pot_cells(pot, resin), law, end_s=end_s, finished=lambda record: record.any_gelled)
    return float(np.min(course.gel_s))


def left_standing(pot: Pot, resin: ResinThermal, law: Kinetics) -> Course:
    """The course of a *pot* that is not poured out, until it cools."""
    end_s = 1.5 * law.time_to_s(0.9, start_c=min(pot.start_c, pot.room.air_c))

    def cooling(record: Recorder) -> bool:
        return record.core_gelled and record.peak_c - record.hottest_c > 0.05 * (record.peak_c - pot.room.air_c)

    return solve(pot_cells(pot, resin), law, end_s=end_s, finished=cooling)

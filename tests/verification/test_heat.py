"""Conduction, cure, and both together against solutions worked out elsewhere; each test names where from.

Slabs, cylinders, balls, parts and pots are all solved as the same kind of cells by the same steps.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from moldvol.casting.heat.cells import Film, Layer
from moldvol.casting.heat.layers import CYLINDER, SLAB, SPHERE, Form, layered
from moldvol.casting.heat.record import Course
from moldvol.casting.heat.solver import Pace, solve
from moldvol.materials.grade import Grade
from moldvol.materials.kinetics import GAS_CONSTANT_J_MOLK, Kinetics
from moldvol.materials.thermal import Substance

FORMS = {"slab": SLAB, "cylinder": CYLINDER, "sphere": SPHERE}
INERT = Kinetics(k1_per_s=1e-9)
FINE = Pace(rise_k=1.0, conversion=0.01, conduction_k=0.5)
DAY_S = 86_400.0

# Set P: a fast polyurethane, input data of an EU FP7 polyurethane modelling project with the kinetics of Baser and
# Khakhar, Polym. Eng. Sci. 34 (1994) 632, without its water reaction. X is the conversion of OH, 5140 mol/m³ against
# 4455 of NCO.
X_END = 4455 / 5140
X_GEL = 0.606
SET_P = Kinetics(
    k1_per_s=5140 * math.exp(-35_140 / (GAS_CONSTANT_J_MOLK * 298.15)),
    energy_j_mol=35_140,
    n=1.0,
    s=X_END,
    gel_conversion=X_GEL / X_END,
    reference_c=25.0,
)
SET_P_HEAT_J_G = 68_500 * 4455 / 1100 / 1000


def substance(conductivity_w_mk: float, density_g_cm3: float, heat_capacity_j_gk: float) -> Substance:
    return Substance(
        name="test",
        density_g_cm3=density_g_cm3,
        conductivity_w_mk=conductivity_w_mk,
        heat_capacity_j_gk=heat_capacity_j_gk,
        grade=Grade("published"),
    )


def of_diffusivity(mm2_s: float, conductivity_w_mk: float = 1.0) -> Substance:
    """A substance of density 1 with that diffusivity."""
    return substance(conductivity_w_mk, 1.0, conductivity_w_mk / mm2_s)


POLYURETHANE = substance(0.2, 1.1, 1.8)


def cooled(form: Form, fourier: float, *, cells: int = 120) -> Course:
    """A body of half thickness 10 mm at 1 °C whose surface is held at 0 °C, until *fourier*."""
    layer = Layer(substance=of_diffusivity(1.0), thickness_mm=10, cells=cells, start_c=1.0)
    # from a jump of one kelvin: steps in proportion
    pace = Pace(conduction_k=0.003)
    return solve(layered(form, [layer], outside=Film.held(0.0)), INERT, end_s=fourier * 100, pace=pace)


# Series of Carslaw and Jaeger, Conduction of Heat in Solids, chapters III, VII and IX; Incropera, chapter 5.
SERIES = [
    ("slab", 0.05, 0.99687), ("slab", 0.1, 0.94931), ("slab", 0.2, 0.77231), ("slab", 0.5, 0.37078),
    ("slab", 1.0, 0.10798),
    ("cylinder", 0.05, 0.98710), ("cylinder", 0.1, 0.84836), ("cylinder", 0.2, 0.50149), ("cylinder", 0.5, 0.08889),
    ("cylinder", 1.0, 0.004932),
    ("sphere", 0.05, 0.96600), ("sphere", 0.1, 0.70710), ("sphere", 0.2, 0.27708), ("sphere", 0.5, 0.014384),
    ("sphere", 1.0, 0.00010345),
]  # fmt: skip
SERIES_ABS = 1e-4  # of the first jump; 120 cells


@pytest.mark.parametrize(("form", "fourier", "centre"), SERIES)
def test_conduction_follows_the_series(form, fourier, centre):
    assert cooled(FORMS[form], fourier).last.temperature_c[0] == approx(centre, abs=SERIES_ABS)


@pytest.mark.parametrize(
    ("form", "fourier", "mean"),
    [("slab", 0.1, 0.64318), ("slab", 0.5, 0.23605), ("sphere", 0.1, 0.22952), ("sphere", 0.2, 0.08450)],
)
def test_mean_follows_the_series(form, fourier, mean):
    edges = 10 * np.linspace(0, 1, 121)
    volume = np.diff(FORMS[form].volume_mm3(edges))
    found = cooled(FORMS[form], fourier).last.temperature_c
    # the cells' start next to the held surface costs a little more here: measured 2e-4
    assert np.average(found, weights=volume) == approx(mean, abs=3e-4)


def test_halving_cells_quarters_the_error():
    exact = 0.77231  # slab, Fourier number 0.2, as above; five digits
    pace = {"form": SLAB, "fourier": 0.2}
    errors = [abs(cooled(**pace, cells=cells).last.temperature_c[0] - exact) for cells in (5, 10, 20)]
    # the centre cell's centre is a quarter cell off axis as well: also second order
    assert errors[1] / errors[0] == approx(0.25, abs=0.1)
    assert errors[2] / errors[1] == approx(0.25, abs=0.1)


def test_egg_boils_as_in_the_textbook():
    # Çengel, Heat and Mass Transfer, example 4-3: ball of 25 mm radius from 5 °C in water of 95 °C; centre at 70 °C.
    # The book has 14.4 min from one term; the full series gives 14.36 min.
    egg = Layer(substance=of_diffusivity(0.151, 0.627), thickness_mm=25, cells=60, start_c=5.0)
    course = solve(layered(SPHERE, [egg], outside=Film(air_c=95, coefficient_w_m2k=1200)), INERT, end_s=1000, pace=FINE)
    assert np.interp(70, course.core_c, course.time_s) / 60 == approx(14.36, rel=5e-3)


def test_brass_plate_heats_as_in_the_textbook():
    # Çengel, example 4-4: 40 mm plate from 20 °C, 7 min in an oven at 500 °C; chart 282 °C, exact surface 279.6 °C.
    plate = Layer(substance=of_diffusivity(33.9, 110), thickness_mm=20, cells=20, start_c=20.0)
    oven = Film(air_c=500, coefficient_w_m2k=120)
    course = solve(layered(SLAB, [plate], outside=oven), INERT, end_s=420, pace=FINE)
    assert course.last.temperature_c[-1] == approx(279.6, abs=0.5)


def test_bead_follows_the_air_as_in_the_textbook():
    # Çengel, example 4-1: thermocouple bead of 1 mm, k 35, ρ 8500, c 320, h 210: 99 % in 9.94 s (book: 10 s).
    bead = Layer(substance=substance(35, 8.5, 0.32), thickness_mm=0.5, cells=4, start_c=0.0)
    air = Film(air_c=100, coefficient_w_m2k=210)
    course = solve(layered(SPHERE, [bead], outside=air), INERT, end_s=12, pace=Pace(conduction_k=0.1))
    assert np.interp(99, course.core_c, course.time_s) == approx(9.94, rel=5e-3)


@pytest.mark.parametrize(
    ("diffusivity", "start_c", "surface_c", "days", "depth_m"),
    [
        # Çengel, example 4-6 (0.78 m by chart), and Incropera's burial of water mains (book 0.68 m); both by erfc
        (0.15, 15.0, -10.0, 90, 0.801),
        (0.138, 20.0, -15.0, 60, 0.677),
    ],
)
def test_frost_goes_as_deep_as_in_the_textbooks(diffusivity, start_c, surface_c, days, depth_m):
    soil = Layer(substance=of_diffusivity(diffusivity), thickness_mm=6000, cells=300, start_c=start_c)
    cells = layered(SLAB, [soil], outside=Film.held(surface_c))
    temperature = solve(cells, INERT, end_s=days * DAY_S, pace=FINE).last.temperature_c
    from_surface = 6.0 - (np.arange(300) + 0.5) * 6.0 / 300
    assert np.interp(0.0, temperature[::-1], from_surface[::-1]) == approx(depth_m, rel=5e-3)


def test_hollow_ball_conducts_as_in_the_textbook():
    # Çengel, example 2-16: radii 80 and 100 mm, k 45, 200 °C inside, 80 °C outside: 27.14 kW.
    shell = Layer(substance=of_diffusivity(12.0, 45), thickness_mm=20, cells=60, start_c=140.0)
    outside = Film.held(80)
    cells = layered(SPHERE, [shell], outside=outside, inside=Film.held(200), inner_radius_mm=80)
    last = solve(cells, INERT, end_s=400).last.temperature_c
    through_w = cells.film_w_k[-1] * (last[-1] - 80)
    assert through_w / 1000 == approx(27.14, rel=1e-3)


def test_heated_wire_is_as_hot_as_in_the_textbook():
    # Çengel, example 2-17: 2000 W in 0.5 m of wire 4 mm thick, k 15, surface 105 °C: centre 126.2 °C.
    # A reaction of order zero with almost endless heat is a steady source.
    watt_mm3 = 2000 / (500 * math.pi * 2**2)
    steady = Kinetics(k1_per_s=1e-9, n=0.0)
    wire = Layer(
        substance=substance(15, 1.0, 1.0), thickness_mm=2, cells=40, start_c=105.0, heat_j_g=watt_mm3 / 1e-3 / 1e-9
    )
    course = solve(layered(CYLINDER, [wire], outside=Film.held(105)), steady, end_s=5, pace=FINE)
    assert course.last.temperature_c[0] == approx(126.2, abs=0.1)


@pytest.mark.parametrize(
    ("mould", "contact_c"), [(substance(0.35, 1.2, 1.0), 59.41), (substance(0.56, 1.5, 1.0), 52.57)]
)
def test_two_half_spaces_meet_at_their_effusivities(mould, contact_c):
    # Carslaw and Jaeger, section 2.15: (e₁T₁ + e₂T₂)/(e₁ + e₂); 100 °C polyurethane on 20 °C silicone, and on gypsum.
    layers = [
        Layer(substance=POLYURETHANE, thickness_mm=40, cells=200, start_c=100, heat_j_g=1e-6),
        Layer(substance=mould, thickness_mm=40, cells=200, start_c=20),
    ]
    course = solve(layered(SLAB, layers, outside=Film.held(20)), INERT, end_s=60, pace=FINE)
    assert course.face_c[-1] == approx(contact_c, abs=0.2)


# Closed form of Kamal and Sourour's law with m = n = 1 at constant temperature:
# α = (1 − e^−(k₁+k₂)t) / (1 + (k₂/k₁) e^−(k₁+k₂)t).
AUTOCATALYTIC = Kinetics(k1_per_s=1e-4, k2_per_s=5e-3)
ISOTHERMAL_ABS = 2e-4  # steps of 1 % conversion
BARELY_WARM_J_G = 1e-9


def isothermal(law: Kinetics, end_s: float) -> Course:
    layer = Layer(substance=POLYURETHANE, thickness_mm=1, cells=2, start_c=25.0, heat_j_g=BARELY_WARM_J_G)
    return solve(layered(SLAB, [layer], outside=Film.held(25)), law, end_s=end_s, pace=FINE)


@pytest.mark.parametrize(
    ("time_s", "conversion"), [(300, 0.066245), (600, 0.284989), (900, 0.656553), (1200, 0.898983)]
)
def test_isothermal_autocatalysis_is_exact(time_s, conversion):
    assert isothermal(AUTOCATALYTIC, time_s).last.conversion[0] == approx(conversion, abs=ISOTHERMAL_ABS)


def test_autocatalysis_is_fastest_where_it_should_be():
    # maximum of the closed form: ln(k₂/k₁)/(k₁ + k₂) = 767.063 s, half cured at 774.754 s
    course = isothermal(AUTOCATALYTIC, 1000)
    assert np.interp(0.5, course.core_conversion, course.time_s) == approx(774.754, rel=1e-3)
    assert np.interp(767.063, course.time_s, course.core_conversion) == approx(0.49, abs=1e-3)


@pytest.mark.parametrize(("at_c", "gel_s"), [(15, 923.2), (20, 718.9), (25, 564.50), (30, 446.8)])
def test_set_p_gels_isothermally_when_it_should(at_c, gel_s):
    # closed form of the second-order law
    assert SET_P.time_to_s(SET_P.gel_conversion, start_c=at_c) == approx(gel_s, rel=1e-3)


@pytest.mark.parametrize(("from_c", "gel_s", "end_c"), [(20, 82.78, 174.1), (25, 68.08, 179.1), (30, 56.38, 184.1)])
def test_set_p_runs_away_adiabatically_as_it_should(from_c, gel_s, end_c):
    # quadrature of dt = dX / rate(X, T₀ + ΔT X)
    layer = Layer(substance=POLYURETHANE, thickness_mm=10, cells=4, start_c=from_c, heat_j_g=SET_P_HEAT_J_G)
    course = solve(layered(SPHERE, [layer], outside=None), SET_P, end_s=600)
    assert course.core_gel_s == approx(gel_s, rel=2e-3)
    assert course.last.temperature_c[0] == approx(end_c, rel=1e-3)
    assert SET_P.time_to_s(SET_P.gel_conversion, start_c=from_c, rise_k=154.1) == approx(gel_s, rel=1e-3)


# Set P, surface held at 25 °C: computed independently with 101 and 201 nodes, which agree to 0.02 K in the peak.
REACTING = [
    ("slab", 2.5, 44.8, None, 368.0), ("slab", 5, 117.9, 98.6, 78.9), ("slab", 10, 170.2, 113.7, 68.3),
    ("cylinder", 10, 158.6, 101.3, 68.7), ("sphere", 10, 144.2, 93.5, 69.8), ("sphere", 20, 178.1, 141, 68.1),
]  # fmt: skip


@pytest.mark.parametrize(("form", "half_mm", "peak_c", "peak_s", "gel_s"), REACTING)
def test_reaction_and_conduction_together(form, half_mm, peak_c, peak_s, gel_s):
    layer = Layer(substance=POLYURETHANE, thickness_mm=half_mm, cells=40, start_c=25.0, heat_j_g=SET_P_HEAT_J_G)
    course = solve(layered(FORMS[form], [layer], outside=Film.held(25)), SET_P, end_s=400)
    assert course.peak_c == approx(peak_c, abs=0.1)
    assert course.core_gel_s == approx(gel_s, rel=2e-3)
    if peak_s is not None:
        assert course.peak_s == approx(peak_s, rel=1e-2)


@pytest.mark.parametrize(("form", "half_mm", "peak_c"), [("slab", 5, 172.2), ("sphere", 20, 178.9)])
def test_reaction_in_still_air(form, half_mm, peak_c):
    # the same computation with a film of 10 W/(m² K) in the place of the held surface
    layer = Layer(substance=POLYURETHANE, thickness_mm=half_mm, cells=40, start_c=25.0, heat_j_g=SET_P_HEAT_J_G)
    course = solve(layered(FORMS[form], [layer], outside=Film(air_c=25)), SET_P, end_s=400)
    assert course.peak_c == approx(peak_c, abs=0.1)


def laminate() -> Course:
    """Advani and Sozer, Process Modeling in Composites Manufacturing, example 8.5: fibre volume 0.4, slab of 20 mm."""
    conductivity = 1 / (0.6 / 0.2 + 0.4 / 1.2)
    capacity = (0.4 * 2500 * 800 + 0.6 * 1200 * 700) / 1e6
    heat = 0.6 * 1.2 * 280
    assert (round(conductivity, 3), round(capacity, 3)) == (0.300, 1.304)
    law = Kinetics(
        k1_per_s=2 * 0.5 * math.exp(-1000 / 373.15), energy_j_mol=1000 * GAS_CONSTANT_J_MOLK,
        n=2.0, gel_conversion=0.85, reference_c=100.0,
    )  # fmt: skip
    layer = Layer(
        substance=substance(conductivity, 1.0, capacity), thickness_mm=10, cells=40, start_c=20.0, heat_j_g=heat
    )
    return solve(layered(SLAB, [layer], outside=Film.held(120)), law, end_s=90)


def test_printed_slab_example():
    # its listing, run independently: least conversion 0.85 at 72.8 s with the mid-plane at 156.6 °C
    course = laminate()
    assert course.gel_s.max() == approx(72.8, rel=5e-3)
    assert np.interp(course.gel_s.max(), course.time_s, course.core_c) == approx(156.6, rel=5e-3)


@pytest.mark.parametrize(
    ("time_s", "middle_c", "conversion"),
    [(10, 66.5, 0.3005), (20, 99.0, 0.5093), (30, 120.5, 0.6398), (40, 135.1, 0.7226), (50, 145.0, 0.7776),
     (60, 151.6, 0.8159)],
)  # fmt: skip
def test_printed_slab_example_over_time(time_s, middle_c, conversion):
    course = laminate()
    assert np.interp(time_s, course.time_s, course.core_c) == approx(middle_c, rel=5e-3)
    assert np.interp(time_s, course.time_s, course.core_conversion) == approx(conversion, rel=5e-3)


@pytest.mark.parametrize(("form", "critical"), [("slab", 0.8785), ("cylinder", 2.0000), ("sphere", 3.3220)])
def test_runaway_begins_at_the_limit(form, critical):
    # Frank-Kamenetskii: δ = E q L²/(R T² k); with R T²/E of 0.1 K at 25 °C his exponential is Arrhenius' to 0.04 %
    assert not runs_away(FORMS[form], 0.99 * critical)
    assert runs_away(FORMS[form], 1.01 * critical)


def runs_away(form: Form, delta: float) -> bool:
    scale_k, half_mm, share_per_s = 0.1, 10.0, 1e-12
    energy = GAS_CONSTANT_J_MOLK * 298.15**2 / scale_k
    watt_mm3 = delta * scale_k * 1e-3 / half_mm**2
    zeroth = Kinetics(k1_per_s=share_per_s, n=0.0, energy_j_mol=energy)
    layer = Layer(
        substance=of_diffusivity(1.0), thickness_mm=half_mm, cells=24, start_c=25.0,
        heat_j_g=watt_mm3 / 1e-3 / share_per_s,
    )  # fmt: skip
    pace = Pace(rise_k=scale_k / 10, conduction_k=scale_k / 5)
    # below the limit no steady state is hotter than 1.6 of the scale
    course = solve(
        layered(form, [layer], outside=Film.held(25)), zeroth, end_s=40 * half_mm**2, pace=pace,
        finished=lambda record: record.hottest_c > 25 + 4 * scale_k,
    )  # fmt: skip
    return course.peak_c > 25 + 4 * scale_k

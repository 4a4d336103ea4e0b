"""What is typed at the bench, in the house's units, against NIST Special Publication 811, appendix B.8."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.quantities import parse_length_mm, parse_mass_g, parse_pressure_pa, parse_temperature_c, parse_volume_ml

SEVEN_DIGITS = 1e-6  # SP 811 prints seven significant digits


@pytest.mark.parametrize(
    ("value", "printed"),
    [
        (parse_mass_g("1 lb"), 453.59237),
        (parse_mass_g("1 oz"), 28.349523125),
        (parse_length_mm("1 in"), 25.4),
        (parse_length_mm("1 ft"), 304.8),
        (parse_volume_ml("1 us floz"), 29.57353),
        (parse_volume_ml("1 us pint"), 473.1765),
        (parse_volume_ml("1 us gallon"), 3785.412),
        (parse_volume_ml("1 imp gallon"), 4546.09),
        (parse_volume_ml("1 imp floz"), 28.41306),
        (parse_volume_ml("1 in3"), 16.38706),
        (parse_pressure_pa("1 psi"), 6894.757),
        (parse_pressure_pa("1 inhg"), 3386.389),
        (parse_pressure_pa("1 mmhg"), 133.3224),
        (parse_temperature_c("212 F"), 100.0),
        # ounces to the square foot in g/m², pounds to the cubic foot in kg/m³
        (parse_mass_g("1 oz") / (parse_length_mm("1 ft") / 1000) ** 2, 305.1517),
        (parse_mass_g("1 lb") / 1000 / (parse_length_mm("1 ft") / 1000) ** 3, 16.01846),
    ],
)
def test_printed_conversions(value: float, printed: float) -> None:
    assert value == pytest.approx(printed, rel=SEVEN_DIGITS)


@given(number=st.floats(0.001, 1e6))
def test_units_round_trip(number: float) -> None:
    assert parse_mass_g(f"{parse_mass_g(f'{number!r} lb') / parse_mass_g('1 lb')!r}") == pytest.approx(number)
    assert parse_volume_ml(f"{number!r} in3") / parse_volume_ml("1 in3") == pytest.approx(number)
    assert parse_length_mm(f"{number!r} in") / parse_length_mm("1 in") == pytest.approx(number)
    assert parse_temperature_c(f"{number * 1.8 + 32!r} F") == pytest.approx(number, abs=1e-9)

"""What is typed at the bench, in the house's units."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.quantities import parse_length_mm, parse_mass_g, parse_pressure_pa, parse_temperature_c, parse_volume_ml
from tests.verification.checks import Check, Grade, Group, rel
from tests.verification.held import each_holds

SEVEN_DIGITS = rel(1e-6)  # SP 811 prints seven significant digits


def conversion(typed: str, printed: float, unit: str, got: Callable[[], float]) -> Check:
    return Check(
        name=typed,
        source="NIST Special Publication 811, appendix B.8",
        grade=Grade.PRINTED,
        expected=printed,
        unit=unit,
        got=got,
        allowed=SEVEN_DIGITS,
    )


GROUP = Group(
    "Units",
    __doc__,
    (
        conversion("1 lb", 453.59237, "g", lambda: parse_mass_g("1 lb")),
        conversion("1 oz", 28.349523125, "g", lambda: parse_mass_g("1 oz")),
        conversion("1 in", 25.4, "mm", lambda: parse_length_mm("1 in")),
        conversion("1 ft", 304.8, "mm", lambda: parse_length_mm("1 ft")),
        conversion("1 us floz", 29.57353, "ml", lambda: parse_volume_ml("1 us floz")),
        conversion("1 us pint", 473.1765, "ml", lambda: parse_volume_ml("1 us pint")),
        conversion("1 us gallon", 3785.412, "ml", lambda: parse_volume_ml("1 us gallon")),
        conversion("1 imp gallon", 4546.09, "ml", lambda: parse_volume_ml("1 imp gallon")),
        conversion("1 imp floz", 28.41306, "ml", lambda: parse_volume_ml("1 imp floz")),
        conversion("1 in3", 16.38706, "ml", lambda: parse_volume_ml("1 in3")),
        conversion("1 psi", 6894.757, "Pa", lambda: parse_pressure_pa("1 psi")),
        conversion("1 inhg", 3386.389, "Pa", lambda: parse_pressure_pa("1 inhg")),
        conversion("1 mmhg", 133.3224, "Pa", lambda: parse_pressure_pa("1 mmhg")),
        conversion("212 F", 100.0, "°C", lambda: parse_temperature_c("212 F")),
        conversion(
            "1 oz to the square foot",
            305.1517,
            "g/m²",
            lambda: parse_mass_g("1 oz") / (parse_length_mm("1 ft") / 1000) ** 2,
        ),
        conversion(
            "1 lb to the cubic foot",
            16.01846,
            "kg/m³",
            lambda: parse_mass_g("1 lb") / 1000 / (parse_length_mm("1 ft") / 1000) ** 3,
        ),
    ),
)
test_printed_conversions = each_holds(GROUP)


@given(number=st.floats(0.001, 1e6))
def test_units_round_trip(number: float) -> None:
    assert parse_mass_g(f"{parse_mass_g(f'{number!r} lb') / parse_mass_g('1 lb')!r}") == pytest.approx(number)
    assert parse_volume_ml(f"{number!r} in3") / parse_volume_ml("1 in3") == pytest.approx(number)
    assert parse_length_mm(f"{number!r} in") / parse_length_mm("1 in") == pytest.approx(number)
    assert parse_temperature_c(f"{number * 1.8 + 32!r} F") == pytest.approx(number, abs=1e-9)

"""Units that a file may be drawn in."""

from __future__ import annotations

import pytest

from moldvol.errors import RequestError
from moldvol.geometry.units import MM_PER_UNIT, parse_unit


@pytest.mark.parametrize("name", MM_PER_UNIT)
def test_canonical_names_are_accepted_in_any_case(name):
    assert parse_unit(name) == name
    assert parse_unit(f" {name.upper()} ") == name


@pytest.mark.parametrize(
    ("typed", "canonical"),
    [
        ("inch", "in"), ("inches", "in"), ('"', "in"), ("″", "in"), ("foot", "ft"), ("feet", "ft"), ("'", "ft"),
        ("micron", "um"), ("microns", "um"), ("µm", "um"), ("μm", "um"), ("micrometre", "um"), ("millimetre", "mm"),
        ("Millimeters", "mm"), ("centimetres", "cm"), ("metre", "m"), ("meters", "m"),
    ],
)  # fmt: skip
def test_other_spellings(typed, canonical):
    assert parse_unit(typed) == canonical


@pytest.mark.parametrize("typed", ["furlong", "", "mmm", "1mm", "g", "s", "km", "none"])
def test_anything_else_is_a_wrong_request_listing_the_units(typed):
    with pytest.raises(RequestError) as caught:
        parse_unit(typed)
    assert str(caught.value) == f"'{typed}' is not a unit of length; use one of um, mm, cm, m, in, ft."
    assert caught.value.exit_status == 2


def test_factors():
    # NIST Special Publication 811 (2008), appendix B.8: 1 in = 25.4 mm and 1 ft = 0.3048 m, both exactly.
    assert dict(MM_PER_UNIT) == {"um": 0.001, "mm": 1, "cm": 10, "m": 1000, "in": 25.4, "ft": pytest.approx(304.8)}

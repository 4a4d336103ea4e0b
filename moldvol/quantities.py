"""What is typed at the bench (``3mm``, ``1/8in``, ``2 lb``, ``250``) as floats in the house's own units.

A table of units, no dependency: start-up is felt at the bench, and a units library costs a third of a second there.
Conversion factors: NIST Special Publication 811, appendix B.8; those marked exact are exact by definition.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from moldvol.errors import RequestError

MM_PER_INCH = 25.4  # exact
G_PER_POUND = 453.59237  # exact
G_PER_OUNCE = G_PER_POUND / 16  # exact, avoirdupois
ML_PER_US_GALLON = 3785.411784  # exact: 231 cubic inches
ML_PER_IMPERIAL_GALLON = 4546.09  # exact
PA_PER_PSI = 6894.757293168
PA_PER_INHG = 3386.389  # conventional, 0 °C
PA_PER_MMHG = 133.3224
ZERO_CELSIUS_K = 273.15
MM3_PER_ML = 1000.0

LENGTH_MM: Mapping[str, float] = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 0.001, "µm": 0.001, "μm": 0.001, "micron": 0.001,
    "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, '"': MM_PER_INCH, "″": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH, "foot": 12 * MM_PER_INCH, "feet": 12 * MM_PER_INCH, "'": 12 * MM_PER_INCH,
}  # fmt: skip
MASS_G: Mapping[str, float] = {
    "g": 1.0, "gram": 1.0, "grams": 1.0, "mg": 0.001, "kg": 1000.0,
    "lb": G_PER_POUND, "lbs": G_PER_POUND, "oz": G_PER_OUNCE,
}  # fmt: skip
VOLUME_ML: Mapping[str, float] = {
    "ml": 1.0, "cc": 1.0, "cm3": 1.0, "cm³": 1.0, "mm3": 0.001, "mm³": 0.001, "cl": 10.0, "dl": 100.0,
    "l": 1000.0, "litre": 1000.0, "liter": 1000.0, "litres": 1000.0, "liters": 1000.0,
    "in3": MM_PER_INCH**3 / 1000, "in³": MM_PER_INCH**3 / 1000,
    "usfloz": ML_PER_US_GALLON / 128, "uspint": ML_PER_US_GALLON / 8, "uspt": ML_PER_US_GALLON / 8,
    "usquart": ML_PER_US_GALLON / 4, "usqt": ML_PER_US_GALLON / 4,
    "usgallon": ML_PER_US_GALLON, "usgal": ML_PER_US_GALLON,
    "impfloz": ML_PER_IMPERIAL_GALLON / 160, "imppint": ML_PER_IMPERIAL_GALLON / 8, "imppt": ML_PER_IMPERIAL_GALLON / 8,
    "impquart": ML_PER_IMPERIAL_GALLON / 4, "impqt": ML_PER_IMPERIAL_GALLON / 4,
    "impgallon": ML_PER_IMPERIAL_GALLON, "impgal": ML_PER_IMPERIAL_GALLON,
}  # fmt: skip
AREA_MM2: Mapping[str, float] = {
    "mm2": 1.0, "mm²": 1.0, "sqmm": 1.0, "cm2": 100.0, "cm²": 100.0, "sqcm": 100.0, "m2": 1e6, "m²": 1e6, "sqm": 1e6,
    "in2": MM_PER_INCH**2, "in²": MM_PER_INCH**2, "sqin": MM_PER_INCH**2,
    "ft2": (12 * MM_PER_INCH) ** 2, "ft²": (12 * MM_PER_INCH) ** 2, "sqft": (12 * MM_PER_INCH) ** 2,
}  # fmt: skip
DURATION_S: Mapping[str, float] = {
    "s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "min": 60.0, "mins": 60.0, "minute": 60.0, "minutes": 60.0,
    "h": 3600.0, "hr": 3600.0, "hour": 3600.0, "hours": 3600.0,
}  # fmt: skip
PRESSURE_PA: Mapping[str, float] = {
    "pa": 1.0, "kpa": 1000.0, "mbar": 100.0, "bar": 1e5, "psi": PA_PER_PSI, "inhg": PA_PER_INHG, "mmhg": PA_PER_MMHG,
    "atm": 101325.0,
}  # fmt: skip

AMBIGUOUS_VOLUME: Mapping[str, str] = {
    "pint": "uspint or imppint", "pt": "uspt or imppt", "quart": "usquart or impquart", "qt": "usqt or impqt",
    "gallon": "usgallon or impgallon", "gal": "usgal or impgal", "floz": "usfloz or impfloz",
}  # fmt: skip

_QUANTITY = re.compile(
    r"""^\s*(?P<sign>[-+]?)\s*
        (?:(?P<whole>\d+)[\s-]+)?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)   # 1/8, 1 1/2, 1-1/2
        \s*(?P<unit1>[^\d\s.,/][^,/]*)?\s*$
      | ^\s*(?P<number>[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+(?![A-Za-z]))?)
        \s*(?P<unit2>[^\d\s.,/][^,/]*)?\s*$""",
    re.VERBOSE,
)


def parse_length_mm(text: str, *, bare: str = "mm") -> float:
    """*text* such as ``3mm``, ``1/8in`` or ``0,3 cm`` in mm; a bare number is in the unit *bare*.

    Raises `RequestError` for anything else.

    >>> parse_length_mm("1/8in")
    3.175
    """
    return _parse(text, LENGTH_MM, bare, "a length", "3mm, 0.3cm or 1/8in")


def parse_mass_g(text: str) -> float:
    """*text* such as ``250``, ``0.5kg`` or ``2 lb`` in g; a bare number is grams.

    >>> parse_mass_g("2 lb")
    907.18474
    """
    return _parse(text, MASS_G, "g", "a mass", "250g, 0.5kg or 2lb")


def parse_volume_ml(text: str) -> float:
    """*text* such as ``180ml``, ``1/2 uspint`` or ``3 in3`` in ml; a bare number is ml.

    Pints, quarts, gallons and fluid ounces differ between the US and the imperial system, so they must say which.

    >>> round(parse_volume_ml("1/2 us pint"), 3)
    236.588
    """
    return _parse(text, VOLUME_ML, "ml", "a volume", "180ml, 0.5l or 1/2uspint")


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of something, as a mass or as a volume: exactly one of the two."""

    mass_g: float | None = None
    volume_ml: float | None = None


def parse_amount(text: str) -> Amount:
    """*text* such as ``205g`` or ``180ml``: a mass or a volume by its unit; a bare number is grams.

    >>> parse_amount("2kg"), parse_amount("180ml")
    (Amount(mass_g=2000.0, volume_ml=None), Amount(mass_g=None, volume_ml=180.0))
    """
    _, unit = _split(text, "an amount", "205g, 2lb or 180ml")
    if re.sub(r"[\s.^]", "", unit).casefold() in ("", *MASS_G):
        return Amount(mass_g=parse_mass_g(text))
    return Amount(volume_ml=_parse(text, VOLUME_ML, None, "an amount", "205g, 2lb or 180ml"))


def parse_area_mm2(text: str) -> float:
    """*text* such as ``0.5m2`` or ``5 sq ft`` in mm²; the unit must be there.

    >>> parse_area_mm2("0.5 m²")
    500000.0
    """
    return _parse(text, AREA_MM2, None, "an area", "0.5m2, 5000cm2 or 5ft2")


def parse_duration_s(text: str) -> float:
    """*text* such as ``4min`` or ``90s`` in seconds; a bare number is minutes, as pot lives are quoted.

    >>> parse_duration_s("4")
    240.0
    """
    return _parse(text, DURATION_S, "min", "a time", "4min, 90s or 2h")


def parse_pressure_pa(text: str) -> float:
    """*text* such as ``60psi`` or ``4bar`` in pascal; the unit must be there.

    >>> round(parse_pressure_pa("60psi"))
    413685
    """
    return _parse(text, PRESSURE_PA, None, "a pressure", "60psi, 4bar or 29inhg")


def parse_temperature_c(text: str) -> float:
    """*text* such as ``22c``, ``22`` or ``72f`` in °C.

    >>> parse_temperature_c("68F")
    20.0
    """
    number, unit = _split(text, "a temperature", "22c or 72f")
    match unit.replace("°", "").casefold():
        case "" | "c" | "celsius":
            celsius = number
        case "f" | "fahrenheit":
            celsius = (number - 32) / 1.8
        case "k":
            celsius = number - ZERO_CELSIUS_K
        case _:
            raise _not_a(text, "a temperature", "22c or 72f")
    if celsius < -ZERO_CELSIUS_K:
        raise RequestError(f"'{text}' is below absolute zero; write the temperature like 22c or 72f.")
    return celsius


def parse_share(text: str) -> float:
    """*text* such as ``8%`` or ``8`` as a fraction of one; a bare number is per cent.

    >>> parse_share("8%")
    0.08
    """
    number, unit = _split(text, "a share", "8%")
    if unit not in ("", "%", "percent"):
        raise _not_a(text, "a share", "8%")
    return number / 100


def parse_vector(text: str) -> tuple[float, float, float]:
    """*text* such as ``0,0,1`` as three floats.

    >>> parse_vector("0, 0, -1")
    (0.0, 0.0, -1.0)
    """
    pieces = text.replace(";", ",").split(",")
    try:
        x, y, z = (float(piece) for piece in pieces)
    except ValueError:
        raise RequestError(f"'{text}' is not three numbers; write them like 0,0,1.") from None
    if not all(map(math.isfinite, (x, y, z))):
        raise RequestError(f"'{text}' holds a number that is not finite; write three numbers like 0,0,1.")
    return x, y, z


def _parse(text: str, units: Mapping[str, float], bare: str | None, what: str, examples: str) -> float:
    number, unit = _split(text, what, examples)
    # "cm^3" and "US pint" are typed as often as "cm3" and "uspint".
    key = re.sub(r"[\s.^]", "", unit).casefold()
    if key in units:
        return number * units[key]
    if not key and bare is not None:
        return number * units[bare]
    if units is VOLUME_ML and key in AMBIGUOUS_VOLUME:
        raise RequestError(f"'{text}' could be US or imperial; say which: {AMBIGUOUS_VOLUME[key]}.")
    if units is VOLUME_ML and key in MASS_G:
        raise RequestError(f"'{text}' is a mass, not a volume; write it like {examples}.")
    if not key:
        raise RequestError(f"'{text}' has no unit; write it like {examples}.")
    raise _not_a(text, what, examples)


def _split(text: str, what: str, examples: str) -> tuple[float, str]:
    match = _QUANTITY.match(text)
    if match is None:
        raise _not_a(text, what, examples)
    if match["number"] is not None:
        number, unit = float(match["number"].replace(",", ".")), match["unit2"]
    else:
        if int(match["bottom"]) == 0:
            raise RequestError(f"'{text}' divides by zero; write it like {examples}.")
        number = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
        number, unit = (-number if match["sign"] == "-" else number), match["unit1"]
    if not math.isfinite(number):
        raise RequestError(f"'{text}' is too large a number; write it like {examples}.")
    return number, (unit or "").strip()


def _not_a(text: str, what: str, examples: str) -> RequestError:
    return RequestError(f"'{text}' is not {what}; write it like {examples}.")

"""Numbers as people at the bench read them: three or four digits that mean something, with the unit behind."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from moldvol.quantities import G_PER_OUNCE, G_PER_POUND, ML_PER_US_GALLON, MM_PER_INCH, PA_PER_INHG, PA_PER_PSI


class Units(Enum):
    """Which units a sheet shows."""

    METRIC = "metric"
    US = "us"


def significant(value: float, digits: int = 4) -> str:
    """*value* with at most *digits* significant digits, without exponent or trailing zeros after a point.

    >>> significant(1234.567), significant(0.0123456), significant(8.0)
    ('1235', '0.01235', '8')
    """
    if value == 0:
        return "0"
    text = f"{value:.{digits}g}"
    if "e" in text:
        text = f"{float(text):.12f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def length(mm: float, units: Units = Units.METRIC) -> str:
    """A length.

    >>> length(25.4), length(25.4, Units.US)
    ('25.4 mm', '1 in')
    """
    return f"{significant(mm, 3)} mm" if units is Units.METRIC else f"{significant(mm / MM_PER_INCH, 3)} in"


def fine_length(mm: float, units: Units = Units.METRIC) -> str:
    """A length to the hundredth of a millimetre or the thousandth of an inch, as a caliper reads.

    >>> fine_length(121.0844), fine_length(121.0844, Units.US)
    ('121.08 mm', '4.767 in')
    """
    return f"{mm:.2f} mm" if units is Units.METRIC else f"{mm / MM_PER_INCH:.3f} in"


def size(mm: Sequence[float]) -> str:
    """Three outer dimensions in mm and in inches: whichever the reader thinks in, a wrong unit jumps to the eye.

    >>> size((20, 20, 10))
    '20 × 20 × 10 mm  (0.787 × 0.787 × 0.394 in)'
    """
    inches = [side / MM_PER_INCH for side in mm]
    return f"{_times(mm)} mm  ({_times(inches)} in)"


def place(mm: Sequence[float]) -> str:
    """A point, to the tenth of a millimetre.

    >>> place((1, -0.04, 3.25))
    '(1, 0, 3.2) mm'
    """
    return "(" + ", ".join(significant(round(x, 1) + 0.0, 6) for x in mm) + ") mm"


def area(mm2: float, units: Units = Units.METRIC) -> str:
    """An area, small ones in cm².

    >>> area(500_000), area(21_740), area(929_030.4, Units.US)
    ('0.5 m²', '217.4 cm²', '10 ft²')
    """
    if units is Units.US:
        inches = mm2 / MM_PER_INCH**2
        return f"{significant(inches / 144)} ft²" if inches >= 144 else f"{significant(inches)} in²"
    return f"{significant(mm2 / 1e6)} m²" if mm2 >= 1e5 else f"{significant(mm2 / 100)} cm²"


def volume(mm3: float, units: Units = Units.METRIC, digits: int = 4) -> str:
    """A volume as cm³, which are ml; from a litre on in litres as well. Doubts are told to two *digits*.

    >>> volume(8000), volume(2.5e6), volume(16387.064, Units.US)
    ('8 ml', '2500 ml (2.5 l)', '1 in³ (0.5541 US fl oz)')
    """
    ml = mm3 / 1000
    if units is Units.US:
        fluid_ounces = ml / (ML_PER_US_GALLON / 128)
        return f"{significant(mm3 / MM_PER_INCH**3, digits)} in³ ({significant(fluid_ounces, digits)} US fl oz)"
    shown = significant(ml, digits)
    return f"{shown} ml" + (f" ({significant(float(shown) / 1000, digits)} l)" if ml >= 1000 else "")


def mass(g: float, units: Units = Units.METRIC, digits: int = 4) -> str:
    """A mass. Doubts are told to two *digits*.

    >>> mass(8.83), mass(2587.5), mass(500, Units.US), mass(0.6379, digits=2)
    ('8.83 g', '2588 g (2.588 kg)', '17.64 oz (1.102 lb)', '0.64 g')
    """
    if units is Units.US:
        pounds = f" ({significant(g / G_PER_POUND, digits)} lb)" if g >= G_PER_POUND else ""
        return f"{significant(g / G_PER_OUNCE, digits)} oz{pounds}"
    grams = significant(g, digits)
    return f"{grams} g" + (f" ({significant(float(grams) / 1000, digits)} kg)" if g >= 1000 else "")


def in_grams(g: float, units: Units = Units.METRIC) -> str:
    """A mass for the column of a table, never in two units.

    >>> in_grams(3375), in_grams(500, Units.US)
    ('3375 g', '17.64 oz')
    """
    return f"{significant(g)} g" if units is Units.METRIC else f"{significant(g / G_PER_OUNCE)} oz"


def temperature(celsius: float, units: Units = Units.METRIC) -> str:
    """A temperature.

    >>> temperature(21), temperature(21, Units.US)
    ('21 °C', '69.8 °F')
    """
    return f"{significant(celsius, 3)} °C" if units is Units.METRIC else f"{significant(celsius * 1.8 + 32, 3)} °F"


def pressure(pa: float, units: Units = Units.METRIC) -> str:
    """A pressure, small ones in mbar.

    >>> pressure(413685), pressure(3120), pressure(413685, Units.US)
    ('4.14 bar', '31.2 mbar', '60 psi')
    """
    if units is Units.US:
        return f"{significant(pa / PA_PER_PSI, 3)} psi" if pa >= PA_PER_PSI else inches_of_mercury(pa)
    return f"{significant(pa / 1e5, 3)} bar" if pa >= 1e5 / 2 else f"{significant(pa / 100, 3)} mbar"


def inches_of_mercury(pa: float) -> str:
    """A pressure as a vacuum gauge shows it.

    >>> inches_of_mercury(98205)
    '29 inHg'
    """
    return f"{significant(pa / PA_PER_INHG, 3)} inHg"


def heavy(g: float, units: Units = Units.METRIC) -> str:
    """A weight to give an idea, in two digits.

    >>> heavy(2_070_000), heavy(732_000), heavy(2_070_000, Units.US)
    ('2.1 tonnes', '730 kg', '4600 lb')
    """
    if units is Units.US:
        return f"{significant(g / G_PER_POUND, 2)} lb"
    return f"{significant(g / 1e6, 2)} tonnes" if g >= 1e6 else f"{significant(g / 1000, 2)} kg"


def per_cent(share: float) -> str:
    """A share of one in per cent, with the digits it deserves.

    >>> per_cent(0.05), per_cent(0.0012), per_cent(0.00001)
    ('5 %', '0.12 %', 'below 0.01 %')
    """
    return f"{significant(100 * share, 2)} %" if share >= 1e-4 or share == 0 else "below 0.01 %"


def duration(seconds: float) -> str:
    """A time in the unit one would say it in.

    >>> duration(45), duration(240), duration(5400), duration(86400)
    ('45 s', '4 min', '1 h 30 min', '24 h')
    """
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    if minutes < 90:
        return f"{significant(seconds / 60, 2)} min" if seconds < 600 else f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if rest and hours < 12 else f"{round(seconds / 3600)} h"


def clock(seconds: float) -> str:
    """A time on the stopwatch.

    >>> clock(0), clock(95), clock(3720)
    ('0:00', '1:35', '62:00')
    """
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def money(amount: float) -> str:
    """A price in whatever currency the shelf's prices are in.

    >>> money(3.456)
    '3.46'
    """
    return f"{amount:.2f}"


def _times(sides: Sequence[float]) -> str:
    return " × ".join(significant(side, 3) for side in sides)

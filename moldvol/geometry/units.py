"""Units of length that a mesh may be drawn in: a mesh file holds bare numbers, this table makes millimetres of them.

Factors are exact: the metric prefixes, and 25.4 mm to the inch (NIST Special Publication 811, appendix B.8).
"""

from __future__ import annotations

from collections.abc import Mapping

from moldvol.errors import RequestError
from moldvol.quantities import LENGTH_MM, MM_PER_INCH

MM_PER_UNIT: Mapping[str, float] = {
    "um": 0.001,
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
}

# Words beside those a length may be typed in at the bench: people name the unit of a file in full.
_SPELLED_OUT: Mapping[str, str] = {
    "micrometre": "um", "micrometer": "um", "millimetre": "mm", "millimeter": "mm", "centimetre": "cm",
    "centimeter": "cm", "metre": "m", "meter": "m",
}  # fmt: skip


def parse_unit(text: str) -> str:
    """The canonical name, a key of `MM_PER_UNIT`, of the unit typed as *text*.

    Raises `RequestError` listing the accepted units when there is no such unit.

    >>> parse_unit(" Inch")
    'in'
    """
    word = str(text).strip().casefold()
    for candidate in (word, word.removesuffix("s")):
        if candidate in _SPELLED_OUT:
            return _SPELLED_OUT[candidate]
        if candidate and candidate in LENGTH_MM:
            return _canonical(LENGTH_MM[candidate])
    raise RequestError(f"'{text}' is not a unit of length; use one of {', '.join(MM_PER_UNIT)}.", unit=text)


def _canonical(mm: float) -> str:
    return next(name for name, mm_per_unit in MM_PER_UNIT.items() if mm_per_unit == mm)

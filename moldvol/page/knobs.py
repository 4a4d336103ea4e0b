"""The knobs of the page: what was typed, in the user's own words, and what it asks for once it is understood.

A knob that cannot be understood keeps its last good setting, and says beside itself what is wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, cast

from moldvol.errors import RequestError
from moldvol.present.numbers import Units
from moldvol.quantities import (
    parse_length_mm,
    parse_mass_g,
    parse_share,
    parse_temperature_c,
    parse_vector,
    parse_volume_ml,
)

if TYPE_CHECKING:
    from moldvol.casting.mould.request import MouldStyle
    from moldvol.cli.bench_options import BenchOptions
    from moldvol.geometry.field.opening import Opening

MOST_COPIES = 100_000
MOST_COATS = 50
MOST_PARTS = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the knobs ask for, in house units; None stands for 'the usual' or 'as the file says'."""

    part: int | None = None
    unit: str | None = None
    scale: float = 1.0
    accept_open: bool = False
    height_mm: float | None = None
    taken_as: Literal["solid", "cavity"] = "solid"
    inner_skins: Literal["solid", "void"] = "solid"
    plug_mm: float | None = None
    resin: str = "slow-urethane"
    wall_mm: float = 4.0
    coats: int | None = None
    opening: Opening = None
    copies: int = 1
    allowance: float | None = None
    pot_ml: float | None = None
    bench_c: float | None = None
    readability_g: float = 1.0
    style: MouldStyle = "block"
    rubber: str = "tin-silicone"
    rubber_mm: float | None = None
    mould_parts: int = 1
    heat_cast: Literal["solid", "hollow"] = "solid"
    heat_mould: str = "silicone"
    units: Units = Units.METRIC

    @property
    def bench(self) -> BenchOptions:
        """The bench, as the command line's options would have it."""
        from moldvol.casting.mixing.pots import USUAL_MIXING_S, USUAL_POURING_S, USUAL_SHARE
        from moldvol.cli.bench_options import BenchOptions

        return BenchOptions(
            readability_g=self.readability_g,
            accuracy_class=None,
            capacity_g=None,
            bench_c=self.bench_c,
            additions=(),
            catalyst=None,
            pot_ml=self.pot_ml,
            usable_share=USUAL_SHARE,
            mixing_s=USUAL_MIXING_S,
            pouring_s=USUAL_POURING_S,
            pot_loss_g=None,
        )

    @property
    def reading(self) -> tuple[object, ...]:
        """What the part itself depends on: when it changes, the solid is made anew."""
        resized = (self.part, self.unit, self.scale, self.height_mm)
        return (*resized, self.accept_open, self.taken_as, self.inner_skins, self.plug_mm)


@dataclass(frozen=True, slots=True)
class Knobs:
    """All knobs: ``typed`` as the user wrote them, ``asked`` as understood, ``faults`` why not, by knob."""

    typed: Mapping[str, str]
    asked: Asked
    faults: Mapping[str, str] = field(default_factory=dict)

    def for_another_file(self) -> Knobs:
        """These knobs with all that belonged to one file at its usual again: its unit and size, its part, its mending,
        a place picked on it."""
        names = [*OF_FILE, *(("opening",) if isinstance(self.asked.opening, tuple) else ())]
        knobs = self
        for name in names:
            knobs = knobs.turned(name, USUAL.typed[name])
        return knobs

    def turned(self, name: str, text: str) -> Knobs:
        """These knobs with *name* set to what was typed. Raises `KeyError` for a knob that is not there."""
        parse = PARSERS[name]
        typed = MappingProxyType({**self.typed, name: text})
        others = {knob: fault for knob, fault in self.faults.items() if knob != name}
        try:
            asked = replace(self.asked, **{FIELDS[name]: parse(text.strip())})
        except RequestError as error:
            return Knobs(typed, self.asked, MappingProxyType({**others, name: error.message}))
        return Knobs(typed, asked, MappingProxyType(others))


def _or_usual(parse: Callable[[str], Any]) -> Callable[[str], Any]:
    """The same, with None for an empty field."""
    return lambda text: parse(text) if text else None


def _above_zero(parse: Callable[[str], float], what: str) -> Callable[[str], float]:
    def parsed(text: str) -> float:
        value = parse(text)
        if not value > 0:
            raise RequestError(f"'{text}' is not above zero; give a {what} greater than nothing.")
        return value

    return parsed


def _share(text: str) -> float:
    share = parse_share(text)
    if not 0 <= share <= 10:
        raise RequestError(f"'{text}' is no allowance; give a share of 0% or more, like 8%.")
    return share


def _count(what: str, most: int) -> Callable[[str], int]:
    def counted(text: str) -> int:
        digits = text.lstrip("0")
        # Python turns no more than some thousand digits into a number, so their count is looked at first.
        few = text.isascii() and text.isdecimal() and 1 <= len(digits) <= len(str(most))
        if not (few and int(digits) <= most):
            raise RequestError(f"'{text}' is no number of {what}; give a whole number from 1 to {most:,}.")
        return int(digits)

    return counted


def _factor(text: str) -> float:
    try:
        factor = float(text.replace(",", "."))
    except ValueError:
        factor = float("nan")
    if not 0 < factor < 1e6:
        raise RequestError(f"'{text}' is not a factor above zero; write it like 1.02.")
    return factor


def _unit(text: str) -> str:
    from moldvol.geometry.units import parse_unit

    return parse_unit(text)


def _opening(text: str) -> Opening:
    return cast("Opening", text) if text in ("bottom", "top") else parse_vector(text)


def _word(text: str) -> str:
    return text


# Name of each knob on the page, the field of `Asked` it sets, and how it is read.
_TABLE: Mapping[str, tuple[str, Callable[[str], Any]]] = MappingProxyType({
    "part": ("part", _or_usual(_count("part", MOST_PARTS))),
    "unit": ("unit", _or_usual(_unit)),
    "scale": ("scale", _factor),
    "accept_open": ("accept_open", bool),
    "height": ("height_mm", _or_usual(_above_zero(parse_length_mm, "height"))),
    "taken_as": ("taken_as", _word),
    "inner_skins": ("inner_skins", _word),
    "plug": ("plug_mm", _or_usual(_above_zero(parse_length_mm, "plug"))),
    "resin": ("resin", _word),
    "wall": ("wall_mm", _above_zero(parse_length_mm, "wall")),
    "coats": ("coats", _or_usual(_count("coats", MOST_COATS))),
    "opening": ("opening", _or_usual(_opening)),
    "copies": ("copies", _count("copies", MOST_COPIES)),
    "allowance": ("allowance", _or_usual(_share)),
    "pot": ("pot_ml", _or_usual(_above_zero(parse_volume_ml, "pot"))),
    "temperature": ("bench_c", _or_usual(parse_temperature_c)),
    "readability": ("readability_g", _above_zero(parse_mass_g, "step of the scale")),
    "style": ("style", _word),
    "rubber": ("rubber", _word),
    "mould_parts": ("mould_parts", _count("parts", 2)),
    "heat_cast": ("heat_cast", _word),
    "heat_mould": ("heat_mould", _word),
    "rubber_wall": ("rubber_mm", _or_usual(_above_zero(parse_length_mm, "thickness"))),
    "units": ("units", Units),
})  # fmt: skip
FIELDS: Mapping[str, str] = MappingProxyType({name: field_name for name, (field_name, _) in _TABLE.items()})
PARSERS: Mapping[str, Callable[[str], Any]] = MappingProxyType({name: parse for name, (_, parse) in _TABLE.items()})

OF_FILE = ("part", "unit", "scale", "accept_open", "height", "taken_as", "inner_skins", "plug")

USUAL = Knobs(
    typed=MappingProxyType({
        "part": "", "unit": "", "scale": "1", "accept_open": "", "height": "", "taken_as": "solid",
        "inner_skins": "solid", "plug": "", "resin": "slow-urethane", "wall": "4mm", "coats": "",
        "opening": "", "copies": "1", "allowance": "", "pot": "", "temperature": "", "readability": "1g",
        "style": "block", "rubber": "tin-silicone", "rubber_wall": "", "mould_parts": "1",
        "heat_cast": "solid", "heat_mould": "silicone", "units": "metric",
    }),
    asked=Asked(),
)  # fmt: skip

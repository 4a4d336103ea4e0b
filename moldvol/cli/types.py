"""Quantities on the command line: the user's words in, house units out, and the user's words in every refusal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from moldvol import quantities
from moldvol.errors import RequestError


class Quantity(click.ParamType[Any]):
    """A parameter parsed by one of the functions of `moldvol.quantities`."""

    def __init__(self, name: str, parse: Callable[[str], Any], *, positive: bool = True, zero: bool = False) -> None:
        self.name = name
        self._parse, self._positive, self._zero = parse, positive, zero

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The value in house units; click adds the option's name to a refusal."""
        if not isinstance(value, str):
            return value
        try:
            parsed = self._parse(value)
        except RequestError as error:
            self.fail(str(error), param, ctx)
        if self._positive and (parsed < 0 or (parsed == 0 and not self._zero)):
            self.fail(f"'{value}' is not above zero; give a {self.name} greater than nothing.", param, ctx)
        return parsed


def _sprue(text: str) -> tuple[float, float]:
    """``8mm x 30mm``: diameter and length of a sprue or vent, mm."""
    pieces = text.lower().replace("×", "x").split("x")
    if len(pieces) != 2:
        raise RequestError(f"'{text}' is not a sprue; write diameter x length like 8mm x 30mm.")
    diameter, length = (quantities.parse_length_mm(piece) for piece in pieces)
    if diameter <= 0 or length <= 0:
        raise RequestError(f"'{text}' is not a sprue; both diameter and length must be above zero.")
    return diameter, length


def _unit(text: str) -> str:
    from moldvol.geometry.units import parse_unit

    return parse_unit(text)


LENGTH = Quantity("length", quantities.parse_length_mm)
MASS = Quantity("mass", quantities.parse_mass_g)
MASS_OR_NONE = Quantity("mass", quantities.parse_mass_g, zero=True)
VOLUME = Quantity("volume", quantities.parse_volume_ml)
SHARE = Quantity("share", quantities.parse_share, zero=True)
DURATION = Quantity("time", quantities.parse_duration_s)
PRESSURE = Quantity("pressure", quantities.parse_pressure_pa)
TEMPERATURE = Quantity("temperature", quantities.parse_temperature_c, positive=False)
VECTOR = Quantity("direction", quantities.parse_vector, positive=False)
SPRUE = Quantity("sprue", _sprue, positive=False)
UNIT = Quantity("unit", _unit, positive=False)

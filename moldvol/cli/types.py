"""Quantities on the command line: the user's words in, house units out, and the user's words in every refusal."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from moldvol import quantities
from moldvol.errors import RequestError

LEARNED = "learned"


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
        if self._positive and parsed < 0 and self._zero:
            self.fail(f"'{value}' is below zero; give a {self.name} of zero or more.", param, ctx)
        if self._positive and parsed <= 0 and not self._zero:
            self.fail(f"'{value}' is not above zero; give a {self.name} greater than nothing.", param, ctx)
        return parsed


class ShelfName(click.ParamType[str]):
    """The name of something on the shelf; whoever leaves it out is told where the names stand."""

    name = "name"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The name as typed: only the shelf knows whether it is there."""
        return str(value)

    def get_missing_message(self, param: click.Parameter, ctx: click.Context | None) -> str:
        """What follows on *Missing option*."""
        return "'moldvol resins' lists the shelf."


class Count(click.ParamType[int]):
    """A whole number of things, at least one."""

    name = "count"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number; click adds the option's name to a refusal."""
        if isinstance(value, int):
            return value
        text = str(value).strip()
        if not text.isascii() or not text.isdecimal() or not 0 < int(text) <= _MOST_COUNTED:
            self.fail(f"'{value}' is no number of them; give a whole number from 1 to {_MOST_COUNTED:,}.", param, ctx)
        return int(text)


class AllowanceShare(Quantity):
    """A share, or the word ``learned``."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The share as a fraction of one, or `LEARNED`."""
        if isinstance(value, str) and value.strip().casefold() == LEARNED:
            return LEARNED
        return super().convert(value, param, ctx)


def _amount(text: str) -> quantities.Amount:
    amount = quantities.parse_amount(text)
    if not (amount.mass_g or amount.volume_ml or 0.0) > 0:
        raise RequestError(f"'{text}' is nothing to work with; give an amount above zero like 205g or 180ml.")
    return amount


def _height_m(text: str) -> float:
    return quantities.parse_length_mm(text, bare="m") / 1000


def _mats(text: str) -> tuple[float, ...]:
    """``450``, ``1.5oz/ft2`` or ``3x450``: the weights of one mat or of several like it."""
    from moldvol.materials.mixtures.laminate import parse_areal_weight_g_m2

    count, times, weight = text.casefold().replace("×", "x").partition("x")
    if not times:
        return (parse_areal_weight_g_m2(text),)
    if not count.strip().isdecimal() or not 0 < int(count) <= _MOST_MATS:
        raise RequestError(f"'{text}' is no number of mats; write it like 3x450.")
    return (parse_areal_weight_g_m2(weight),) * int(count)


def _sides(text: str) -> tuple[float, ...]:
    """``120mm x 80mm x 90mm`` as mm; a side without a unit takes that of the last one."""
    pieces = text.casefold().replace("×", "x").split("x")
    unit = pieces[-1].strip().lstrip("0123456789.,/ -").strip() or "mm"
    bare = unit if unit in quantities.LENGTH_MM else "mm"
    sides = tuple(quantities.parse_length_mm(piece, bare=bare) for piece in pieces)
    if min(sides) <= 0:
        raise RequestError(f"'{text}' has a side of nothing; every side must be above zero.")
    return sides


def _mould(text: str) -> tuple[float, ...]:
    if len(sides := _sides(text)) not in (2, 3):
        raise RequestError(
            f"'{text}' is not the size of a mould; write length x width x height like 120mm x 80mm x 90mm, or "
            "diameter x height."
        )
    return sides


def _round(text: str) -> tuple[float, ...]:
    if len(sides := _sides(text)) != 2:
        raise RequestError(f"'{text}' is not the inside of a round vessel; write diameter x height like 250mm x 300mm.")
    return sides


def _sprue(text: str) -> tuple[float, float]:
    """``8mm x 30mm``: diameter and length of a sprue or vent, mm."""
    pieces = text.lower().replace("×", "x").split("x")
    if len(pieces) != 2:
        raise RequestError(f"'{text}' is not a sprue; write diameter x length like 8mm x 30mm.")
    try:
        diameter, length = (quantities.parse_length_mm(piece) for piece in pieces)
    except RequestError as error:
        raise RequestError(f"'{text}' is not a sprue: {error}") from None
    if diameter <= 0 or length <= 0:
        raise RequestError(f"'{text}' is not a sprue; both diameter and length must be above zero.")
    return diameter, length


def _opening(text: str) -> str | tuple[float, float, float]:
    """``bottom``, ``top`` or the place of a pour opening in mm."""
    word = text.strip().casefold()
    if word in ("bottom", "top"):
        return word
    try:
        return quantities.parse_vector(text)
    except RequestError:
        raise RequestError(f"'{text}' is no opening; say bottom, top or a place in mm like 0,0,30.") from None


def _level(text: str) -> float:
    """``3mm below rim`` or plain ``3mm``: how far below its rim a mould is filled."""
    length = re.sub(r"\s*\b(below|under)\s+(the\s+)?rim\s*$", "", text, flags=re.IGNORECASE)
    try:
        return quantities.parse_length_mm(length)
    except RequestError:
        raise RequestError(f"'{text}' is no level; write it like 3mm or '3mm below rim'.") from None


def _walls(text: str) -> tuple[float, ...]:
    """``3mm,5mm``: one or several walls."""
    walls = tuple(quantities.parse_length_mm(piece) for piece in text.split(","))
    if min(walls) <= 0:
        raise RequestError(f"'{text}' holds a wall of nothing; give walls above zero like 3mm,5mm.")
    return walls


def _heat_mould(text: str) -> tuple[str, float]:
    """``silicone:15mm``, ``plaster:30mm`` or ``none``: a material round the resin and its thickness in mm."""
    name, colon, thickness = text.partition(":")
    name = name.strip().casefold()
    if name == "none" and not colon:
        return name, 0.0
    if not colon:
        raise RequestError(f"'{text}' states no thickness; write it like silicone:15mm, or none.")
    from moldvol.materials.chemistry.thermal import mould_material

    mould_material(name)
    thick = quantities.parse_length_mm(thickness)
    if not thick > 0:
        raise RequestError(f"'{text}' is a mould of nothing; write it like silicone:15mm, or none.")
    return name, thick


def _detail(text: str) -> int:
    """How many points of a field lie inside the part."""
    try:
        points = int(float(text.replace("_", "").replace(",", "").casefold().replace("k", "e3").replace("m", "e6")))
    except (ValueError, OverflowError):
        points = 0
    if not 1_000 <= points <= 20_000_000:
        raise RequestError(f"'{text}' is no detail; give how many points inside to measure, like 250k (1k to 20m).")
    return points


def _unit(text: str) -> str:
    from moldvol.geometry.units import parse_unit

    return parse_unit(text)


def refuse_amount_as_file(file: str | None, quantity: Quantity, option: str) -> None:
    """Say where an amount belongs that was typed in the place of a *file*. Raises `RequestError` for one."""
    if file is None or Path(file).exists():
        return
    try:
        quantity.convert(file, None, None)
    except click.UsageError:
        return  # no amount either: the reader has the better words for a file that is not there
    raise RequestError(f"{file} is no mesh file; type an amount like that as {option} {file}.")


def refuse_what_is_no_mesh(files: Sequence[str]) -> None:
    """Say where an amount, or the name of a table to be written, belongs that was typed among the mesh *files*.

    Raises `RequestError` for one.
    """
    for file in files:
        if Path(file).suffix.casefold() in ROW_ENDINGS:
            raise RequestError(f"{file} is no mesh file; where rows are to go is said with --out {file}.")
        if _is_an_amount(file) and not Path(file).exists():
            raise RequestError(
                f"{file} is no mesh file; an amount is mixed without one: 'moldvol mix {_quoted(file)} --resin NAME'."
            )


def refuse_mesh_as_amount(amount: str) -> None:
    """Say which command takes a mesh that was typed in the place of an *amount*. Raises `RequestError` for one."""
    if not _is_an_amount(amount) and (Path(amount).suffix.casefold() in ENDINGS_OF_MESHES or Path(amount).is_file()):
        raise RequestError(
            f"{amount} is a file, not an amount; 'moldvol cast {_quoted(amount)} --resin NAME' tells what a cast of a "
            "mesh takes."
        )


def _is_an_amount(text: str) -> bool:
    try:
        quantities.parse_amount(text)
    except RequestError:
        return False
    return True


def _quoted(text: str) -> str:
    return f'"{text}"' if " " in text else text


FORMATS = ("stl", "obj", "ply", "off", "3mf", "glb")
ENDINGS_OF_MESHES = tuple(f".{ending}" for ending in FORMATS)
ROW_ENDINGS = {".csv": "csv", ".jsonl": "json-lines", ".ndjson": "json-lines"}
_MOST_MATS = 100
_MOST_COUNTED = 1_000_000

COUNT = Count()
SHELF_NAME = ShelfName()
LENGTH = Quantity("length", quantities.parse_length_mm)
LEVEL = Quantity("level", _level, zero=True)
LENGTH_OR_NONE = Quantity("length", quantities.parse_length_mm, zero=True)
MASS = Quantity("mass", quantities.parse_mass_g)
MASS_OR_NONE = Quantity("mass", quantities.parse_mass_g, zero=True)
VOLUME = Quantity("volume", quantities.parse_volume_ml)
SHARE = Quantity("share", quantities.parse_share, zero=True)
ALLOWANCE = AllowanceShare("share", quantities.parse_share, zero=True)
CHANGE = Quantity("share", quantities.parse_share, positive=False)
AMOUNT = Quantity("amount", _amount, positive=False)
AREA = Quantity("area", quantities.parse_area_mm2)
MATS = Quantity("mat", _mats, positive=False)
ALTITUDE = Quantity("height above the sea", _height_m, positive=False)
MOULD = Quantity("size", _mould, positive=False)
ROUND = Quantity("size", _round, positive=False)
DURATION = Quantity("time", quantities.parse_duration_s)
PRESSURE = Quantity("pressure", quantities.parse_pressure_pa)
TEMPERATURE = Quantity("temperature", quantities.parse_temperature_c, positive=False)
VECTOR = Quantity("direction", quantities.parse_vector, positive=False)
SPRUE = Quantity("sprue", _sprue, positive=False)
OPENING = Quantity("opening", _opening, positive=False)
HEAT_MOULD = Quantity("mould", _heat_mould, positive=False)
WALLS = Quantity("walls", _walls, positive=False)
DETAIL = Quantity("detail", _detail)
UNIT = Quantity("unit", _unit, positive=False)

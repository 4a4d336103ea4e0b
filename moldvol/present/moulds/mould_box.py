"""How the box of a mould and the container for degassing its rubber are told."""

from __future__ import annotations

from typing import Any

from moldvol.casting.mould.box import FREEBOARD_MM, MouldBox
from moldvol.materials.vessels.vacuum import Degassing
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Section, Table


def box_section(box: MouldBox, units: Units) -> Section:
    """The boards to cut."""
    rows = tuple(
        (board.name, str(board.count), numbers.length(board.length_mm, units), numbers.length(board.width_mm, units))
        for board in box.boards
    )
    lines = (Row("Boards", numbers.length(box.board_mm, units), "thick; without a lid"),)
    above = numbers.length(FREEBOARD_MM, units)
    remark = f"Long sides on the base's edge, short sides between them; they stand {above} above the rubber."
    return Section("The box", lines, Table(("board", "cut", "long", "wide"), rows, frozenset({1, 2, 3})), (remark,))


def degassing_section(air: Degassing, units: Units) -> Section:
    """The container that the rubber does not climb out of."""
    rise = (
        f"rises to {numbers.significant(air.rise, 2)} times its {numbers.volume(air.liquid_volume_ml * 1000, units, 3)}"
    )
    at = f"at {numbers.pressure(air.absolute_pa, units)} absolute"
    rows = (
        Row("Container", numbers.volume(air.container_ml * 1000, units, 2), "at least, for the largest mix at once"),
        Row("The froth", rise, f"{at} ({numbers.inches_of_mercury(air.gauge_pa)} below the air)"),
    )
    return Section("Degassing", rows, remarks=("Too large? Pump it in several lots, or let air in now and then.",))


def box_json(box: MouldBox) -> dict[str, Any]:
    """The box and its boards."""
    return {
        "inside_mm": box.inside_mm,
        "board_mm": box.board_mm,
        "boards": [
            {"name": board.name, "count": board.count, "length_mm": board.length_mm, "width_mm": board.width_mm}
            for board in box.boards
        ],
    }


def degassing_json(air: Degassing) -> dict[str, Any]:
    """The container and why it is so large."""
    return {
        "absolute_pa": air.absolute_pa,
        "rise": air.rise,
        "liquid_volume_ml": air.liquid_volume_ml,
        "container_ml": air.container_ml,
    }

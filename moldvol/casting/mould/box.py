"""The box a mould is poured in, as boards to cut. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.errors import RequestError

USUAL_BOARD_MM = 15.0  # melamine-faced chipboard, common practice
FREEBOARD_MM = 10.0  # of the sides above the rubber, common practice


@dataclass(frozen=True, slots=True)
class Board:
    """So many boards of one size."""

    name: str
    count: int
    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class MouldBox:
    """A box of loose boards: long sides between the base's edges, short sides between the long ones."""

    inside_mm: tuple[float, float, float]
    board_mm: float
    boards: tuple[Board, ...]


def box_with_inside(inside_mm: tuple[float, float, float], board_mm: float = USUAL_BOARD_MM) -> MouldBox:
    """Boards for a box whose rubber will measure *inside_mm*; the sides stand 10 mm higher.

    >>> [(b.name, b.count, b.length_mm, b.width_mm) for b in box_with_inside((100, 60, 40)).boards]
    [('base', 1, 130.0, 90.0), ('long side', 2, 130.0, 50.0), ('short side', 2, 60, 50.0)]
    """
    if not board_mm > 0:
        raise RequestError(f"A board of {board_mm:g} mm is none; give the thickness of the box boards.")
    length, width = max(inside_mm[:2]), min(inside_mm[:2])
    height = inside_mm[2] + FREEBOARD_MM
    boards = (
        Board("base", 1, length + 2 * board_mm, width + 2 * board_mm),
        Board("long side", 2, length + 2 * board_mm, height),
        Board("short side", 2, width, height),
    )
    return MouldBox(inside_mm, board_mm, boards)

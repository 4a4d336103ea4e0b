"""Boards for a box of a given inside."""

from __future__ import annotations

import pytest

from moldvol.casting.mould.box import box_with_inside
from moldvol.errors import RequestError


def test_boards_fit_around_the_rubber():
    box = box_with_inside((60, 100, 40), board_mm=18)
    assert [(board.name, board.count, board.length_mm, board.width_mm) for board in box.boards] == [
        ("base", 1, 136, 96),
        ("long side", 2, 136, 50),
        ("short side", 2, 60, 50),
    ]


def test_boards_without_thickness_are_refused():
    with pytest.raises(RequestError, match="A board of 0 mm is none"):
        box_with_inside((10, 10, 10), board_mm=0)

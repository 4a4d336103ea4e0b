"""A scan in metres read as mm, a plan in mm read as metres: every command that reads a mesh answers or refuses, calmly.

Refusals name the size, for it is nearly always the reason; figures carry the same remark.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import Outcome, answered, cube, moldvol
from tests.cli.test_manners import SENTENCE
from tests.files import CUBE_CORNERS, binary_stl

RESIN = ("--resin", "fast-urethane")
COARSE = ("--detail", "8k")
COMMANDS = [
    ("measure", "FILE"),
    ("cast", "FILE", *RESIN),
    ("hollow", "FILE", "--wall", "3mm", *RESIN, *COARSE),
    ("compare", "FILE", "--wall", "3mm", *RESIN, *COARSE),
    ("mould", "FILE", "--rubber", "tin-silicone"),
    ("mould", "FILE", "--rubber", "tin-silicone", "--style", "glove"),
    ("fill", "FILE", *RESIN),
    ("heat", "FILE", *RESIN, *COARSE),
    ("laminate", "FILE", "--mat", "450"),
    ("plaster", "--of", "FILE"),
    ("foam", "--of", "FILE"),
    ("leftover", "20g", *RESIN, "--into", "FILE"),
    ("vessel", "FILE", "--around", "10mm", "--pressure", "60psi"),
]
NAMES = [" ".join(words[:5]) for words in COMMANDS]


def ran(words: tuple[str, ...], file: Path, *more: str) -> Outcome:
    return moldvol(*(file if word == "FILE" else word for word in words), *more)


@pytest.fixture(scope="module")
def tiny(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cube of 20 mm drawn in metres: 0.02 mm where mm is assumed."""
    path = tmp_path_factory.mktemp("tiny") / "tiny.stl"
    path.write_bytes(binary_stl(CUBE_CORNERS / 1000))
    return path


@pytest.mark.parametrize("words", COMMANDS, ids=NAMES)
def test_a_tiny_part_is_answered_or_refused_with_its_size(tiny: Path, words: tuple[str, ...]) -> None:
    told = ran(words, tiny)
    said = told.words if told.status == 0 else told.sentence
    assert told.status in (0, 1, 2) and "he largest side is 0.02 mm, an unlikely size" in said
    assert "--unit m would make sense" in said
    if told.status:
        assert SENTENCE.match(told.sentence) and told.out == ""


@pytest.mark.parametrize("words", COMMANDS, ids=NAMES)
@pytest.mark.parametrize("scale", ["0.0001", "20000"])
def test_no_size_is_a_fault_of_ours(tmp_path: Path, words: tuple[str, ...], scale: str) -> None:
    if "glove" in words and float(scale) > 1:
        scale = "20"  # the skin's grid is bounded, but at its bound it takes a minute
    told = ran(words, cube(tmp_path), "--scale", scale, "-q")
    assert told.status in (0, 1, 2)
    assert told.out.count("\n") == 1 if told.status == 0 else SENTENCE.match(told.sentence)


def test_what_was_read_is_remarked_on_where_only_a_volume_was_asked_for(tmp_path: Path, tiny: Path) -> None:
    codes = [warning["code"] for warning in answered("leftover", "20g", *RESIN, "--into", tiny)["warnings"]]
    assert "unit-improbable" in codes
    two = moldvol("leftover", "20g", *RESIN, "--into", tiny, "--into", cube(tmp_path)).words
    assert f"{tiny}: The largest side is 0.02 mm" in two
    assert "unlikely size" in moldvol("laminate", tiny, "--mat", "450", "-q").out
    assert "unlikely" not in moldvol("plaster", "--of", cube(tmp_path)).words


def test_next_to_nothing_fills_a_mould_once(tiny: Path) -> None:
    """A mould of less than the planner's step of a tenth of a gram was divided by."""
    plan = answered("leftover", "20g", *RESIN, "--into", tiny)["leftover"]
    assert [filling["count"] for filling in plan["fillings"]] == [1]

"""The manual of moulds: its formulas are computed here; its transcripts are run by tests/test_manual.py."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

from tests.cli.command_line import moldvol

PAGE = Path(__file__).parent.parent / "docs" / "moulds.md"


def test_the_formulas_give_what_the_manual_says() -> None:
    result = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8")
    assert result.attempted > 0
    assert result.failed == 0


def test_every_option_of_the_manual_is_there() -> None:
    page = PAGE.read_text(encoding="utf-8")
    known = moldvol("mould", "--help").out + moldvol("fill", "--help").out
    assert [option for option in set(re.findall(r"(--[a-z][a-z-]+)", page)) if option not in known] == []

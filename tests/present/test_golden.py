"""The sheets as people see them, word for word."""

from __future__ import annotations

import pytest

from tests.golden import HERE, SHEETS, sheet_of


@pytest.mark.parametrize("name", SHEETS)
def test_the_sheet_has_not_changed_unnoticed(name: str) -> None:
    """If the change is meant, ``python -m tests.golden`` writes the sheets anew."""
    assert sheet_of(SHEETS[name]) == (HERE / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_fits_eighty_columns(name: str) -> None:
    assert max(map(len, (HERE / name).read_text(encoding="utf-8").splitlines())) <= 80

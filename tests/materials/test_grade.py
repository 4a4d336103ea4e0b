"""A grade is one of six words and, in a few more, its source."""

from __future__ import annotations

import pytest

from moldvol.materials.grade import GRADE_NAMES, Grade, parse_grade


@pytest.mark.parametrize("name", GRADE_NAMES)
def test_a_grade_reads_back_as_it_is_written(name: str) -> None:
    for grade in (Grade(name), Grade(name, "somebody: a book")):  # type: ignore[arg-type]
        assert parse_grade(str(grade)) == grade


@pytest.mark.parametrize("text", ["", "standards: EN 1", "hearsay", ": a source"])
def test_other_words_are_no_grade(text: str) -> None:
    assert parse_grade(text) is None

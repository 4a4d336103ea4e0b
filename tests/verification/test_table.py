"""docs/verification.md names every check and no other; that its figures are true is asked with each check itself."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.verification.checks import Check, Grade, Group, Outcome, Stated, rel, within
from tests.verification.table import (
    MODULES,
    PAGE,
    Row,
    allowed,
    groups,
    name_in_table,
    objections_of_page,
    rows_on_page,
    section,
    source_in_table,
    summary,
)


def test_every_module_is_in_the_table() -> None:
    modules = {path.stem.removeprefix("test_") for path in Path(__file__).parent.glob("test_*.py")}
    assert modules - {"table"} == set(MODULES)


def test_the_page_names_every_check_and_no_other() -> None:
    told = [(group.heading, name_in_table(check)) for group in groups() for check in group.checks]
    assert list(rows_on_page()) == told


def test_the_page_tells_every_source_and_what_is_allowed() -> None:
    page = rows_on_page()
    for group in groups():
        for check in group.checks:
            row = page[group.heading, name_in_table(check)]
            assert (row.allowed, row.source) == (allowed(check), source_in_table(check))


def test_the_page_counts_the_checks_and_says_what_the_groups_say() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert summary(list(groups())) in text
    for group in groups():
        assert " ".join(group.says.split()) in text


def a_check(**changed: object) -> Check:
    usual = {
        "name": "a cube",
        "source": "a handbook",
        "grade": Grade.PRINTED,
        "expected": 8000.0,
        "unit": "mm³",
        "got": lambda: 8004.0,
        "allowed": rel(1e-3),
    }
    return Check(**{**usual, **changed})


class TestObjections:
    def test_none_within_the_tolerance(self) -> None:
        assert a_check().outcome().objections() == []

    @pytest.mark.parametrize(
        "wrong",
        [
            {"got": lambda: 8009.0},
            {"got": lambda: 8001.0, "allowed": rel(below=1e-3)},
            {"got": lambda: 7999.0, "allowed": within(above=5)},
            {"got": lambda: np.nan},
            {"expected": lambda: (8000.0, 8020.0)},
            {"got": lambda pose: 8000.0 + 10 * pose, "cases": (0, 1)},
            {"got": lambda: Stated.of((8004.0, 3.0))},
            {"got": lambda: Stated.of((8004.0, 200.0))},
        ],
        ids=["off", "above", "below", "no number", "one of two", "one of two poses", "error too small", "too large"],
    )
    def test_what_is_wrong_is_told(self, wrong: dict[str, object]) -> None:
        (objection,) = a_check(**wrong).outcome().objections()
        assert objection.startswith("a cube: ")

    def test_two_checks_of_one_name_are_refused(self) -> None:
        with pytest.raises(ValueError, match="bear one name: a cube"):
            Group("Cubes", "", (a_check(), a_check()))


class TestRows:
    def row(self, **changed: object) -> Row:
        return Row.of(a_check(**changed).outcome())

    def test_a_figure(self) -> None:
        line = self.row().line(with_errors=False)
        assert line == "| a cube | 8,000 mm³ | 8,004 | +0.05 % | ± 0.1 % | *printed*: a handbook |"

    def test_the_worst_pose_and_its_error(self) -> None:
        row = self.row(got=lambda pose: Stated.of((8000.0 - pose, 4.0)), cases=(1, 2), allowed=within(below=5))
        assert row.line(with_errors=True) == (
            "| a cube, worst of 2 poses | 8,000 mm³ | 7,998 | -2 mm³ | -5 mm³ to 0 | ± 4 mm³ | *printed*: a handbook |"
        )

    def test_rounding_is_called_so(self) -> None:
        row = self.row(got=lambda: 8000.0 * (1 + 8e-7), allowed=rel(1e-6))
        assert (row.difference, row.allowed) == ("rounding", "rounding")

    @pytest.mark.parametrize("with_errors", [False, True])
    def test_a_row_is_read_as_it_was_written(self, with_errors: bool) -> None:
        row = self.row(got=lambda: Stated.of((8004.0, 4.0))) if with_errors else self.row()
        assert Row.read(row.line(with_errors=with_errors)) == row

    def test_no_column_for_errors_where_none_is_stated(self) -> None:
        group = Group("Cubes", "Of all sizes.", (a_check(),))
        assert "stated error" not in section(group, [self.row()])
        assert "stated error" in section(group, [self.row(got=lambda: Stated.of((8004.0, 4.0)))])


class TestObjectionsOfThePage:
    def outcome(self, name: str, change: float) -> tuple[Group, Outcome]:
        """A quick check of the page, its figure changed."""
        group = next(group for group in groups() if group.heading == "Units")
        (check,) = (check for check in group.checks if check.name == name)
        found = check.outcome()
        return group, Outcome(check, found.expected, found.got + change, found.errors)

    def test_none_where_it_is_true(self) -> None:
        assert objections_of_page(*self.outcome("1 lb", 0)) == []

    def test_a_figure_that_has_moved(self) -> None:
        (objection,) = objections_of_page(*self.outcome("1 lb", 0.01))
        assert objection.startswith("docs/verification.md says 453.5924, not 453.6024; `python -m")

    def test_a_check_that_is_missing(self) -> None:
        group = Group("Units", "", (a_check(),))
        assert objections_of_page(group, a_check().outcome()) == ["docs/verification.md has no row for 'a cube'"]

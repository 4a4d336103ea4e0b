"""The checks as tables in docs/verification.md, and whether the page still says what the checks give."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields
from importlib import import_module
from pathlib import Path

import numpy as np

from tests.verification.checks import Check, Grade, Group, Outcome, Tolerance

PAGE = Path(__file__).parents[2] / "docs" / "verification.md"
BEGIN = "<!-- made by python -m tests.verification -->"
END = "<!-- end of the tables -->"
MODULES = (
    "solids",
    "polyhedra",
    "sample_meshes",
    "scans",
    "hollow",
    "levels",
    "moulds",
    "mixing",
    "weighing",
    "units",
    "workshop_formulas",
    "heat",
    "pot_life",
)
MEANINGS = {
    Grade.PRINTED: "a figure printed by others: a standard, a textbook, a published table",
    Grade.PROGRAM: "worked out by an independent program or general-purpose library from the same input",
    Grade.MATHEMATICS: "a theorem, a closed form or a published series",
    Grade.CONSTRUCTION: "known because we made it so: a hole that we cut, a triangle that we turned over",
    Grade.OWN: "worked out by us a second time, in another way",
    Grade.ARITHMETIC: "only shows that the stated formula is the one that runs; nothing outside confirms it",
    Grade.MEMORY: "widely printed, written down from memory and not looked up again",
    Grade.PRACTICE: "a rule of the trade that nobody has proved to us",
}
ROUNDING, ROUNDED = 1e-6, "rounding"  # a share of the figure; seven digits are shown
SAME_DIGITS = 6e-7
HUNDRED, MILLION = 100, 1e6  # from here on whole numbers
SAME_SHARE = 0.1  # of the tolerance: another machine rounds otherwise
NUMBER = re.compile(r"[-+]?[\d,]*\.?\d+(?:e[-+]?\d+)?")


def groups() -> Iterator[Group]:
    """The groups of all modules, in the order of the page."""
    for name in MODULES:
        yield import_module(f"tests.verification.test_{name}").GROUP


def name_in_table(check: Check) -> str:
    return f"{check.name}, worst of {len(check.cases)} poses" if check.cases else check.name


def source_in_table(check: Check) -> str:
    return f"*{check.grade.value}*: {check.source}" if check.source else f"*{check.grade.value}*"


def figures(values: np.ndarray) -> str:
    return "; ".join(f"{value:,.0f}" if abs(value) >= MILLION else f"{value:,.7g}" for value in values)


def two_digits(value: float) -> str:
    """Without its sign, and never in powers of ten."""
    if abs(value) >= HUNDRED:
        return f"{abs(value):,.0f}"
    return np.format_float_positional(abs(value), precision=2, fractional=False, trim="-")


def amount(value: float, check: Check) -> str:
    """A difference or error without its sign, in the measure of the check's tolerance."""
    if not check.allowed.is_share:
        return f"{two_digits(value)} {check.unit}".strip()
    return f"{two_digits(100 * value)} %" if abs(value) > ROUNDING else ROUNDED


def difference(outcome: Outcome) -> str:
    off = outcome.differences[outcome.worst_case]
    worst = off[np.abs(off).argmax()]
    if abs(worst) * outcome.check.allowed.scale(outcome.expected).max() <= SAME_DIGITS * np.abs(outcome.got).max():
        return "0"
    shown = amount(worst, outcome.check)
    return shown if shown == ROUNDED else f"{'-' if worst < 0 else '+'}{shown}"


def allowed(check: Check) -> str:
    bounds: Tolerance = check.allowed
    below, above = (amount(bound, check) if bound else "0" for bound in (bounds.below, bounds.above))
    if bounds.below == bounds.above:
        return above if above == ROUNDED else f"± {above}"
    return f"{'-' if bounds.below else ''}{below} to {'+' if bounds.above else ''}{above}"


def stated_error(outcome: Outcome) -> str:
    if outcome.errors is None:
        return ""
    errors = outcome.errors[outcome.worst_case]
    if outcome.check.allowed.is_share:
        errors = errors / np.abs(outcome.got[outcome.worst_case])
    shown = amount(errors.max(), outcome.check)
    return shown if shown == ROUNDED else f"± {shown}"


@dataclass(frozen=True)
class Row:
    """One line of a table, cell by cell."""

    check: str
    expected: str
    got: str
    difference: str
    allowed: str
    stated_error: str
    source: str

    @classmethod
    def of(cls, outcome: Outcome) -> Row:
        check = outcome.check
        return cls(
            check=name_in_table(check),
            expected=f"{figures(outcome.expected)} {check.unit}".strip(),
            got=figures(outcome.got[outcome.worst_case]),
            difference=difference(outcome),
            allowed=allowed(check),
            stated_error=stated_error(outcome),
            source=source_in_table(check),
        )

    @classmethod
    def read(cls, line: str) -> Row:
        """A line of the page, with or without a stated error."""
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        return cls(*cells[:5], *(cells[5:] if len(cells) == len(fields(cls)) else ("", cells[-1])))

    def line(self, *, with_errors: bool) -> str:
        cells = [getattr(self, name) for name in columns(with_errors=with_errors)]
        return f"| {' | '.join(cells)} |"


def columns(*, with_errors: bool) -> list[str]:
    return [field.name for field in fields(Row) if with_errors or field.name != "stated_error"]


def section(group: Group, rows: list[Row]) -> str:
    """The heading, what is said below it, and the table."""
    with_errors = any(row.stated_error for row in rows)
    names = [name.replace("_", " ") for name in columns(with_errors=with_errors)]
    lines = [row.line(with_errors=with_errors) for row in rows]
    says = " ".join(group.says.split())
    return "\n".join([f"## {group.heading}\n\n{says}\n", f"| {' | '.join(names)} |\n|{'---|' * len(names)}", *lines])


def summary(shown: list[Group]) -> str:
    """How many checks there are of each grade, and what each grade is worth."""
    count = Counter(check.grade for group in shown for check in group.checks)
    rows = [f"| *{grade.value}* | {MEANINGS[grade]} | {count[grade]} |" for grade in Grade if count[grade]]
    total = f"| all | | {sum(count.values())} |"
    return "\n".join(["| grade | what stands behind the expected figure | checks |\n|---|---|---|", *rows, total])


def rows_on_page() -> dict[tuple[str, str], Row]:
    """The rows of the committed page, by heading and name of the check."""
    found, heading = {}, ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            heading = line[3:]
        elif heading and line.startswith("| ") and not line.startswith("| check |"):
            row = Row.read(line)
            found[heading, row.check] = row
    return found


def objections_of_page(group: Group, outcome: Outcome) -> list[str]:
    """Where the committed page says otherwise than the check does now."""
    now, page = Row.of(outcome), rows_on_page().get((group.heading, name_in_table(outcome.check)))
    if page is None:
        return [f"docs/verification.md has no row for '{now.check}'"]
    wrong = [
        f"docs/verification.md says '{told}', not '{is_now}'"
        for told, is_now in ((page.allowed, now.allowed), (page.source, now.source))
        if told != is_now
    ]
    bounds = outcome.check.allowed
    slack = SAME_SHARE * max(bounds.below, bounds.above) * bounds.scale(outcome.expected).max()
    for told, is_now in ((page.expected, outcome.expected), (page.got, outcome.got[outcome.worst_case])):
        if np.any(~(np.abs(numbers(told, len(is_now)) - is_now) <= slack + SAME_DIGITS * np.abs(is_now))):
            wrong.append(f"docs/verification.md says {told}, not {figures(is_now)}")
    return [f"{what}; `python -m tests.verification` writes it anew" for what in wrong]


def numbers(cell: str, count: int) -> np.ndarray:
    """The first *count* numbers of a cell; not a number where there are fewer."""
    found = [float(piece.replace(",", "")) for piece in NUMBER.findall(cell)[:count]]
    return np.array(found + [np.nan] * (count - len(found)))

"""``python -m tests.verification [HEADING …]`` writes the tables of docs/verification.md anew, or those named.

A row whose check needs what is not installed here keeps what the page says.
"""

from __future__ import annotations

import sys

from tests.verification.checks import Check, Group, Outcome
from tests.verification.table import BEGIN, END, PAGE, Row, groups, name_in_table, rows_on_page, section, summary


def main(headings: list[str]) -> None:
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(BEGIN)
    after = rest.partition(END)[2]
    shown = list(groups())
    tables = [section(group, _rows(group, afresh=not headings or group.heading.lower() in headings)) for group in shown]
    PAGE.write_text("\n\n".join([before + BEGIN, summary(shown), *tables, END + after]), encoding="utf-8")


def _rows(group: Group, *, afresh: bool) -> list[Row]:
    """A row for each check: what the page has, unless it is to be made *afresh* or is new."""
    known = rows_on_page()
    rows = []
    for check in group.checks:
        kept = known.get((group.heading, name_in_table(check)))
        outcome = _outcome(check) if afresh or kept is None else None
        row = Row.of(outcome) if outcome is not None else kept
        rows += [row] if row is not None else []
    return rows


def _outcome(check: Check) -> Outcome | None:
    """What the check gives here, or None where it cannot run; what does not hold is told and shown all the same."""
    if check.needs is not None and not check.needs.is_met():
        return None
    outcome = check.outcome()
    for objection in outcome.objections():
        sys.stderr.write(f"{objection}\n")
    return outcome


if __name__ == "__main__":
    main([heading.lower() for heading in sys.argv[1:]])

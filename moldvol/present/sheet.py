"""The sheet for the workshop: one HTML file that needs no network, for a printer, a phone, or a nail in the wall.

A report is told in the order in which it is used: what it is, what can hurt, what to weigh, what to do next; what the
figures rest on comes last. Nothing in the file runs, and its own security policy forbids it to load anything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePath
from typing import TYPE_CHECKING

from moldvol import __version__
from moldvol.present.report import Report, Row, Section, Step

if TYPE_CHECKING:
    from jinja2 import Environment

    from moldvol.present.pictures import Picture

TEMPLATE = "sheet.html"
MANY_LINES = 9  # to weigh and to do: more than that leaves less room for pictures and notes on two pages
MANY_COLUMNS = 5  # of a table to weigh by: with more its figures are set smaller, so that it keeps within the margins


@dataclass(frozen=True, slots=True)
class _Sorted:
    """The sections of a report by their use: what it is for, worked through at the bench, or looked up."""

    amounts: tuple[Row, ...]
    leading: tuple[Section, ...]
    bench: tuple[Section, ...]
    grounds: tuple[Section, ...]

    @classmethod
    def of(cls, report: Report) -> _Sorted:
        bench = tuple(one for one in report.sections if one.table is not None and one.table.ticks)
        leading = tuple(one for one in report.sections if one.table is not None and one.table.leads)
        amounts = tuple(row for one in report.sections for row in one.rows if row.weight == "amount")
        grounds = tuple(one for one in report.sections if one not in bench and one not in leading)
        return cls(amounts, leading, bench, grounds)

    @property
    def weighings(self) -> int:
        """How many lines are to be weighed out."""
        return sum(len(one.table.rows) for one in self.bench if one.table is not None)


def sheet_html(
    report: Report,
    *,
    pictures: Sequence[Picture] = (),
    settings: Mapping[str, str] | None = None,
    steps: Sequence[Step] = (),
    made_on: date | None = None,
) -> str:
    """*report* as one self-contained HTML page, to be printed on one or two pages of A4 or Letter in black and white.

    *settings* are what was asked for, as typed; *steps* what is done in turn beside the weigh-out; *made_on* the date
    on the sheet, today without it. Everything that comes from outside is escaped.
    """
    template = _environment().get_template(TEMPLATE)
    use = _Sorted.of(report)
    return template.render(
        report=report,
        headline=_headline(report),
        use=use,
        MANY_COLUMNS=MANY_COLUMNS,
        is_long=len(steps) + use.weighings >= MANY_LINES,
        pictures=pictures,
        settings=settings or {},
        steps=steps,
        made_on=made_on or date.today(),
        version=__version__,
    )


def _headline(report: Report) -> str:
    """The title; of a file only its name, since the folders before it stand below in full."""
    is_file = any(row.label == "File" and row.value == report.title for row in report.about)
    return PurePath(report.title.replace("\\", "/")).name or report.title if is_file else report.title


def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("moldvol.present"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )

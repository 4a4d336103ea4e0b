"""A plan told in plain pieces, before anyone decides whether it goes to a terminal, a printed sheet or a page.

Every estimate has one module in this room that turns its plan into a `Report` and into JSON; the renderers know
reports only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from moldvol.notices import Notice

Weight = Literal["plain", "strong", "amount"]


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a sheet: what, how much, and a quieter remark behind it."""

    label: str
    value: str
    remark: str = ""
    weight: Weight = "plain"


@dataclass(frozen=True, slots=True)
class Table:
    """Columns of text; ``numeric`` names the columns whose digits line up on the right.

    A table that ``ticks`` is worked through at the bench, row by row: on paper each row has a box to tick and room for
    what was really poured, and the columns in ``large`` are printed to be read at arm's length. One that ``leads`` is
    what the sheet is for: on paper it stands across the page, ahead of what the figures rest on.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: frozenset[int] = frozenset()
    ticks: bool = False
    leads: bool = False
    large: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do at the bench, in its turn: what, how much, when by the stopwatch, and by when it must be done.

    What is done ``before`` anything is weighed out stands above the weigh-out on paper, the rest below it.
    """

    what: str
    amount: str = ""
    at: str = ""
    by: str = ""
    remark: str = ""
    before: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with rows under it, then a table, then remarks in full sentences."""

    heading: str
    rows: tuple[Row, ...] = ()
    table: Table | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """One sheet: the verdict first, then the sections, then what to watch.

    ``line`` is the answer in a single line, for who wants no sheet: it names the file where there is one. ``grave`` are
    those of the warnings that nobody is spared. ``job`` and ``about`` say on paper what the command line has said at a
    terminal: what is made, from which file, in which unit, of which resin.
    """

    title: str
    verdict: str
    sections: tuple[Section, ...]
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    job: str = ""
    about: tuple[Row, ...] = ()
    line: str = ""
    grave: tuple[str, ...] = ()

    def in_one_line(self) -> str:
        """The answer and what must be read with it."""
        return " ".join((self.line, *self.grave))

    def without_remarks(self) -> Report:
        """The bare result: verdict, numbers, and what must be read with them."""
        sections = tuple(
            Section(section.heading, section.rows, section.table)
            for section in self.sections
            if section.rows or section.table
        )
        return Report(self.title, self.verdict, sections, self.grave, line=self.line)

    def followed_by(
        self,
        *sections: Section,
        warnings: tuple[str, ...] = (),
        grave: tuple[str, ...] = (),
        cautions: tuple[str, ...] = (),
        about: tuple[Row, ...] = (),
    ) -> Report:
        """The same sheet with more on it."""
        return replace(
            self,
            sections=(*self.sections, *sections),
            warnings=(*self.warnings, *(w for w in warnings if w not in self.warnings)),
            grave=(*self.grave, *(g for g in grave if g not in self.grave)),
            cautions=(*self.cautions, *(c for c in cautions if c not in self.cautions)),
            about=(*self.about, *about),
        )


def messages(notices: Iterable[Notice]) -> tuple[str, ...]:
    """What *notices* say."""
    return tuple(notice.message for notice in notices)


def grave(notices: Iterable[Notice]) -> tuple[str, ...]:
    """What those of *notices* say that nobody is spared."""
    return messages(notice for notice in notices if notice.grave)

"""Reports on a terminal: a short, calm sheet of at most eighty columns, with colour only where a person looks.

rich is imported when something is drawn, not before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TextIO

from moldvol.present.report import Report, Row, Section, Table

if TYPE_CHECKING:
    from rich.console import Console

Colour = Literal["auto", "always", "never"]

# The only colours of the terminal, by what they mean.
STYLES = {
    "title": "bold",
    "heading": "bold",
    "label": "dim",
    "plain": "none",
    "strong": "bold",
    "amount": "bold cyan",
    "remark": "dim",
    "warning": "yellow",
    "caution": "magenta",
}
# What each wish means to rich: the sixteen colours of any terminal are all that `STYLES` names.
COLOUR_SYSTEMS: dict[Colour, Literal["auto", "standard"] | None] = {"auto": "auto", "always": "standard", "never": None}
LABEL_WIDTH = 16
SHEET_WIDTH = 80


def console_for(stream: TextIO, colour: Colour = "auto") -> Console:
    """A console on *stream*, no wider than a sheet.

    Colour ``auto`` is for a terminal that wants it (``NO_COLOR``); ``always`` is also for a pipe, whatever the
    environment says, as a word on the command line counts more; ``never`` leaves out bold letters, too.
    """
    from rich.console import Console

    console = Console(
        file=stream,
        highlight=False,
        soft_wrap=False,
        emoji=False,
        markup=False,
        force_terminal=True if colour == "always" else None,
        no_color=False if colour == "always" else None,
        color_system=COLOUR_SYSTEMS[colour],
    )
    width = console.width if console.is_terminal else SHEET_WIDTH
    console.width = min(max(width, 50), SHEET_WIDTH)
    return console


def draw(report: Report, console: Console) -> None:
    """Draw *report* on *console*, without the blanks that fill up its lines."""
    with console.capture() as drawn:
        _draw(report, console)
    console.file.write("".join(f"{line.rstrip()}\n" for line in drawn.get().splitlines()))


def _draw(report: Report, console: Console) -> None:
    from rich.text import Text

    console.print(Text(report.title, style=STYLES["title"]))
    if report.verdict:
        console.print(Text(report.verdict))
    for section in report.sections:
        _draw_section(section, console)
    _draw_list("Mind", report.warnings, "warning", console)
    _draw_list("Cautions", report.cautions, "caution", console)


def _draw_section(section: Section, console: Console) -> None:
    from rich.text import Text

    console.print()
    console.print(Text(section.heading, style=STYLES["heading"]))
    if section.rows:
        console.print(_grid(section.rows))
    if section.table is not None:
        console.print(_table(section.table))
    for remark in section.remarks:
        _hanging(remark, "  ", "remark", console)


def _grid(rows: tuple[Row, ...]) -> object:
    from rich.table import Table as RichTable
    from rich.text import Text

    grid = RichTable.grid(padding=(0, 2, 0, 0))
    grid.add_column(width=2)
    grid.add_column(min_width=LABEL_WIDTH, style=STYLES["label"], no_wrap=True)
    grid.add_column(overflow="fold")
    for row in rows:
        value = Text(row.value, style=STYLES[row.weight])
        if row.remark:
            value.append(f"  {row.remark}", style=STYLES["remark"])
        grid.add_row("", row.label, value)
    return grid


def _table(table: Table) -> object:
    from rich.box import SIMPLE_HEAD
    from rich.table import Table as RichTable
    from rich.text import Text

    drawn = RichTable(box=SIMPLE_HEAD, pad_edge=True, header_style=STYLES["label"])
    for number, column in enumerate(table.columns):
        justify: Literal["left", "right"] = "right" if number in table.numeric else "left"
        # A figure cut short with an ellipsis is worse than one that takes two lines.
        drawn.add_column(column, justify=justify, no_wrap=number == 0, overflow="fold")
    for row in table.rows:
        drawn.add_row(*(Text(cell) for cell in row))
    return drawn


def _draw_list(heading: str, lines: tuple[str, ...], style: str, console: Console) -> None:
    from rich.text import Text

    if not lines:
        return
    console.print()
    console.print(Text(heading, style=STYLES["heading"]))
    for line in lines:
        _hanging(line, "  • ", style, console)


def _hanging(line: str, lead: str, style: str, console: Console) -> None:
    """A sentence with its later lines set under its first word."""
    from rich.table import Table as RichTable
    from rich.text import Text

    grid = RichTable.grid(padding=0)
    grid.add_column(width=len(lead), no_wrap=True)
    grid.add_column()
    grid.add_row(lead, Text(line, style=STYLES[style]))
    console.print(grid)

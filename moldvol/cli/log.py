"""``moldvol log``: the pour book, what was planned and what it really took."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from moldvol.casting.learned_allowance import LearnedAllowance, learned_allowance
from moldvol.casting.pour_book import RESULTS, Pour, PourBook, Result
from moldvol.cli.bench_options import book_at, book_option
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import OutputOptions, output_options, shelf_option
from moldvol.cli.piped import Piped, read_piped
from moldvol.cli.telling import Telling
from moldvol.cli.types import MASS, MASS_OR_NONE, TEMPERATURE
from moldvol.errors import RequestError
from moldvol.materials.shelf import alternatives, load_shelf
from moldvol.notices import Notice
from moldvol.present.mixing import log

_MOST_DIGITS = 18  # SQLite counts its rows no further


@click.group("log")
def command() -> None:
    """The pour book: enter what each pour really took, and your allowance learns from it."""


@command.command("add")
@click.argument("source", required=False, metavar="[-]")
@click.option("--resin", help="What was poured, by its name on the shelf.")
@click.option("--mould", help="Into which mould; always the same name for the same mould.")
@click.option("--planned", "planned_g", type=MASS, help="What was to be mixed, e.g. 205g.")
@click.option(
    "--actual", "actual_g", type=MASS_OR_NONE, required=True, help="What was mixed, less what was left over to use."
)
@click.option("--net", "net_g", type=MASS, help="What the mould holds by its mesh; the allowance is learned from it.")
@click.option("--room", "room_c", type=TEMPERATURE, help="Temperature of the room, e.g. 21c or 70f.")
@click.option("--result", type=click.Choice(RESULTS), default="good", help="How it came out.")
@click.option("--note", default="", help="Anything worth remembering.")
@click.option("--when", metavar="DATE", help="When it was poured if not now, e.g. 2025-03-01 or 2025-03-01T14:30.")
@shelf_option
@book_option
@output_options
def add(
    source: str | None,
    resin: str | None,
    mould: str | None,
    planned_g: float | None,
    actual_g: float,
    net_g: float | None,
    room_c: float | None,
    result: Result,
    note: str,
    when: str | None,
    shelves: tuple[Path, ...],
    book: Path | None,
    output: OutputOptions,
) -> int:
    """Enter a pour.

    With - its plan is taken from the JSON that another command pipes in.
    """
    piped = _piped(source)
    doubts = _doubts_about_name(resin, shelves, book_at(book))
    entered = book_at(book).add(
        Pour(
            resin=_named(resin or piped.resin_key, "resin", "--resin"),
            mould=_named(mould or piped.mould_name, "mould", "--mould"),
            planned_g=_known(planned_g or piped.planned_g),
            actual_g=actual_g,
            net_g=net_g or piped.net_g,
            room_c=room_c,
            result=result,
            note=note,
            poured_at=_moment(when),
        )
    )
    learned = learned_allowance(book_at(book), mould=entered.mould, resin=entered.resin)
    tell_one(
        Telling(
            lambda units: log.entry_report(entered, learned, units, doubts),
            lambda: log.entry_document(entered, learned, doubts),
        ),
        output,
    )
    return 0


@command.command("remove")
@click.argument("number", metavar="NUMBER")
@book_option
@output_options
def remove(number: str, book: Path | None, output: OutputOptions) -> int:
    """Take back the pour of that NUMBER, entered wrong; the others keep their numbers."""
    removed = book_at(book).remove(_number_of_pour(number))
    tell_one(
        Telling(lambda units: log.removal_report(removed, units), lambda: {"removed": log.pour_json(removed)}), output
    )
    return 0


@command.command("show")
@click.option("--mould", help="Only pours of this mould.")
@click.option("--resin", help="Only pours of this resin.")
@book_option
@output_options
def show(mould: str | None, resin: str | None, book: Path | None, output: OutputOptions) -> int:
    """The pours so far, and the allowance they suggest."""
    chosen = book_at(book)
    pours = chosen.pours(mould=mould, resin=resin)
    learned = _learned(chosen, mould, resin)
    place = str(chosen.path)
    tell_one(
        Telling(
            lambda units: log.book_report(pours, learned, place, units),
            lambda: log.book_document(pours, learned, place),
        ),
        output,
    )
    return 0


@command.group("export")
def export() -> None:
    """The whole book as a file for other programs."""


@export.command("csv")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
@book_option
@output_options
def export_csv(file: Path, force: bool, book: Path | None, output: OutputOptions) -> int:
    """Write the book to FILE as CSV, a heading first; never over a file that exists, unless --force."""
    written = book_at(book).export_csv(file, force=force)
    told = log.export_report(written, str(file))
    tell_one(Telling(lambda _: told, lambda: {"file": str(file), "pours": written}), output)
    return 0


def _piped(source: str | None) -> Piped:
    if source is None:
        return Piped({})
    if source != "-":
        raise RequestError(f"'{source}' is not understood; give the pour by options, or - for JSON from a pipe.")
    return read_piped()


def _named(name: str | None, what: str, option: str) -> str:
    if name is None or not name.strip():
        raise RequestError(f"The pour names no {what}; add {option}.")
    return name.strip()


def _doubts_about_name(resin: str | None, shelves: tuple[Path, ...], book: PourBook) -> tuple[Notice, ...]:
    """A word on a *resin* that was typed and stands neither on the shelf nor in the book yet."""
    shelf = load_shelf(shelves)
    name = (resin or "").strip()
    if not name or name in shelf.resins or book.pours(resin=name):
        return ()
    near = shelf.resins_like(name)
    meant = f"did you mean {alternatives(near)}? If not," if near else "if it is a name of your own,"
    return (Notice("resin-not-on-shelf", f"'{name}' is not on the shelf; {meant} always write it alike."),)


def _number_of_pour(text: str) -> int:
    digits = text.strip().removeprefix("#")
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= _MOST_DIGITS):
        raise RequestError(f"'{text}' is no number of a pour; 'moldvol log show' lists them with their numbers.")
    return int(digits)


def _known(planned_g: float | None) -> float:
    if planned_g is None:
        raise RequestError("The pour does not say what was planned; add --planned, e.g. --planned 205g.")
    return planned_g


def _moment(when: str | None) -> datetime | None:
    if when is None:
        return None
    try:
        return datetime.fromisoformat(when).astimezone()  # without a zone: the clock on this wall
    except (ValueError, OverflowError, OSError):
        raise RequestError(f"'{when}' is no date; write it like 2025-03-01 or 2025-03-01T14:30.") from None


def _learned(book: PourBook, mould: str | None, resin: str | None) -> LearnedAllowance | None:
    names: dict[str, Any] = {"mould": mould, "resin": resin}
    return learned_allowance(book, **names) if mould or resin else None

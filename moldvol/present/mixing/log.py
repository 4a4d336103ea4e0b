"""How the pour book is told: one entry, the pages, and what they teach."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from moldvol.casting.learned_allowance import LearnedAllowance, below_net, took_too_little
from moldvol.casting.pour_book import Pour
from moldvol.notices import Notice
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table


def entry_report(pour: Pour, learned: LearnedAllowance, units: Units, doubts: Sequence[Notice] = ()) -> Report:
    """One pour as it now stands in the book, with *doubts* about what was typed."""
    entered = f"Pour {pour.number} is in the book."
    sections = (_pour(pour, units), _lesson(learned))
    said = tuple(notice.message for notice in _all_said(pour, learned, doubts, units))
    line = f"{entered} It took less than the mould holds, so it teaches nothing." if took_too_little(pour) else entered
    return Report(entered, "", sections, said, line=_taught(line, learned))


def removal_report(pour: Pour, units: Units) -> Report:
    """One pour that stands in the book no longer, in full, so that it can be entered anew."""
    removed = f"Pour {pour.number} is taken back; it is in the book no longer."
    return Report(removed, "", (_pour(pour, units),), line=removed)


def _pour(pour: Pour, units: Units) -> Section:
    rows = [
        Row("Mould", pour.mould),
        Row("Resin", pour.resin),
        Row("Planned", _grams(pour.planned_g, units)),
        Row("Took", _grams(pour.actual_g, units), _against_net(pour, units)),
        Row("Result", pour.result, pour.note),
    ]
    if pour.room_c is not None:
        rows.insert(4, Row("Room", numbers.temperature(pour.room_c, units)))
    return Section("The pour", tuple(rows))


def _all_said(
    pour: Pour, learned: LearnedAllowance, doubts: Sequence[Notice], units: Units = Units.METRIC
) -> tuple[Notice, ...]:
    """What is to be said of an entry and of what the book now teaches; of this *pour* but once."""
    if not took_too_little(pour) or pour.net_g is None:
        return (*doubts, *learned.notices)
    message = (
        f"{_grams(pour.actual_g, units)} is {numbers.per_cent(below_net(pour))} less than the "
        f"{_grams(pour.net_g, units)} the mould holds, so nothing is learned from this pour. If a figure is wrong, "
        f"take it back with 'moldvol log remove {pour.number}' and enter it anew."
    )
    others = (notice for notice in learned.notices if notice.code != "pours-not-counted")
    return (Notice("took-too-little", message), *doubts, *others)


def book_report(pours: Sequence[Pour], learned: LearnedAllowance | None, place: str, units: Units) -> Report:
    """The pages of the book, oldest first."""
    if not pours:
        nothing = f"Nothing is entered in {place}; 'moldvol log add' enters a pour."
        return Report("No pours", nothing, (), line=nothing)
    kinds = dict.fromkeys((pour.mould, pour.resin) for pour in pours)
    pages = tuple(_page([p for p in pours if (p.mould, p.resin) == kind], units) for kind in kinds)
    count = "1 pour" if len(pours) == 1 else f"{len(pours)} pours"
    lesson = () if learned is None else (_lesson(learned),)
    line = _taught(f"{count} in {place}.", learned)
    return Report(count, f"from {place}", (*pages, *lesson), _said(learned), line=line)


def export_report(pours: int, file: str) -> Report:
    """What was written where."""
    written = f"{pours} pours written to {file}." if pours != 1 else f"1 pour written to {file}."
    return Report(written, "", (), line=written)


def entry_document(pour: Pour, learned: LearnedAllowance, doubts: Sequence[Notice] = ()) -> dict[str, Any]:
    """The entry as one JSON object."""
    said = warnings(_all_said(pour, learned, doubts))
    return {"pour": pour_json(pour), "learned": learned_json(learned), "warnings": said}


def book_document(pours: Sequence[Pour], learned: LearnedAllowance | None, place: str) -> dict[str, Any]:
    """The pages as one JSON object."""
    return {
        "book": place,
        "pours": [pour_json(pour) for pour in pours],
        "learned": None if learned is None else learned_json(learned),
        "warnings": warnings(() if learned is None else learned.notices),
    }


def pour_json(pour: Pour) -> dict[str, Any]:
    """One pour; its time with the zone it was entered in."""
    return {
        "number": pour.number,
        "poured_at": None if pour.poured_at is None else pour.poured_at.isoformat(),
        "resin": pour.resin,
        "mould": pour.mould,
        "planned_g": pour.planned_g,
        "actual_g": pour.actual_g,
        "net_g": pour.net_g,
        "room_c": pour.room_c,
        "result": pour.result,
        "note": pour.note,
    }


def learned_json(learned: LearnedAllowance) -> dict[str, Any]:
    """What the book teaches; the allowance is null while there are too few pours."""
    return {
        "about": learned.about,
        "pours": learned.pours,
        "allowance_percent": None if learned.allowance is None else 100 * learned.allowance,
        "expected_cover": learned.expected_cover,
        "explanation": learned.explanation,
    }


def _page(pours: Sequence[Pour], units: Units) -> Section:
    """All pours of one mould in one resin."""
    columns = ("no.", "poured", "planned", "took", "over net", "result", "note")
    rows = tuple(_line(pour, units) for pour in pours)
    return Section(f"{pours[0].mould} in {pours[0].resin}", (), Table(columns, rows, frozenset({0, 2, 3, 4})))


def _line(pour: Pour, units: Units) -> tuple[str, ...]:
    return (
        str(pour.number),
        "" if pour.poured_at is None else pour.poured_at.astimezone().strftime("%Y-%m-%d"),
        _grams(pour.planned_g, units),
        _grams(pour.actual_g, units),
        _over_net(pour),
        pour.result,
        pour.note,
    )


def _grams(mass_g: float, units: Units) -> str:
    """A mass as it was read off the scale, to the tenth of a gram, not to four digits."""
    return f"{round(mass_g, 1):.15g} g" if units is Units.METRIC else numbers.mass(mass_g, units)


def _over_net(pour: Pour) -> str:
    return "" if pour.net_g is None else f"{100 * (pour.actual_g / pour.net_g - 1):+.1f} %"


def _against_net(pour: Pour, units: Units) -> str:
    if pour.net_g is None:
        return "no net mass stated, so nothing is learned from it"
    return f"{_over_net(pour)} against the {_grams(pour.net_g, units)} the mould holds"


def _lesson(learned: LearnedAllowance) -> Section:
    known = learned.allowance is not None
    rows = (Row("Allowance", numbers.per_cent(learned.allowance or 0.0), "take it with --allowance learned"),)
    return Section("What the book teaches", rows if known else (), remarks=(learned.explanation,))


def _taught(said: str, learned: LearnedAllowance | None) -> str:
    """*said*, and the allowance that the book teaches where it does."""
    if learned is None or learned.allowance is None:
        return said
    return f"{said} It teaches an allowance of {numbers.per_cent(learned.allowance)}."


def _said(learned: LearnedAllowance | None) -> tuple[str, ...]:
    return () if learned is None else tuple(notice.message for notice in learned.notices)

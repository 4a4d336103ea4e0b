"""A report as HTML for the page, every word of it escaped: file names are other people's."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from moldvol.present.pictures import Picture
from moldvol.present.report import Report, Row


def report_html(report: Report) -> str:
    """*report* below its title: verdict, warnings, sections, cautions."""
    return str(_macros().report(report))


def amounts_html(rows: Iterable[Row]) -> str:
    """The amounts that a sheet ends in, to be read across the workshop."""
    return str(_macros().amounts(rows))


def cautions_html(cautions: tuple[str, ...]) -> str:
    """The cautions alone, for the top of the weigh-out."""
    return str(_macros().listing("Cautions", cautions, "cautions"))


def plots_html(pictures: Iterable[Picture]) -> str:
    """Pictures with their titles, each saying in words what it shows."""
    return str(_macros().plots(pictures))


@cache
def _macros() -> Any:
    loader = PackageLoader("moldvol.page")
    environment = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template("report.html").module

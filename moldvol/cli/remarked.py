"""What is to be said of a mesh by a command that asks it for a figure only: its notices, and a doubt about its size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from moldvol.cli.telling import Telling
from moldvol.errors import MoldvolError
from moldvol.notices import Notice
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Report, grave, messages

if TYPE_CHECKING:
    from moldvol.geometry.solid import Solid

UNLIKELY_SIZE = "unit-improbable"


@contextmanager
def doubting_size(*solids: Solid) -> Iterator[None]:
    """Adds to a refusal that a size is unlikely, where that of one of *solids* is: most often it is the reason.

    Too little to weigh, a wall thicker than the part, no room for resin: a scan in metres read as mm is all of these.
    """
    try:
        yield
    except MoldvolError as error:
        doubt = next((one for solid in solids for one in solid.notices if one.code == UNLIKELY_SIZE), None)
        if doubt is None:
            raise
        reason = f"{doubt.message[:1].lower()}{doubt.message[1:]}"
        what, _, _ = error.message.removesuffix(".").partition("; ")  # what to do is in the reason
        raise type(error)(f"{what}: {reason}", file=error.file, code=error.kind, **error.details) from None


def with_remarks_on(solids: Sequence[Solid], telling: Telling) -> Telling:
    """*telling* with the notices of the meshes that it took a figure from; with several of them each names its file."""
    said = tuple(_named(notice, solid.name, len(solids)) for solid in solids for notice in solid.notices)
    if not said:
        return telling

    def report(units: Units) -> Report:
        return telling.report(units).followed_by(warnings=messages(said), grave=grave(said))

    def document() -> dict[str, Any]:
        told = telling.document()
        return {**told, "warnings": [*told["warnings"], *warnings(said)]}

    return replace(telling, report=report, document=document)


def _named(notice: Notice, file: str, files: int) -> Notice:
    return notice if files == 1 or file in notice.message else replace(notice, message=f"{file}: {notice.message}")

"""Sheets and pictures beside the result: where they go, refused before any work, written whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from moldvol.cli.options import FileOptions
from moldvol.cli.settings import settings_typed
from moldvol.cli.telling import Telling
from moldvol.errors import RequestError
from moldvol.present.numbers import Units
from moldvol.safe_files import check_place, write_bytes, write_text

if TYPE_CHECKING:
    from moldvol.present.pictures import Drawing, Format, Picture

SHEET_ENDINGS = (".html", ".htm")
PICTURE_ENDINGS = (".png", ".svg")


@dataclass(frozen=True, slots=True)
class Place:
    """The files that one result is written to."""

    sheet: Path | None = None
    picture: Path | None = None
    force: bool = False


def places_for(paper: FileOptions, names: Sequence[str]) -> tuple[Place, ...]:
    """Where the result for each of *names* goes; a folder gets one file for each, named after it.

    Raises `RequestError` where something could not be written anyway: an unknown ending, one file for several results,
    a folder that is not there, a file that exists already.
    """
    sheets = _paths(paper.sheet, names, SHEET_ENDINGS, "sheet")
    pictures = _paths(paper.picture, names, PICTURE_ENDINGS, "picture")
    for path in (*sheets, *pictures):
        if path is not None:
            check_place(path, force=paper.force)
    return tuple(Place(sheet, picture, paper.force) for sheet, picture in zip(sheets, pictures, strict=True))


def write_paper(telling: Telling, place: Place, units: Units) -> Iterator[Path]:
    """The files written for *telling*, each as soon as it is. Raises `RequestError` where one cannot be."""
    drawings = tuple(telling.pictures(units)) if telling.pictures is not None and place != Place() else ()
    if place.sheet is not None:
        html = _sheet(telling, drawings, units)
        yield write_text(place.sheet, html, force=place.force)
    if place.picture is not None:
        yield write_bytes(place.picture, _picture(drawings, place.picture), force=place.force)


def _paths(wanted: Path | None, names: Sequence[str], endings: tuple[str, ...], what: str) -> list[Path | None]:
    if wanted is None:
        return [None] * len(names)
    if wanted.is_dir():
        return [wanted / f"{stem}{endings[0]}" for stem in _stems(names)]
    if wanted.suffix.lower() not in endings:
        raise RequestError(
            f"{wanted} is no {what} that can be written; give a name that ends in {' or '.join(endings)}, "
            "or a folder that is there.",
            file=str(wanted),
        )
    if len(names) > 1:
        raise RequestError(
            f"{len(names)} results do not go into one {what} {wanted}; make a folder and give its name.",
            file=str(wanted),
        )
    return [wanted]


def _stems(names: Sequence[str]) -> list[str]:
    """A file name for each of *names*, numbered where two would be the same."""
    stems: list[str] = []
    for name in names:
        stem = plain = "standard-input" if name == "-" else Path(name).stem
        number = 1
        while stem.casefold() in (taken.casefold() for taken in stems):
            number += 1
            stem = f"{plain}-{number}"
        stems.append(stem)
    return stems


def _sheet(telling: Telling, drawings: Sequence[Drawing], units: Units) -> str:
    from moldvol.present.sheet import sheet_html

    pictures: list[Picture] = []
    if drawings:
        from moldvol.present.pictures import drawn

        pictures = [drawn(drawing) for drawing in drawings if drawing.on_sheet]
    steps = telling.steps(units) if telling.steps is not None else ()
    return sheet_html(telling.report(units), pictures=pictures, settings=settings_typed(), steps=steps)


def _picture(drawings: Sequence[Drawing], path: Path) -> bytes:
    from moldvol.present.pictures import drawn_on_one

    kind: Format = "svg" if path.suffix.lower() == ".svg" else "png"
    return drawn_on_one(*drawings, format=kind)

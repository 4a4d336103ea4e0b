"""``moldvol resins``."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.cli.meshes import tell_one
from moldvol.cli.options import OutputOptions, output_options, shelf_option
from moldvol.cli.telling import Telling
from moldvol.materials.shelf import Shelf, load_shelf


@click.command("resins")
@click.argument("name", required=False)
@shelf_option
@output_options
def command(name: str | None, shelves: tuple[Path, ...], output: OutputOptions) -> int:
    """The shelf: resins, rubbers, foams, fillers and plasters; with NAME one of them and the source of its figures."""
    shelf = load_shelf(shelves)
    tell_one(_telling(shelf, name), output)
    return 0


def _telling(shelf: Shelf, name: str | None) -> Telling:
    from moldvol.present.mixing import resins

    if name is None:
        return Telling(lambda _: resins.shelf_report(shelf), lambda: resins.shelf_document(shelf))
    if (filler := shelf.fillers.get(name)) is not None:
        return Telling(lambda _: resins.filler_report(filler), lambda: resins.item_document(filler))
    if (plaster := shelf.plasters.get(name)) is not None:
        return Telling(lambda _: resins.plaster_report(plaster), lambda: resins.item_document(plaster))
    resin = shelf.resin(name)
    return Telling(lambda _: resins.resin_report(resin), lambda: resins.resin_document(resin))

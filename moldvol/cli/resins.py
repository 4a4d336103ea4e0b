"""``moldvol resins``."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.cli.meshes import Telling, tell_one
from moldvol.cli.options import OutputOptions, output_options, shelf_option
from moldvol.materials.shelf import load_shelf


@click.command("resins")
@click.argument("name", required=False)
@shelf_option
@output_options
def command(name: str | None, shelves: tuple[Path, ...], output: OutputOptions) -> int:
    """The shelf of resins, rubbers and foams; with NAME one of them and the source of each figure."""
    from moldvol.present import resins

    shelf = load_shelf(shelves)
    if name is None:
        telling = Telling(lambda _: resins.shelf_report(shelf), lambda: resins.shelf_document(shelf))
    else:
        resin = shelf.resin(name)
        telling = Telling(lambda _: resins.resin_report(resin), lambda: resins.resin_document(resin))
    tell_one(telling, output)
    return 0

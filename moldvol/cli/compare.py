"""``moldvol compare``."""

from __future__ import annotations

from itertools import chain
from pathlib import Path

import click

from moldvol.cli.bench_options import AllowanceOptions, BenchOptions, allowance_options, coat_options
from moldvol.cli.field_options import FieldOptions, field_options
from moldvol.cli.meshes import load, progress_bar, tell_each
from moldvol.cli.options import (
    FileOptions,
    MeshOptions,
    OutputOptions,
    file_options,
    files_argument,
    mesh_options,
    output_options,
    shelf_option,
)
from moldvol.cli.remarked import doubting_size
from moldvol.cli.telling import Telling
from moldvol.cli.types import SHELF_NAME, WALLS
from moldvol.materials.shelf import load_shelf


@click.command("compare")
@files_argument
@click.option(
    "--resin",
    "resin_keys",
    type=SHELF_NAME,
    required=True,
    multiple=True,
    metavar="NAME[,NAME…]",
    help="Resins of the shelf to compare; may be repeated.",
)
@click.option(
    "--wall", "walls_mm", type=WALLS, multiple=True, default=["3mm,5mm"], help="Walls to compare; may be repeated."
)
@click.option("--copies", type=click.IntRange(min=1), default=1, help="How many casts are made.")
@click.option("--backfill", metavar="FOAM", help="Compare also each hollow cast filled with this foam.")
@allowance_options
@click.option("--heat", is_flag=True, help="Estimate also how hot each way gets; takes some seconds.")
@field_options
@coat_options
@shelf_option
@mesh_options
@file_options
@output_options
def command(
    files: tuple[str, ...],
    resin_keys: tuple[str, ...],
    walls_mm: tuple[tuple[float, ...], ...],
    copies: int,
    backfill: str | None,
    waste: AllowanceOptions,
    heat: bool,
    measured: FieldOptions,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    paper: FileOptions,
    output: OutputOptions,
) -> int:
    """Solid, hollow at each wall and back-filled side by side: weight, cost, pours and bench time of each mesh FILE."""
    from moldvol.casting.compare import plan_compare, with_peaks
    from moldvol.present.hollowing import compare

    shelf = load_shelf(shelves)
    keys = dict.fromkeys(key.strip() for keys in resin_keys for key in keys.split(","))
    mixes = [bench.request(shelf.resin(key), shelf) for key in keys]
    walls = tuple(dict.fromkeys(chain.from_iterable(walls_mm)))
    foam = None if backfill is None else shelf.resin(backfill)

    def tell(file: str) -> Telling:
        solid = load(file, mesh)
        with doubting_size(solid):
            with progress_bar(f"Measuring {file}", output) as progress:
                part = measured.part(solid, progress)
            plan = plan_compare(
                part,
                mixes,
                walls,
                copies=copies,
                allowance=waste.stated,
                learned=waste.learned_of(file, [mix.resin.key for mix in mixes]),
                backfill=foam,
                mixing_s=bench.mixing_s,
                pouring_s=bench.pouring_s,
            )
            if heat:
                plan = with_peaks(plan, 22.0 if bench.bench_c is None else bench.bench_c)
        return Telling(
            lambda units: compare.report(plan, units),
            lambda: compare.document(plan),
            pictures=lambda units: compare.pictures(plan, units),
        )

    return tell_each(files, output, tell, paper)

"""``moldvol hollow``."""

from __future__ import annotations

from dataclasses import replace
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
    resin_option,
    shelf_option,
)
from moldvol.cli.remarked import doubting_size
from moldvol.cli.telling import Telling
from moldvol.cli.types import LENGTH
from moldvol.materials.shelf import load_shelf


@click.command("hollow")
@files_argument
@click.option("--wall", "wall_mm", type=LENGTH, required=True, help="Wall of the hollow cast, e.g. 4mm or 1/8in.")
@resin_option
@click.option("--coats", type=click.IntRange(min=1), help="In how many coats the wall is built up.")
@click.option("--coat", "coat_mm", type=LENGTH, help="Thickness of one coat, e.g. 1.5mm, in place of their number.")
@click.option("--copies", type=click.IntRange(min=1), default=1, help="How many casts are mixed for.")
@click.option("--backfill", metavar="FOAM", help="A foam of the shelf that fills the core afterwards.")
@allowance_options
@field_options
@coat_options
@shelf_option
@mesh_options
@file_options
@output_options
def command(
    files: tuple[str, ...],
    wall_mm: float,
    resin_key: str,
    coats: int | None,
    coat_mm: float | None,
    copies: int,
    backfill: str | None,
    waste: AllowanceOptions,
    measured: FieldOptions,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    paper: FileOptions,
    output: OutputOptions,
) -> int:
    """What a hollow cast of each mesh FILE takes, coat by coat, and which part of it closes up on the way."""
    from moldvol.casting.hollow import HollowRequest, plan_hollow
    from moldvol.present.hollowing import hollow

    shelf = load_shelf(shelves)
    request = HollowRequest(
        mix=bench.request(shelf.resin(resin_key), shelf),
        wall_mm=wall_mm,
        coats=coats,
        coat_mm=coat_mm,
        copies=copies,
        allowance=waste.stated,
        backfill=None if backfill is None else shelf.resin(backfill),
        mixing_s=bench.mixing_s,
        pouring_s=bench.pouring_s,
    )

    def tell(file: str) -> Telling:
        solid = load(file, mesh)
        learned = waste.learned(file, resin_key)
        with doubting_size(solid):
            with progress_bar(f"Measuring {file}", output) as progress:
                part = measured.part(solid, progress)
            plan = plan_hollow(part, replace(request, learned=learned))
        return Telling(
            lambda units: hollow.report(plan, units),
            lambda: hollow.document(plan),
            pictures=lambda units: hollow.pictures(plan, units),
            steps=lambda units: hollow.steps(plan, units),
        )

    return tell_each(files, output, tell, paper)

"""``moldvol cast``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from moldvol.cli.batch import BatchOptions, batch_options, tell_many
from moldvol.cli.bench_options import AllowanceOptions, BenchOptions, allowance_options, bench_options
from moldvol.cli.meshes import load, working
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
from moldvol.cli.types import COUNT, SPRUE
from moldvol.materials.shelf import load_shelf


@click.command("cast")
@files_argument
@resin_option
@click.option("--copies", type=COUNT, default=1, help="How many casts are mixed for.")
@allowance_options
@click.option(
    "--sprue",
    "sprues",
    type=SPRUE,
    multiple=True,
    metavar="DIAMETERxLENGTH",
    help="A sprue or vent on each cast, e.g. '8mm x 30mm'; may be repeated.",
)
@click.option("--keep-voids", is_flag=True, help="Leave rooms that the master has sealed empty in the cast.")
@bench_options
@shelf_option
@mesh_options
@file_options
@batch_options
@output_options
def command(
    files: tuple[str, ...],
    resin_key: str,
    copies: int,
    waste: AllowanceOptions,
    sprues: tuple[tuple[float, float], ...],
    keep_voids: bool,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    paper: FileOptions,
    batch: BatchOptions,
    output: OutputOptions,
) -> int:
    """How much resin a solid cast of each mesh FILE takes, and how much of each part to weigh.

    A FILE may be a folder of meshes; --csv and --json-lines give a row for each.
    """
    from moldvol.casting.cast import CastRequest, plan_cast
    from moldvol.casting.mixing.mix import component_names
    from moldvol.geometry.wall.caliper import feel_wall
    from moldvol.present import cast
    from moldvol.present.batch import cast_columns
    from moldvol.present.pictures import three_sides

    shelf = load_shelf(shelves)
    request = CastRequest(
        mix=bench.request(shelf.resin(resin_key), shelf),
        copies=copies,
        allowance=waste.stated,
        sprues=sprues,
        keep_voids=keep_voids,
        cup_loss_g=bench.cup_loss_g,
    )

    def tell(file: str) -> Telling:
        with working(f"Measuring {file}", file, output):
            solid = load(file, mesh)
            asked = replace(request, learned=waste.learned(file, resin_key))
            with doubting_size(solid):
                plan = plan_cast(solid, asked, wall=feel_wall(solid.mesh))
        pots = bench.pots(plan.mix.request, loss_counted=plan.allowance_source == "learned")
        return Telling(
            lambda units: cast.report(plan, pots, units),
            lambda: cast.document(plan, pots),
            pictures=lambda units: [three_sides(solid.mesh)],
        )

    return tell_many(
        files,
        output,
        batch,
        tell,
        columns=lambda: cast_columns(component_names(request.mix)),
        paper=paper,
        force=paper.force,
    )

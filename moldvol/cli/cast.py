"""``moldvol cast``."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.cli.meshes import Telling, load, tell_each, working
from moldvol.cli.options import (
    MeshOptions,
    OutputOptions,
    ScaleOptions,
    files_argument,
    mesh_options,
    output_options,
    resin_option,
    scale_options,
    shelf_option,
)
from moldvol.cli.types import MASS_OR_NONE, SHARE, SPRUE, TEMPERATURE
from moldvol.materials.shelf import load_shelf


@click.command("cast")
@files_argument
@resin_option
@click.option("--copies", type=click.IntRange(min=1), default=1, help="How many casts are mixed for.")
@click.option(
    "--allowance", type=SHARE, help="Share added for waste, e.g. 8%; without it the usual one for the amount."
)
@click.option(
    "--per-pot-loss", "per_pot_loss_g", type=MASS_OR_NONE, default="0g", help="What stays in each pot, e.g. 3g."
)
@click.option("--pots", type=click.IntRange(min=1), default=1, help="How many pots it is mixed in.")
@click.option(
    "--sprue",
    "sprues",
    type=SPRUE,
    multiple=True,
    metavar="DIAMETER x LENGTH",
    help="A sprue or vent on each cast, e.g. '8mm x 30mm'; may be repeated.",
)
@click.option("--keep-voids", is_flag=True, help="Leave rooms that the master has sealed empty in the cast.")
@click.option("--bench", "bench_c", type=TEMPERATURE, help="Temperature at the bench, e.g. 22c or 72f.")
@scale_options
@shelf_option
@mesh_options
@output_options
def command(
    files: tuple[str, ...],
    resin_key: str,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    output: OutputOptions,
    weighing: ScaleOptions,
    **amounts: object,
) -> int:
    """How much resin a solid cast of each mesh FILE takes, and how much of each part to weigh."""
    from moldvol.casting.cast import CastRequest, plan_cast
    from moldvol.geometry.caliper import feel_wall
    from moldvol.present import cast

    request = CastRequest(resin=load_shelf(shelves).resin(resin_key), scale=weighing.scale(), **amounts)  # type: ignore[arg-type]

    def tell(file: str) -> Telling:
        with working(f"Measuring {file}", file, output):
            solid = load(file, mesh)
            plan = plan_cast(solid, request, wall=feel_wall(solid.mesh))
        return Telling(lambda units: cast.report(plan, units), lambda: cast.document(plan))

    return tell_each(files, output, tell)

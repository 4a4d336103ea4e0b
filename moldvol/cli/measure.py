"""``moldvol measure``."""

from __future__ import annotations

import click

from moldvol.cli.batch import BatchOptions, batch_options, tell_many
from moldvol.cli.meshes import load, read, solid_request, working
from moldvol.cli.options import (
    FileOptions,
    MeshOptions,
    OutputOptions,
    files_argument,
    mesh_options,
    output_options,
    picture_options,
)
from moldvol.cli.telling import Telling
from moldvol.cli.types import LENGTH


@click.command("measure")
@files_argument
@click.option("--thin", "thin_limit_mm", type=LENGTH, help="Say what share of the surface is thinner than this.")
@mesh_options
@picture_options
@batch_options
@output_options
def command(
    files: tuple[str, ...],
    thin_limit_mm: float | None,
    mesh: MeshOptions,
    paper: FileOptions,
    batch: BatchOptions,
    output: OutputOptions,
) -> int:
    """Size, volume and wall of each mesh FILE, and whether it can be trusted.

    A dash reads the mesh from standard input. A FILE may be a folder of meshes; --csv and --json-lines give a row for
    each.
    """
    from moldvol.casting.measure import plan_measure, plan_measure_of
    from moldvol.present import measure
    from moldvol.present.batch import MEASURE_COLUMNS
    from moldvol.present.pictures import three_sides

    def tell(file: str) -> Telling:
        with working(f"Measuring {file}", file, output):
            if mesh.plug_mm is None:
                plan = plan_measure_of(read(file, mesh), solid_request(mesh), thin_limit_mm=thin_limit_mm)
            else:
                plan = plan_measure(load(file, mesh), thin_limit_mm=thin_limit_mm)
        return Telling(
            lambda units: measure.report(plan, units),
            lambda: measure.document(plan),
            pictures=lambda units: [three_sides(plan.solid.mesh)],
        )

    return tell_many(files, output, batch, tell, columns=lambda: MEASURE_COLUMNS, paper=paper, force=paper.force)

"""``moldvol mould``: the rubber, the box or the jacket, and how the mould is cast in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from moldvol.cli.bench_options import AllowanceOptions, BenchOptions, allowance_options, bench_options
from moldvol.cli.meshes import load, tell_each, working
from moldvol.cli.mould_options import (
    JacketOptions,
    PumpOptions,
    ShapeOptions,
    jacket_options,
    pump_options,
    shape_options,
)
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
from moldvol.cli.types import SHELF_NAME
from moldvol.materials.shelf import load_shelf


@click.command("mould")
@files_argument
@click.option(
    "--rubber",
    "rubber_key",
    type=SHELF_NAME,
    required=True,
    metavar="NAME",
    help="A rubber of the shelf: tin-silicone.",
)
@shape_options
@jacket_options
@pump_options
@allowance_options
@bench_options
@shelf_option
@mesh_options
@file_options
@output_options
def command(
    files: tuple[str, ...],
    rubber_key: str,
    shape: ShapeOptions,
    jacket: JacketOptions,
    pump: PumpOptions,
    waste: AllowanceOptions,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    paper: FileOptions,
    output: OutputOptions,
) -> int:
    """What a mould of each master FILE takes: rubber, box or jacket, and how it is cast in afterwards."""
    from moldvol.casting.mould.air import air_when_cast
    from moldvol.casting.mould.plan import plan_mould
    from moldvol.casting.mould.request import MouldRequest
    from moldvol.present.moulds import mould
    from moldvol.present.moulds.mould_json import document
    from moldvol.present.moulds.mould_pictures import mould_drawing
    from moldvol.present.moulds.mould_steps import steps

    bench.refuse_lone_loss()
    shelf = load_shelf(shelves)
    request = MouldRequest(
        mix=bench.request(shelf.resin(rubber_key), shelf),
        jacket=jacket.request(shape.style, shelf, bench),
        allowance=waste.stated,
        vacuum_pa=pump.absolute_pa(),
        **shape.asked(),
    )

    def tell(file: str) -> Telling:
        with working(f"Measuring {file}", file, output):
            solid = load(file, mesh)
            learned_of_it = waste.learned(file, rubber_key, making=True)
            with doubting_size(solid):
                plan = plan_mould(solid, replace(request, learned=learned_of_it))
                air = air_when_cast(plan)
        learned = plan.needed.allowed.source == "learned"
        pots = tuple(bench.pots(pour.mix.request, loss_counted=learned) for pour in plan.pours)
        told = mould.Told(plan, air, tuple(split for split in pots if split is not None))
        return Telling(
            lambda units: mould.report(told, units),
            lambda: document(told),
            pictures=lambda units: [mould_drawing(plan, air)],
            steps=lambda units: steps(plan, units),
        )

    return tell_each(files, output, tell, paper)

"""``moldvol foam``: the liquid that fills a core when it has risen."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.casting.mixing.rising import plan_foam
from moldvol.cli.bench_options import BenchOptions, bench_options
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import MeshOptions, OutputOptions, mesh_options, output_options, shelf_option
from moldvol.cli.remarked import doubting_size, with_remarks_on
from moldvol.cli.telling import Telling
from moldvol.cli.types import SHARE, VOLUME
from moldvol.cli.volumes import measured, piped_core_mm3
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf
from moldvol.present.mixing import foam


@click.command("foam")
@click.argument("core", required=False, metavar="[VOLUME]")
@click.option("--of", "file", metavar="FILE", help="The core is the mesh FILE.")
@click.option("--resin", "resin_key", metavar="NAME", default="rigid-foam", help="A foam of the shelf.")
@click.option("--overpack", type=SHARE, help="How much more than free rise, if not the foam's own, e.g. 15%.")
@bench_options
@shelf_option
@mesh_options
@output_options
def command(
    core: str | None,
    file: str | None,
    resin_key: str,
    overpack: float | None,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    output: OutputOptions,
) -> int:
    """How much of each part of a foam fills a core of VOLUME (2l), or - for the JSON of moldvol hollow piped in."""
    if (core is None) == (file is None):
        raise RequestError("Give the core either as a VOLUME, like 2l, or as the mesh --of FILE, one of the two.")
    bench.refuse_lone_loss()
    shelf = load_shelf(shelves)
    request = bench.request(shelf.resin(resin_key), shelf)
    solids = measured(file, mesh, output)
    with doubting_size(*solids):
        plan = plan_foam(solids[0].outer_volume_mm3 if solids else _typed_mm3(core or ""), request, overpack=overpack)
    pots = bench.pots(plan.mix.request)
    telling = Telling(lambda units: foam.report(plan, pots, units), lambda: foam.document(plan, pots))
    tell_one(with_remarks_on(solids, telling), output)
    return 0


def _typed_mm3(core: str) -> float:
    return piped_core_mm3() if core == "-" else 1000 * float(VOLUME.convert(core, None, None))

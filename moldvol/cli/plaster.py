"""``moldvol plaster``: water and powder for a slurry."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.casting.mixing.slurry import SlurryRequest, plan_slurry
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import MeshOptions, OutputOptions, mesh_options, output_options, shelf_option
from moldvol.cli.remarked import doubting_size, with_remarks_on
from moldvol.cli.telling import Telling
from moldvol.cli.types import AMOUNT, MASS, SHARE
from moldvol.cli.volumes import measured
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.scales import Scale
from moldvol.present.mixing import plaster
from moldvol.quantities import Amount


@click.command("plaster")
@click.argument("amount", type=AMOUNT, required=False, metavar="[AMOUNT]")
@click.option("--of", "file", metavar="FILE", help="As much as the mesh FILE holds.")
@click.option("--plaster", "key", metavar="NAME", default="pottery-plaster", help="A plaster of the shelf.")
@click.option("--consistency", type=float, help="Grams of water to 100 g of powder, if not the plaster's own.")
@click.option("--allowance", type=SHARE, default="0%", help="Share added for what stays in the bucket, e.g. 10%.")
@click.option("--readability", "readability_g", type=MASS, default="1g", help="Step of your scale's display: 0.1g.")
@shelf_option
@mesh_options
@output_options
def command(
    amount: Amount | None,
    file: str | None,
    key: str,
    consistency: float | None,
    allowance: float,
    readability_g: float,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    output: OutputOptions,
) -> int:
    """Water and plaster for AMOUNT of slurry (3l), or for the powder at hand (2kg)."""
    if (amount is None) == (file is None):
        raise RequestError("Give the amount either as AMOUNT, like 3l, or as the mesh --of FILE, one of the two.")
    powder = load_shelf(shelves).plaster(key)
    solids = measured(file, mesh, output)
    with doubting_size(*solids):
        plan = plan_slurry(
            SlurryRequest(
                powder=powder,
                volume_mm3=solids[0].outer_volume_mm3 if solids else _typed_mm3(amount),
                powder_g=None if amount is None else amount.mass_g,
                consistency=consistency,
                allowance=allowance,
                scale=Scale(readability_g=readability_g),
            )
        )
    telling = Telling(lambda units: plaster.report(plan, units), lambda: plaster.document(plan))
    tell_one(with_remarks_on(solids, telling), output)
    return 0


def _typed_mm3(amount: Amount | None) -> float | None:
    return None if amount is None or amount.volume_ml is None else amount.volume_ml * 1000

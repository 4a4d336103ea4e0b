"""``moldvol leftover``: the cup is not empty, which small moulds to fill."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.casting.mixing.leftover import SmallCavity, cavities_on_shelf, cavity_for_volume, spend_leftover
from moldvol.casting.mixing.mix import density_of
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.cli.bench_options import add_option, additions_of
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import (
    MeshOptions,
    OutputOptions,
    mesh_options,
    output_options,
    resin_option,
    shelf_option,
)
from moldvol.cli.remarked import with_remarks_on
from moldvol.cli.telling import Telling
from moldvol.cli.types import AMOUNT
from moldvol.cli.volumes import measured
from moldvol.errors import RequestError
from moldvol.materials.shelf import Shelf, load_shelf
from moldvol.present.mixing import leftover
from moldvol.quantities import Amount


@click.command("leftover")
@click.argument("amount", type=AMOUNT)
@click.argument("files", nargs=-1, metavar="[FILE…]")
@resin_option
@click.option("--into", multiple=True, metavar="FILE…", help="Meshes of small moulds to choose from.")
@click.option("--each", type=click.IntRange(min=1), default=1, help="How many there are of the mould of each FILE.")
@click.option("--into-shelf", is_flag=True, help="Choose from the small moulds of your shelf too.")
@add_option
@shelf_option
@mesh_options
@output_options
def command(
    amount: Amount,
    files: tuple[str, ...],
    resin_key: str,
    into: tuple[str, ...],
    each: int,
    into_shelf: bool,
    additions: tuple[str, ...],
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    output: OutputOptions,
) -> int:
    """Which small moulds to fill with AMOUNT (18g, 15ml) left in the cup, so that least is wasted.

    The moulds are meshes (--into FILE…) or the small moulds on a shelf of your own (--shelf).
    """
    shelf = load_shelf(shelves)
    mix = MixRequest(resin=shelf.resin(resin_key), additions=additions_of(additions, shelf))
    density = density_of(mix)
    named = tuple(dict.fromkeys((*into, *files)))
    solids = [solid for file in named for solid in measured(file, mesh, output)]
    cavities = [
        cavity_for_volume(file, solid.outer_volume_mm3 / 1000, density, at_most=each)
        for file, solid in zip(named, solids, strict=True)
    ]
    if into_shelf or not cavities:
        cavities += _on_shelf(shelf, density)
    left_g = (amount.volume_ml or 0.0) * density if amount.mass_g is None else amount.mass_g
    plan = spend_leftover(left_g, cavities)
    told = leftover.Told(plan, tuple(cavities), mix.resin)
    telling = Telling(lambda units: leftover.report(told, units), lambda: leftover.document(told))
    tell_one(with_remarks_on(solids, telling), output)
    return 0


def _on_shelf(shelf: Shelf, density_g_ml: float) -> tuple[SmallCavity, ...]:
    if not shelf.small_moulds:
        raise RequestError(
            "There is no small mould to choose from; name meshes with --into, or a shelf that lists [small_mould.…]."
        )
    return cavities_on_shelf(shelf.small_moulds.values(), density_g_ml)

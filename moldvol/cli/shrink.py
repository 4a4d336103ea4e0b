"""``moldvol shrink``: the size of the master."""

from __future__ import annotations

from pathlib import Path

import click

from moldvol.casting.enlarging import (
    ShrinkStep,
    own_step,
    own_step_by_volume,
    plan_shrink,
    step_of_metal,
    step_of_plaster,
    step_of_resin,
)
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import OutputOptions, output_options, shelf_option
from moldvol.cli.telling import Telling
from moldvol.cli.types import CHANGE, LENGTH
from moldvol.materials.chemistry.shrinkage import PATTERN_RULES
from moldvol.materials.shelf import Shelf, load_shelf
from moldvol.present.mixing import shrink


@click.command("shrink")
@click.argument("sizes_mm", nargs=-1, type=LENGTH, metavar="SIZE…")
@click.option("--resin", "resin_key", metavar="NAME", help="What the cast is of; see 'moldvol resins'.")
@click.option("--rubber", "rubber_key", metavar="NAME", help="What the mould is of, if it shrinks too.")
@click.option("--plaster", "plaster_key", metavar="NAME", help="A plaster on the way, which grows as it sets.")
@click.option("--metal", type=click.Choice(list(PATTERN_RULES)), help="A cast in metal, by the pattern-makers' rules.")
@click.option("--shrinkage", "linear", type=CHANGE, multiple=True, help="Your own figure, linear, e.g. 0.4%.")
@click.option("--by-volume", "volumetric", type=CHANGE, multiple=True, help="The same by volume, e.g. 7%.")
@shelf_option
@output_options
def command(
    sizes_mm: tuple[float, ...],
    resin_key: str | None,
    rubber_key: str | None,
    plaster_key: str | None,
    metal: str | None,
    linear: tuple[float, ...],
    volumetric: tuple[float, ...],
    shelves: tuple[Path, ...],
    output: OutputOptions,
) -> int:
    """How large to make the master so that the cast comes out at each SIZE (120mm, 4 1/2in); without SIZE the factor.

    All that shrinks on the way counts together: name what the mould and the cast are of.
    """
    steps = [
        *_from_shelf(load_shelf(shelves), rubber_key, plaster_key, resin_key),
        *([step_of_metal(metal)] if metal else []),
        *map(own_step, linear),
        *map(own_step_by_volume, volumetric),
    ]
    plan = plan_shrink(sizes_mm, steps)
    tell_one(Telling(lambda units: shrink.report(plan, units), lambda: shrink.document(plan)), output)
    return 0


def _from_shelf(shelf: Shelf, rubber: str | None, plaster: str | None, resin: str | None) -> list[ShrinkStep]:
    steps = []
    if rubber is not None:
        steps.append(step_of_resin(shelf.resin(rubber)))
    if plaster is not None:
        steps.append(step_of_plaster(shelf.plaster(plaster)))
    if resin is not None:
        steps.append(step_of_resin(shelf.resin(resin)))
    return steps

"""``moldvol heat``."""

from __future__ import annotations

from pathlib import Path

import click

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
from moldvol.cli.types import DETAIL, HEAT_MOULD, LENGTH, TEMPERATURE, VOLUME
from moldvol.materials.shelf import load_shelf


@click.command("heat")
@files_argument
@resin_option
@click.option("--wall", "wall_mm", type=LENGTH, help="Cast it hollow with this wall; without it solid.")
@click.option(
    "--mould",
    "mould",
    type=HEAT_MOULD,
    default="silicone:15mm",
    metavar="MATERIAL:THICKNESS",
    help="What stands round the resin: silicone:15mm, urethane-rubber:10mm, plaster:30mm, or none.",
)
@click.option(
    "--room", "room_c", type=TEMPERATURE, default="22c", help="Temperature of room and mould, e.g. 22c or 72f."
)
@click.option(
    "--resin-temperature", "resin_c", type=TEMPERATURE, help="Temperature of the mixed resin, if not the room's."
)
@click.option("--pot", "pot_ml", type=VOLUME, help="Say also how long a pot of this size stays liquid.")
@click.option("--limit", "limit_c", type=TEMPERATURE, default="120c", help="Temperature that no section should pass.")
@click.option("--detail", type=DETAIL, default="60k", help="Points inside the part that are measured; heat needs few.")
@shelf_option
@mesh_options
@file_options
@output_options
def command(
    files: tuple[str, ...],
    resin_key: str,
    wall_mm: float | None,
    mould: tuple[str, float],
    room_c: float,
    resin_c: float | None,
    pot_ml: float | None,
    limit_c: float,
    detail: int,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    paper: FileOptions,
    output: OutputOptions,
) -> int:
    """How hot each mesh FILE gets when it is cast, where and when, whether the mould bears it, and what helps.

    An estimate with a band, never a licence: try a small pour first.
    """
    from moldvol.casting.heat_of_cast import HeatRequest, plan_cast_heat
    from moldvol.casting.hollow_part import field_of
    from moldvol.present.heating import heat

    request = HeatRequest(
        resin=load_shelf(shelves).resin(resin_key),
        mould=mould[0],
        mould_mm=mould[1],
        wall_mm=wall_mm,
        room_c=room_c,
        resin_c=resin_c,
        limit_c=limit_c,
        pot_ml=pot_ml,
    )

    def tell(file: str) -> Telling:
        solid = load(file, mesh)
        with doubting_size(solid), progress_bar(f"Working out the heat of {file}", output) as progress:
            plan = plan_cast_heat(solid, field_of(solid, interior_points=detail), request, progress)
        return Telling(
            lambda units: heat.report(plan, units),
            lambda: heat.document(plan),
            pictures=lambda units: heat.pictures(plan, units),
        )

    return tell_each(files, output, tell, paper)

"""``moldvol laminate``: gel coat and glass mat for a jacket."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from moldvol.casting.mould.lay_up import LaminateRequest, plan_laminate
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import MeshOptions, OutputOptions, mesh_options, output_options, shelf_option
from moldvol.cli.remarked import with_remarks_on
from moldvol.cli.telling import Telling
from moldvol.cli.types import AREA, LENGTH, LENGTH_OR_NONE, MASS, MATS, SHARE, TEMPERATURE, refuse_amount_as_file
from moldvol.cli.volumes import measured
from moldvol.errors import RequestError
from moldvol.materials.mixtures.laminate import LayUp
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.scales import Scale
from moldvol.present.mixing import laminate

if TYPE_CHECKING:
    from moldvol.geometry.solid import Solid

USUAL_MAT_G_M2 = 450.0


@click.command("laminate")
@click.argument("file", required=False, metavar="[FILE]")
@click.option("--area", "area_mm2", type=AREA, help="What is covered, e.g. 0.5m2 or 6ft2; or name the mesh FILE.")
@click.option("--covered", type=SHARE, default="100%", help="Share of the mesh's surface that is covered.")
@click.option(
    "--mat",
    "mats",
    type=MATS,
    multiple=True,
    metavar="WEIGHT",
    help="A mat, first to last: 450 (g/m2), 1.5oz/ft2, or 3x450 for three of them; may be repeated.",
)
@click.option("--thickness", "thickness_mm", type=LENGTH, help="As many mats of one weight as reach this, e.g. 4mm.")
@click.option("--gelcoat", "gel_coat_mm", type=LENGTH_OR_NONE, default="0.5mm", help="Gel coat so thick; 0 for none.")
@click.option("--ratio", type=float, default=2.5, help="Resin to mat by weight.")
@click.option("--at-once", type=click.IntRange(1, 10), default=3, help="Most mats laid up before it must cool.")
@click.option("--offcuts", type=SHARE, default="15%", help="Added for laps and offcuts.")
@click.option(
    "--resin", "resin_key", metavar="NAME", default="laminating-polyester", help="Polyester that wets the mat."
)
@click.option(
    "--gelcoat-resin", "gel_coat_key", metavar="NAME", default="gelcoat-polyester", help="Polyester of the gel coat."
)
@click.option("--catalyst", type=SHARE, help="Catalyst by weight, if not the usual at this temperature, e.g. 2%.")
@click.option("--bench", "bench_c", type=TEMPERATURE, help="Temperature at the bench, e.g. 18c.")
@click.option("--readability", "readability_g", type=MASS, default="1g", help="Step of your scale's display: 0.1g.")
@shelf_option
@mesh_options
@output_options
def command(
    file: str | None,
    area_mm2: float | None,
    covered: float,
    mats: tuple[tuple[float, ...], ...],
    thickness_mm: float | None,
    gel_coat_mm: float,
    ratio: float,
    at_once: int,
    offcuts: float,
    resin_key: str,
    gel_coat_key: str,
    catalyst: float | None,
    bench_c: float | None,
    readability_g: float,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    output: OutputOptions,
) -> int:
    """Gel coat, glass mat, resin and catalyst to laminate an area, session by session.

    The area is typed (--area 0.5m2) or that of the mesh FILE.
    """
    refuse_amount_as_file(file, AREA, "--area")
    shelf = load_shelf(shelves)
    layers = tuple(mat for several in mats for mat in several)
    if not layers and thickness_mm is None:
        raise RequestError("No mat is named; add --mat 450 for each layer, or --thickness 4mm.")
    _check_area(file, area_mm2, covered)
    solids = measured(file, mesh, output)
    plan = plan_laminate(
        LaminateRequest(
            area_mm2=covered * _outside_mm2(solids[0]) if solids else area_mm2 or 0.0,
            resin=shelf.resin(resin_key),
            gel_coat=shelf.resin(gel_coat_key),
            mats_g_m2=layers or (USUAL_MAT_G_M2,),
            thickness_mm=thickness_mm,
            lay_up=LayUp(resin_ratio=ratio, gel_coat_mm=gel_coat_mm, layers_at_once=at_once),
            catalyst_percent=None if catalyst is None else catalyst * 100,
            bench_c=bench_c,
            offcuts=offcuts,
            scale=Scale(readability_g=readability_g),
        )
    )
    telling = Telling(lambda units: laminate.report(plan, units), lambda: laminate.document(plan))
    tell_one(with_remarks_on(solids, telling), output)
    return 0


def _check_area(file: str | None, area_mm2: float | None, covered: float) -> None:
    """Raises `RequestError` unless the area is told once, and is one."""
    if (file is None) == (area_mm2 is None):
        raise RequestError("Give the area either as --area 0.5m2 or as the mesh FILE to cover, one of the two.")
    if file is not None and covered <= 0:
        raise RequestError("Nothing of the mesh is covered; give a share above 0%.")


def _outside_mm2(solid: Solid) -> float:
    from moldvol.geometry.triangles import measures

    return measures(solid.outer).area_mm2

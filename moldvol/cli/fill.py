"""``moldvol fill``: what a mould holds, the air it keeps, and the resin for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from moldvol.cli.bench_options import AllowanceOptions, BenchOptions, allowance_options, bench_options
from moldvol.cli.meshes import load, tell_each, working
from moldvol.cli.options import (
    FileOptions,
    MeshOptions,
    OutputOptions,
    file_options,
    files_argument,
    gathered,
    mesh_options,
    output_options,
    shelf_option,
)
from moldvol.cli.remarked import doubting_size
from moldvol.cli.telling import Telling
from moldvol.cli.types import LEVEL, VECTOR, VOLUME
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf

if TYPE_CHECKING:
    from moldvol.casting.fill_request import FillRequest

KINDS = {"auto": "auto", "mould": "mould", "master": "cavity"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PourOptions:
    """How the mould stands and is filled, as typed."""

    kind: str
    up: tuple[float, float, float] | None
    drop_mm: float
    openings: tuple[tuple[float, float, float], ...]
    smallest_ml: float
    try_directions: bool

    def request(self) -> FillRequest:
        """The same as a mould to be filled is asked for, without resin. Raises `RequestError` where it is none."""
        from moldvol.casting.fill_request import FillRequest

        if self.openings and self.kind == "mould":
            raise RequestError("--opening goes with a master, whose cavity is closed; an open mould shows its own.")
        return FillRequest(
            up=self.up,
            drop_mm=self.drop_mm,
            taken_as="cavity" if self.openings else KINDS[self.kind],  # type: ignore[arg-type]
            openings_mm=self.openings,
            smallest_pocket_mm3=self.smallest_ml * 1000,
            try_directions=self.try_directions,
        )


pour_options = gathered(
    PourOptions,
    "pour",
    click.option(
        "--kind",
        type=click.Choice(list(KINDS)),
        default="auto",
        help="Take the mesh as a mould to pour into, or as a master whose inside is the cavity.",
    ),
    click.option("--up", type=VECTOR, metavar="X,Y,Z", help="Which way of the mesh points up; 0,0,1 is tried first."),
    click.option(
        "--level",
        "drop_mm",
        type=LEVEL,
        default="0mm",
        metavar="LENGTH",
        help="How far below its rim an open mould is filled: 3mm, or '3mm below rim'.",
    ),
    click.option(
        "--opening",
        "openings",
        type=VECTOR,
        multiple=True,
        metavar="X,Y,Z",
        help="A sprue or vent of a master's cavity, in mm; may be repeated. Without it the highest place is the sprue.",
    ),
    click.option("--smallest", "smallest_ml", type=VOLUME, default="0.01ml", help="Smaller pockets are left out."),
    click.option("--try-directions", is_flag=True, help="Try 26 ways up and tell the best three."),
)


@click.command("fill")
@files_argument
@pour_options
@click.option("--resin", "resin_key", metavar="NAME", help="What it is filled with; see 'moldvol resins'.")
@allowance_options
@bench_options
@shelf_option
@mesh_options
@file_options
@output_options
def command(
    files: tuple[str, ...],
    pour: PourOptions,
    resin_key: str | None,
    waste: AllowanceOptions,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    paper: FileOptions,
    output: OutputOptions,
) -> int:
    """What each mould FILE holds before it spills, what air it keeps, and where vents belong.

    A mesh that holds nothing is taken for a master: then its inside is the cavity.
    """
    from moldvol.casting.fill import plan_fill
    from moldvol.present.moulds import fill
    from moldvol.present.moulds.fill_pictures import fill_drawings

    request = pour.request()
    _check_resin(resin_key, waste, bench)
    if resin_key is not None:
        shelf = load_shelf(shelves)
        request = replace(request, mix=bench.request(shelf.resin(resin_key), shelf), allowance=waste.stated)

    def tell(file: str) -> Telling:
        learned = None if resin_key is None else waste.learned(file, resin_key)
        with working(f"Measuring {file}", file, output):
            solid = load(file, mesh)
            with doubting_size(solid):
                plan = plan_fill(solid, replace(request, learned=learned))
        pots = None
        if plan.needed is not None:
            pots = bench.pots(plan.needed.mix.request, loss_counted=plan.needed.allowed.source == "learned")
        return Telling(
            lambda units: fill.report(plan, pots, units),
            lambda: fill.document(plan, pots),
            pictures=lambda units: fill_drawings(plan, units),
            steps=lambda units: fill.steps(plan, units),
        )

    return tell_each(files, output, tell, paper)


def _check_resin(resin_key: str | None, waste: AllowanceOptions, bench: BenchOptions) -> None:
    bench.refuse_lone_loss()
    if resin_key is not None:
        return
    for option, given in (
        ("--allowance", waste.allowance),
        ("--pot", bench.pot_ml),
        ("--add", bench.additions or None),
    ):
        if given is not None:
            raise RequestError(f"{option} needs what is poured; add --resin, or leave it out.")

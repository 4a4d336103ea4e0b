"""``moldvol vessel``: the degassing container and the pressure pot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from moldvol.cli.meshes import tell_one
from moldvol.cli.options import MeshOptions, OutputOptions, gathered, mesh_options, output_options, shelf_option
from moldvol.cli.remarked import with_remarks_on
from moldvol.cli.telling import Telling
from moldvol.cli.types import (
    ALTITUDE,
    AMOUNT,
    DURATION,
    LENGTH,
    MOULD,
    PRESSURE,
    ROUND,
    SHARE,
    TEMPERATURE,
    refuse_amount_as_file,
)
from moldvol.cli.volumes import measured
from moldvol.errors import RequestError
from moldvol.materials.resin import Resin
from moldvol.materials.shelf import load_shelf
from moldvol.quantities import Amount

if TYPE_CHECKING:
    from moldvol.casting.vessel import Steps
    from moldvol.geometry.solid import Solid


@dataclass(frozen=True, slots=True, kw_only=True)
class VacuumOptions:
    """The degassing as typed."""

    degas: Amount | None
    vacuum_pa: float | None
    absolute_pa: float | None
    air_share: float
    altitude_m: float

    def liquid_ml(self, resin: Resin | None) -> float | None:
        """The volume of what is to be degassed. Raises `RequestError` for a mass of no known resin."""
        if self.degas is None or self.degas.volume_ml is not None:
            return None if self.degas is None else self.degas.volume_ml
        if resin is None:
            raise RequestError(
                f"{self.degas.mass_g:g} g to degas have no volume without a resin; add --resin, or give a volume."
            )
        return (self.degas.mass_g or 0.0) / resin.cured_density_g_ml

    def pumped_to_pa(self) -> float | None:
        """The absolute pressure, from whichever of the two was given."""
        from moldvol.materials.vessels.vacuum import absolute_from_vacuum_gauge

        if self.vacuum_pa is not None and self.absolute_pa is not None:
            raise RequestError("Give the vacuum either as the gauge shows it or as absolute pressure, one of the two.")
        if self.vacuum_pa is None:
            return self.absolute_pa
        return absolute_from_vacuum_gauge(self.vacuum_pa, altitude_m=self.altitude_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class PotOptions:
    """The vessel and what goes into it, as typed."""

    gauge_pa: float | None
    marked_pa: float | None
    inside_mm: tuple[float, float] | None
    mould_mm: tuple[float, ...] | None
    around_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepOptions:
    """The pace of the bench as typed."""

    mixing_s: float
    degassing_s: float
    pouring_s: float
    closing_s: float
    pressurising_s: float

    def steps(self) -> Steps:
        """The same as the plan wants them."""
        from moldvol.casting.vessel import Steps

        return Steps(
            mixing_s=self.mixing_s,
            degassing_s=self.degassing_s,
            pouring_s=self.pouring_s,
            closing_s=self.closing_s,
            pressurising_s=self.pressurising_s,
        )


vacuum_options = gathered(
    VacuumOptions,
    "vacuum",
    click.option("--degas", type=AMOUNT, help="How much is degassed at once, e.g. 500ml, or 500g with --resin."),
    click.option("--vacuum", "vacuum_pa", type=PRESSURE, help="What your vacuum gauge shows, e.g. 29inhg."),
    click.option("--absolute", "absolute_pa", type=PRESSURE, help="The absolute pressure instead, e.g. 30mbar."),
    click.option("--air", "air_share", type=SHARE, default="10%", help="Air stirred in, by volume of the liquid."),
    click.option(
        "--altitude",
        "altitude_m",
        type=ALTITUDE,
        default="0m",
        metavar="HEIGHT",
        help="Height of the workshop above the sea: 1500m or 5000ft.",
    ),
)
pot_options = gathered(
    PotOptions,
    "pot",
    click.option("--pressure", "gauge_pa", type=PRESSURE, help="Pressure to cast under, e.g. 60psi or 4bar."),
    click.option("--marked", "marked_pa", type=PRESSURE, help="Greatest pressure that its maker marked on the vessel."),
    click.option(
        "--inside", "inside_mm", type=ROUND, metavar="DIAMETERxHEIGHT", help="Inside of the vessel: 250mm x 300mm."
    ),
    click.option(
        "--mould",
        "mould_mm",
        type=MOULD,
        metavar="SIZE",
        help="Outside of the mould: 120mm x 80mm x 90mm with the height last, or diameter x height.",
    ),
    click.option("--around", "around_mm", type=LENGTH, help="Rubber or box round the part in FILE, on every side."),
)
step_options = gathered(
    StepOptions,
    "pace",
    click.option("--mixing", "mixing_s", type=DURATION, default="1min", help="Time to mix."),
    click.option("--degassing", "degassing_s", type=DURATION, default="2min", help="Time under vacuum."),
    click.option("--pouring", "pouring_s", type=DURATION, default="30s", help="Time to pour."),
    click.option("--closing", "closing_s", type=DURATION, default="30s", help="Time to put the lid on."),
    click.option("--pressurising", "pressurising_s", type=DURATION, default="1min", help="Time until pressure stands."),
)


@click.command("vessel")
@click.argument("file", required=False, metavar="[FILE]")
@vacuum_options
@pot_options
@click.option("--resin", "resin_key", metavar="NAME", help="What is poured, for its pot life; see 'moldvol resins'.")
@click.option("--bench", "bench_c", type=TEMPERATURE, help="Temperature at the bench, e.g. 22c or 72f.")
@step_options
@shelf_option
@mesh_options
@output_options
def command(
    file: str | None,
    vacuum: VacuumOptions,
    pot: PotOptions,
    resin_key: str | None,
    bench_c: float | None,
    pace: StepOptions,
    shelves: tuple[Path, ...],
    mesh: MeshOptions,
    output: OutputOptions,
) -> int:
    """How large a degassing container, what pressure does to bubbles, whether the mould fits and the time is enough.

    With FILE the mould is as large as that mesh, z upwards, and --around on every side of it.
    """
    from moldvol.casting.vessel import VesselRequest, plan_vessel
    from moldvol.present.mixing import vessel

    refuse_amount_as_file(file, AMOUNT, "--degas")
    resin = None if resin_key is None else load_shelf(shelves).resin(resin_key)
    solids = measured(file, mesh, output)
    plan = plan_vessel(
        VesselRequest(
            resin=resin,
            bench_c=bench_c,
            liquid_ml=vacuum.liquid_ml(resin),
            absolute_pa=vacuum.pumped_to_pa(),
            gauge_pa=pot.gauge_pa,
            air_share=vacuum.air_share,
            altitude_m=vacuum.altitude_m,
            inside_mm=pot.inside_mm,
            marked_gauge_pa=pot.marked_pa,
            mould_mm=_mould_mm(file, solids, pot),
            steps=pace.steps(),
        )
    )
    telling = Telling(lambda units: vessel.report(plan, units), lambda: vessel.document(plan))
    tell_one(with_remarks_on(solids, telling), output)
    return 0


def _mould_mm(file: str | None, solids: Sequence[Solid], pot: PotOptions) -> tuple[float, ...] | None:
    if not solids:
        if pot.around_mm is not None:
            raise RequestError("--around needs the mesh of what it is around; name its FILE, or give --mould instead.")
        return pot.mould_mm
    if pot.mould_mm is not None:
        raise RequestError(f"The mould's size is given twice, by {file} and by --mould; leave one of them out.")
    return tuple(side + 2 * (pot.around_mm or 0.0) for side in solids[0].size_mm)

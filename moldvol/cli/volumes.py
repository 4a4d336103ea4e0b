"""A volume that is typed, measured from a mesh, or piped in from another command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from moldvol.cli.meshes import load, working
from moldvol.cli.options import MeshOptions, OutputOptions
from moldvol.cli.piped import amount_in, read_piped
from moldvol.errors import RequestError

if TYPE_CHECKING:
    from moldvol.geometry.solid import Solid


def measured(file: str | None, mesh: MeshOptions, output: OutputOptions) -> tuple[Solid, ...]:
    """The solid in *file*, if a file was named."""
    if file is None:
        return ()
    with working(f"Measuring {file}", file, output):
        return (load(file, mesh),)


def piped_core_mm3() -> float:
    """The core that `moldvol hollow … --json` leaves open and foam can reach, for all its copies together.

    Raises `RequestError` if what is piped in tells of no core.
    """
    hollow = read_piped().part("hollow")
    core_mm3 = amount_in(hollow, "core_volume_mm3")
    if core_mm3 is None:
        raise RequestError("The JSON on standard input tells of no core to fill; pipe in 'moldvol hollow … --json'.")
    reached_mm3 = core_mm3 - (amount_in(hollow, "shut_in_volume_mm3") or 0.0)
    return max(reached_mm3, 0.0) * (amount_in(hollow, "copies") or 1.0)

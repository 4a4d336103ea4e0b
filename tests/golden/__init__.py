"""The exact text of sheets at eighty columns without colour; ``python -m tests.golden`` writes them anew to be read."""

from __future__ import annotations

from contextlib import chdir
from pathlib import Path

from tests.cli.command_line import moldvol

HERE = Path(__file__).parent
SAMPLES = HERE.parents[1] / "sample_meshes"
CAST = ("--resin", "slow-urethane", "--copies", "3", "--readability", "0.1g")
SHEETS = {
    "measure_print_file.txt": ("measure", "owl_finial.stl", "--thin", "2mm"),
    "measure_rough_scan.txt": ("measure", "owl_scan.ply", "--unit", "m"),
    "measure_two_bodies.txt": ("measure", "two_figures.3mf"),
    "cast_print_file.txt": ("cast", "owl_finial.stl", *CAST),
    "cast_us_units.txt": ("cast", "lantern_bracket_inches.obj", "--unit", "in", *CAST, "--units", "us"),
}


def sheet_of(arguments: tuple[str, ...]) -> str:
    """What the command prints when it is run among the sample meshes."""
    with chdir(SAMPLES):
        told = moldvol(*arguments)
    assert (told.status, told.err) == (0, "")
    return told.out

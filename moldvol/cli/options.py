"""Options that several commands share, gathered into values so that no command has twenty parameters."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from moldvol.cli.types import FORMATS, LENGTH, SHELF_NAME, UNIT, refuse_what_is_no_mesh
from moldvol.present.terminal import Colour

Command = Callable[..., Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshOptions:
    """How a mesh is to be read, as typed."""

    unit: str | None
    scale: float
    height_mm: float | None
    part: str | None
    taken_as: str
    inner_skins: str
    accept_open: bool
    mend: bool
    file_format: str | None
    allow_partial: bool
    plug_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputOptions:
    """How the result is to be told, as typed."""

    as_json: bool
    quiet: bool
    units: str
    progress: bool
    remarks: bool = True
    colour: Colour = "auto"
    strict: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FileOptions:
    """Which files are to be written beside what is told, as typed."""

    sheet: Path | None = None
    picture: Path | None = None
    force: bool = False


def gathered(into: type[Any], name: str, *options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """A decorator that adds *options* to a command and hands it their values as one *into* under *name*."""
    fields = tuple(into.__dataclass_fields__)

    def decorate(function: Command) -> Command:
        @functools.wraps(function)
        def command(**values: Any) -> Any:
            values[name] = into(**{field: values.pop(field) for field in fields if field in values})
            return function(**values)

        decorated: Command = command
        for option in reversed(options):
            decorated = option(decorated)
        return decorated

    return decorate


def _scale(ctx: click.Context, param: click.Parameter, value: str) -> float:
    try:
        factor = float(value.replace(",", "."))
    except ValueError:
        factor = float("nan")
    if not 0 < factor < float("inf"):
        raise click.BadParameter(f"'{value}' is not a factor above zero; write it like 1.02.")
    return factor


mesh_options = gathered(
    MeshOptions,
    "mesh",
    click.option("--unit", type=UNIT, help="Unit of the file: mm, cm, m, in, ft. Without it the file's own, else mm."),
    click.option("--scale", default="1", callback=_scale, metavar="FACTOR", help="Resize by a factor, e.g. 1.02."),
    click.option("--height", "height_mm", type=LENGTH, help="Resize so that the part stands this high (along z)."),
    click.option("--part", metavar="NAME", help="Take only the part of this name or number."),
    click.option("--as", "taken_as", type=click.Choice(["solid", "cavity"]), default="solid",
                 help="Take the mesh as the solid it bounds, or as a block whose sealed room is the cast."),
    click.option("--inner-skins", type=click.Choice(["solid", "void"]), default="solid",
                 help="What a skin inside another one means when it faces the same way."),
    click.option("--accept-open", is_flag=True, help="Take a mesh whose open rims decide more than 5 % of the volume."),
    click.option("--mend/--no-mend", default=True, help="Close rims and turn triangles, or refuse what is not closed."),
    click.option("--format", "file_format", type=click.Choice(FORMATS),
                 help="Format of the file where its bytes do not tell."),
    click.option("--plug", "plug_mm", type=LENGTH,
                 help="Plug holes narrower than this that lead into a room, as is done to a hollow print."),
    click.option("--allow-partial", is_flag=True, help="Measure what there is of a file that ends too early."),
)  # fmt: skip

output_options = gathered(
    OutputOptions,
    "output",
    click.option("--json", "as_json", is_flag=True, help="One JSON object on stdout, for scripts."),
    click.option("--quiet", "-q", is_flag=True, help="Only the answer, in one line; nothing else but errors."),
    click.option("--remarks/--no-remarks", default=True, help="Print remarks and cautions below the figures, or not."),
    click.option("--units", type=click.Choice(["metric", "us"]), default="metric", help="Units of the sheet."),
    click.option("--progress/--no-progress", default=True, help="Show progress of long work on stderr."),
    click.option("--colour", "--color", type=click.Choice(["auto", "always", "never"]), default="auto",
                 help="Colour where a terminal wants it, even in a pipe, or nowhere."),
    click.option("--strict", is_flag=True, help="Exit status 3 where there are warnings."),
)  # fmt: skip

_sheet_option = click.option(
    "--sheet", type=click.Path(path_type=Path), metavar="FILE.html",
    help="Write a sheet for the workshop, to print or to take along on a phone; for several meshes name a folder.",
)  # fmt: skip
_picture_option = click.option(
    "--picture", type=click.Path(path_type=Path), metavar="FILE.png|.svg",
    help="Write the pictures of the part to a PNG or SVG file; for several meshes name a folder.",
)  # fmt: skip
force_option = click.option("--force", is_flag=True, help="Replace files that exist already.")

# What is only measured has no sheet and takes `picture_options`; a command without a mesh has nothing to draw and takes
# `sheet_options`; the others take `file_options`.
picture_options = gathered(FileOptions, "paper", _picture_option, force_option)
sheet_options = gathered(FileOptions, "paper", _sheet_option, force_option)
file_options = gathered(FileOptions, "paper", _sheet_option, _picture_option, force_option)


def _meshes(ctx: click.Context, param: click.Parameter, value: tuple[str, ...]) -> tuple[str, ...]:
    refuse_what_is_no_mesh(value)
    return value


files_argument = click.argument("files", nargs=-1, required=True, metavar="FILE…", callback=_meshes)
shelf_option = click.option(
    "--shelf", "shelves", multiple=True, type=click.Path(path_type=Path), help="A TOML file with your own materials."
)
resin_option = click.option(
    "--resin",
    "resin_key",
    type=SHELF_NAME,
    required=True,
    metavar="NAME",
    help="A resin of the shelf; see 'moldvol resins'.",
)

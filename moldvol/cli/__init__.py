"""The command line: parse, call, present.

Commands are loaded when they are asked for, so that ``moldvol mix`` and ``--help`` start at once.
"""

from __future__ import annotations

import gc
import sys
from importlib import import_module
from typing import NoReturn

import click

from moldvol import __version__
from moldvol.cli.running import bear_any_letter, run
from moldvol.cli.typed_apart import joined
from moldvol.present.as_json import dumped

# Name of each command, in the order of the help page, with its one line: the help page imports none of them.
COMMANDS = {
    "measure": "Size, volume and wall of a mesh, and whether it can be trusted.",
    "cast": "How much resin a solid cast takes, part by part.",
    "hollow": "What a hollow cast takes, coat by coat, and which part closes up on the way.",
    "compare": "Solid, hollow and back-filled side by side: weight, cost, pours, time.",
    "mould": "The rubber a mould takes, its box or jacket, and how it is cast in.",
    "fill": "What a mould holds, what air it keeps and where vents belong.",
    "heat": "How hot a cast gets, where and when, what the mould bears, and what helps.",
    "mix": "How much of each part to weigh, with or without a mesh; over-pours, pots, stock.",
    "leftover": "Which small moulds to fill with what is left in the cup.",
    "vessel": "Vacuum and pressure: the container, the bubbles, whether it fits and the time is enough.",
    "shrink": "How large to make the master so that the cast has the right size.",
    "laminate": "Gel coat, glass mat, resin and catalyst for an area, session by session.",
    "plaster": "Water and plaster for a volume of slurry, or for the powder at hand.",
    "foam": "How little liquid foam fills a core when it has risen.",
    "log": "The pour book: what was planned, what it took, and the allowance it teaches.",
    "bench": "Open a local page: drop a mesh, turn the knobs, weigh out by it.",
    "resins": "The shelf of resins, rubbers, fillers and plasters, and where each figure comes from.",
    "completion": "Print the completion script of a shell.",
}


class Commands(click.Group):
    """A group whose commands live in modules of the same name and are imported on first use."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """The arguments, with units that a blank has torn from their numbers put back."""
        return super().parse_args(ctx, joined(args))

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the help page."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command named *cmd_name*, loaded now; None for an unknown name."""
        if cmd_name not in COMMANDS:
            return None
        command = import_module(f"moldvol.cli.{cmd_name}").command
        return command if isinstance(command, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _show_version(ctx: click.Context, param: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    as_json = "--json" in (ctx.obj or ())  # the arguments; --version is looked at before all other options
    click.echo(dumped({"name": "moldvol", "version": __version__}) if as_json else f"moldvol {__version__}")
    ctx.exit()


def _refuse_json(ctx: click.Context, param: click.Parameter, wanted: bool) -> None:
    if wanted:
        raise click.UsageError("--json belongs to a command; put it behind, as in 'moldvol measure owl.stl --json'.")


@click.group(
    cls=Commands,
    epilog=(
        "Exit status: 0 the amounts were given; 1 a file cannot be used; 2 the command was used wrongly; 3 there were "
        "warnings, and --strict; 130 interrupted."
    ),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100, "show_default": True},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and exit; with --json as JSON.",
)
@click.option("--json", "as_json", is_flag=True, expose_value=False, callback=_refuse_json, hidden=True)
def commands() -> None:
    """From the mesh of a master or a mould to the grams on the scale.

    Lengths, masses and volumes are typed as they stand on the bench: 3mm, 1/8in, 250g, 2lb, 180ml.
    """


def main() -> NoReturn:
    """Run the command line and leave with its exit status."""
    bear_any_letter()
    status = run(commands, sys.argv[1:])
    if "fcpw" in sys.modules:
        # Its trees of triangles, if they hang in a ring of garbage, would be told of on stderr as leaks, line by line.
        gc.collect()
    # The libraries loaded are not searched for rings of garbage on the way out: that took 0.15 s of every mesh command.
    gc.freeze()
    sys.exit(status)

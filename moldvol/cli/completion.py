"""``moldvol completion``."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class


@click.command("completion")
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def command(shell: str) -> int:
    """Print the completion script of SHELL; put its output where your shell reads completions."""
    from moldvol.cli import commands

    maker = get_completion_class(shell)
    if maker is None:
        raise click.UsageError(f"There is no completion for {shell}; use bash, zsh or fish.")
    click.echo(maker(commands, {}, "moldvol", "_MOLDVOL_COMPLETE").source())
    return 0

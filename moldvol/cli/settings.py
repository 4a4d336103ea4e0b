"""What a result was made with: the options of the running command, for a sheet, for JSON, and to know a job again."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from moldvol import __version__

NOT_ASKED_FOR = "the default"
# Options that say how a result is told, or how a batch is run, do not belong to the job.
OF_TELLING = frozenset(
    {"as_json", "quiet", "remarks", "units", "progress", "colour", "strict", "sheet", "picture", "force", "help"}
)
OF_BATCH = frozenset({"files", "recursive", "json_lines", "as_csv", "out", "workers", "fail_fast", "resume", "cluster"})


def settings_typed() -> dict[str, str]:
    """The options of the running command by name, each in the user's own words or with its default."""
    context = click.get_current_context()
    typed = _as_typed(context)
    settings = {}
    for option in context.command.params:
        name = option.name or ""
        if not isinstance(option, click.Option) or name in OF_TELLING:
            continue
        label = max(option.opts, key=len).lstrip("-").replace("-", " ")
        if context.get_parameter_source(name) is not ParameterSource.DEFAULT:
            settings[label] = _in_words(typed.get(name))
        elif isinstance(option.default, str | int) and not option.is_flag:
            settings[label] = f"{option.default}, {NOT_ASKED_FOR}"
        elif isinstance(option.default, list | tuple):
            settings[label] = f"{_in_words(option.default)}, {NOT_ASKED_FOR}"
    return settings


def deciding() -> dict[str, Any]:
    """Everything that decides the result of the running command for a file, in house units, by the option's name."""
    context = click.get_current_context()
    return {name: value for name, value in context.params.items() if name not in OF_TELLING | OF_BATCH}


def made_with() -> dict[str, Any]:
    """The program's version and what it was asked for, so that whoever reads the JSON can ask for the same again."""
    return {"version": __version__, "settings": {name: _as_data(value) for name, value in deciding().items()}}


def _as_data(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.asdict(value)
    if isinstance(value, list | tuple):
        return [_as_data(one) for one in value]
    return str(value) if isinstance(value, Path) else value


def _as_typed(context: click.Context) -> dict[str, object]:
    """What stood behind each option, before it was made a number; the arguments are handed down by `running.run`."""
    arguments: Sequence[str] = context.obj or ()
    name = context.info_name or ""
    after = arguments[arguments.index(name) + 1 :] if name in arguments else ()
    values, _, _ = context.command.make_parser(context).parse_args(list(after))
    return dict(values)


def _in_words(typed: object) -> str:
    if isinstance(typed, list | tuple):
        return ", ".join(_in_words(one) for one in typed)
    return {True: "yes", False: "no"}[typed] if isinstance(typed, bool) else str(typed)

"""The edge of the program: where errors become exit statuses, and Ctrl-C, closed pipes and full disks stay calm.

Exit status: 0 the amounts were given; 1 a file cannot be used; 2 the command was used wrongly; 3 there were warnings,
and --strict; 130 interrupted.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TextIO, cast

import click

from moldvol.errors import MoldvolError, RequestError
from moldvol.present.as_json import dumped, error_document

INTERRUPTED = 130
MOST_NAMED = 3  # files by name in one sentence
AS_JSON = frozenset({"--json", "--json-lines"})  # with these, errors are JSON too


def run(group: click.Group, arguments: Sequence[str]) -> int:
    """Run *group* on *arguments* and return the exit status; every failure ends as one sentence on stderr."""
    as_json = not AS_JSON.isdisjoint(arguments)
    try:
        # The arguments travel along, so that a sheet can say what was asked for in the words it was asked in.
        status = group.main(args=list(arguments), prog_name="moldvol", standalone_mode=False, obj=tuple(arguments))
        sys.stdout.flush()
        return status if isinstance(status, int) else 0
    except MoldvolError as error:
        return report_error(error, as_json)
    except click.UsageError as error:
        return _report_usage(error, as_json)
    except click.ClickException as error:
        return report_error(RequestError(_sentence(error.format_message())), as_json)
    except (click.Abort, KeyboardInterrupt) as stop:
        message = _interrupted(stop)
        _say(message, err=True)
        if as_json:
            _say(dumped(error_document(MoldvolError(message, code="interrupted"))))
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):  # click leaves with the latter when a pipe breaks in its hands
        # The reader of our output left (head, less): that is its right, and no error of ours.
        _let_go(sys.stdout)
        return 0
    except MemoryError:
        message = "The machine's memory is not enough for this file; simplify the mesh or use a larger machine."
        return report_error(MoldvolError(message, code="memory"), as_json)
    except OSError as error:
        where = f" ({error.filename})" if error.filename else ""
        message = (
            f"The system refused{where}: {(error.strerror or str(error)).lower()}; check the place and its rights."
        )
        return report_error(MoldvolError(message, code="system"), as_json)


class InterruptedAfter(KeyboardInterrupt):
    """Ctrl-C when the files *finished* had been written already."""

    def __init__(self, finished: Sequence[Path]) -> None:
        super().__init__()
        self.finished = tuple(finished)


@contextmanager
def telling_what_is_finished() -> Iterator[list[Path]]:
    """A list for the files finished in the ``with`` block; Ctrl-C after the first becomes `InterruptedAfter` them."""
    finished: list[Path] = []
    try:
        yield finished
    except KeyboardInterrupt:
        if finished:
            raise InterruptedAfter(finished) from None
        raise


def _interrupted(stop: BaseException) -> str:
    """The sentence for *stop*: which files stand, where some are known to; click makes an `Abort` of Ctrl-C."""
    cause = stop.__cause__ if isinstance(stop, click.Abort) else stop
    finished = cause.finished if isinstance(cause, InterruptedAfter) else ()
    if not finished:
        return "Interrupted."
    if len(finished) <= MOST_NAMED:
        return f"Interrupted; {', '.join(map(str, finished))} had been written."
    return f"Interrupted; {len(finished)} files had been written, the last of them {finished[-1]}."


def bear_any_letter() -> None:
    """Let stdout and stderr replace what they cannot show (an old locale, a file name that is no text), not fail.

    Streams that the caller has closed are taken for empty and for nobody listening.
    """
    sys.stdin = sys.stdin or _nowhere("r")
    sys.stdout = sys.stdout or _nowhere("w")
    sys.stderr = sys.stderr or _nowhere("w")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _nowhere(mode: str) -> TextIO:
    return cast("TextIO", Path(os.devnull).open(mode, encoding="utf-8"))  # for as long as the program runs


def report_error(error: MoldvolError, as_json: bool) -> int:
    """Tell *error* where it belongs and return its exit status."""
    _say(f"Error: {error.message}", err=True)
    if as_json:
        _say(dumped(error_document(error)))
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            _let_go(stream)
    return error.exit_status


def _say(line: str, *, err: bool = False) -> None:
    """Write a last *line*; let a stream go that does not take it, as on a full disk or where the reader has left."""
    try:
        click.echo(line, err=err)
    except OSError:
        _let_go(sys.stderr if err else sys.stdout)


def _let_go(stream: TextIO) -> None:
    """Send what is still in *stream* nowhere, so that the interpreter does not stumble over it when it ends."""
    with suppress(OSError):  # of a stream without a number, as in tests
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _report_usage(error: click.UsageError, as_json: bool) -> int:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        error.show()  # the help page itself
        return error.exit_code
    if error.ctx is not None:
        command = error.ctx.command_path
        _say(f"{error.ctx.get_usage()}\nTry '{command} --help' for help.\n", err=True)
    return report_error(RequestError(_sentence(error.format_message())), as_json)


def _sentence(message: str) -> str:
    """*message* of the option parser with a capital and a full stop, on one line."""
    line = " ".join(message.split())
    return line[:1].upper() + line[1:] + ("" if line.endswith((".", "?", "!")) else ".")

"""From file names on the command line to solids: standard input, several files, one bad file among good ones.

A command that also writes sheets and pictures takes ``@file_options``, gives its `Telling` the drawings (and, where
there is more to do than to weigh, the steps), and hands both on::

    def command(files: tuple[str, ...], …, output: OutputOptions, paper: FileOptions) -> int:
        def tell(file: str) -> Telling:
            …
            return Telling(
                lambda units: cast.report(plan, pots, units),
                lambda: cast.document(plan, pots),
                pictures=lambda units: [three_sides(solid.mesh), …],
                steps=lambda units: hollow.steps(plan, units),
            )

        return tell_each(files, output, tell, paper)

Nothing is drawn unless a file was asked for, and nothing is computed if that file could not be written. A command
about one thing calls ``tell_one(telling, output, place)`` with ``(place,) = places_for(paper, [name])`` asked first.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from moldvol.cli.options import FileOptions, MeshOptions, OutputOptions
from moldvol.cli.paper import Place, places_for, write_paper
from moldvol.cli.running import report_error, telling_what_is_finished
from moldvol.cli.settings import made_with
from moldvol.cli.telling import Telling
from moldvol.errors import MoldvolError
from moldvol.present.as_json import dumped, error_document
from moldvol.present.batch import Tally, naming, summary
from moldvol.present.numbers import Units

if TYPE_CHECKING:
    from moldvol.geometry.reading import MeshFile
    from moldvol.geometry.solid import Solid, SolidRequest
    from moldvol.present.report import Report

# Files below this are read before a progress line could be seen.
SLOW_FILE_BYTES = 20_000_000
STRICT_STATUS = 3  # for a script to tell from a file that cannot be used
NOTHING_WRITTEN = FileOptions()


def read(file: str, options: MeshOptions) -> MeshFile:
    """What *file* holds, ``-`` being standard input."""
    from moldvol.geometry.reading import read_mesh

    source, name = (sys.stdin.buffer.read(), "standard input") if file == "-" else (Path(file), None)
    return read_mesh(source, name=name, format=options.file_format, allow_partial=options.allow_partial)


def solid_request(options: MeshOptions) -> SolidRequest:
    """How *options* ask for a mesh to be taken."""
    from moldvol.geometry.solid import Reading, SolidRequest

    return SolidRequest(
        unit=options.unit,
        scale=options.scale,
        height_mm=options.height_mm,
        accept_open=options.accept_open,
        reading=Reading(options.taken_as),
        inner_are_voids=options.inner_skins == "void",
        repair=options.mend,
        part=options.part,
    )


def load(file: str, options: MeshOptions) -> Solid:
    """The solid in *file*, ``-`` being standard input, its holes plugged where that was asked for."""
    from moldvol.geometry.judging import solid_of

    solid = solid_of(read(file, options), solid_request(options))
    if options.plug_mm is None:
        return solid
    from moldvol.geometry.plugging import plug_holes

    return plug_holes(solid, options.plug_mm)


def tell_each(
    files: Sequence[str],
    output: OutputOptions,
    tell: Callable[[str], Telling],
    paper: FileOptions = NOTHING_WRITTEN,
    *,
    listed: bool = False,
) -> int:
    """Tell of every file in turn, going on after a bad one, and in the end how many went well.

    The exit status is 1 when there was a bad one. One file gives one plain JSON object; several give one object with a
    list under ``results``, and so does one that is *listed*: found in a folder where there might have been more.
    """
    places = places_for(paper, files)
    if len(files) == 1 and not listed:
        tell_one(tell(files[0]), output, places[0])
        return 0
    with telling_what_is_finished() as finished:
        return _tell_several(list(zip(files, places, strict=True)), output, tell, finished)


def _tell_several(
    placed: Sequence[tuple[str, Place]], output: OutputOptions, tell: Callable[[str], Telling], finished: list[Path]
) -> int:
    from moldvol.geometry.reading.contents import shown

    documents: list[dict[str, Any]] = []
    tally = Tally()
    said_of_first = ""
    for number, (file, place) in enumerate(placed):
        try:
            telling = tell(file)
            told = telling.document() if output.as_json else {}
            _write(telling, output, place, finished)
        except MoldvolError as error:
            said = error.message.replace(shown(file), "")
            if error.exit_status != 1 and (len(placed) == 1 or (number == 1 and said == said_of_first)):
                raise  # what is wrong in the same words for the first two files is wrong with the request
            said_of_first = said if number == 0 else ""
            failed = _naming(error, file)
            report_error(failed, as_json=False)
            documents.append({"file": file, **error_document(failed)})
            tally.add("failed", file, failed.message)
            continue
        documents.append(told)
        if not output.as_json:
            if number and not output.quiet:
                click.echo()
            told = {"warnings": _show(telling, output).warnings}
        tally.add("warned" if told.get("warnings") else "ok", file)
    if output.as_json:
        click.echo(dumped({**made_with(), "results": documents}))
    elif not output.quiet:
        for line in ("", *summary(tally, len(placed))):
            click.echo(line, err=True)
    return 1 if tally.failed else STRICT_STATUS if output.strict and tally.warned else 0


def _naming(error: MoldvolError, file: str) -> MoldvolError:
    """*error* with its *file* in the sentence, for one among several."""
    sentence = naming(file, error.message)
    if sentence == error.message:
        return error.about(file)
    return type(error)(sentence, file=file, code=error.kind, **error.details)


def tell_one(telling: Telling, output: OutputOptions, place: Place | None = None) -> None:
    """One result on stdout, after its files are written: a file that fails leaves an error there, not both.

    Ends the command with `STRICT_STATUS` where that was asked for and there are warnings.
    """
    with telling_what_is_finished() as finished:
        if place is not None:
            _write(telling, output, place, finished)
        if output.as_json:
            click.echo(dumped({**made_with(), **telling.document()}))
        else:
            _show(telling, output)
    if output.strict and telling.document().get("warnings"):
        click.get_current_context().exit(STRICT_STATUS)


def _show(telling: Telling, output: OutputOptions) -> Report:
    report = telling.report(Units(output.units))
    if output.quiet:
        click.echo(report.in_one_line())
        return report
    from moldvol.present.terminal import console_for, draw

    draw(report if output.remarks else report.without_remarks(), console_for(sys.stdout, output.colour))
    return report


def _write(telling: Telling, output: OutputOptions, place: Place, finished: list[Path]) -> None:
    for path in write_paper(telling, place, Units(output.units)):
        finished.append(path)
        if not (output.as_json or output.quiet):
            click.echo(f"Wrote {path}.", err=True)


def working(message: str, file: str, output: OutputOptions) -> Any:
    """A context that shows *message* on stderr while a large file is worked on, if someone is there to see it."""
    from contextlib import nullcontext
    from multiprocessing import parent_process

    large = file != "-" and Path(file).is_file() and Path(file).stat().st_size > SLOW_FILE_BYTES
    if not (large and output.progress and not output.quiet and sys.stderr.isatty()) or parent_process() is not None:
        return nullcontext()  # a worker of a batch shares the terminal with others, and the batch has its own bar
    from moldvol.present.terminal import console_for

    return console_for(sys.stderr, output.colour).status(message)


@contextmanager
def progress_bar(message: str, output: OutputOptions) -> Iterator[Callable[[float], None] | None]:
    """A function to call with the share done, drawing a bar on stderr; None where nobody would see it."""
    if not output.progress or output.quiet or not sys.stderr.isatty():
        yield None
        return
    from rich.progress import Progress

    from moldvol.present.terminal import console_for

    # Not redirected: what is told meanwhile belongs on stdout, and rich would send it where the bar is.
    with Progress(console=console_for(sys.stderr, output.colour), transient=True, redirect_stdout=False) as bar:
        task = bar.add_task(message, total=1.0)
        yield lambda share: bar.update(task, completed=share)

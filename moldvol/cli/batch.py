"""Batches: hundreds of meshes told as rows, by many processes or a cluster, gone on with after an interruption.

A command takes ``@batch_options`` and hands its ``tell`` on to `tell_many` in place of `tell_each`.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable, Generator, Mapping, Sequence
from contextlib import AbstractContextManager, closing, nullcontext
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from moldvol import __version__
from moldvol.cli.mesh_folders import Meant, files_meant
from moldvol.cli.meshes import NOTHING_WRITTEN, STRICT_STATUS, progress_bar, tell_each
from moldvol.cli.options import FileOptions, OutputOptions, gathered
from moldvol.cli.row_file import PrintedRows, Rows, row_file
from moldvol.cli.running import INTERRUPTED
from moldvol.cli.settings import deciding
from moldvol.cli.telling import Telling
from moldvol.cli.types import ENDINGS_OF_MESHES, LEARNED, ROW_ENDINGS
from moldvol.errors import RequestError, UnreadableMesh
from moldvol.present.batch import Columns, Stamp, Tally, row_of, summary
from moldvol.present.row_forms import Csv, JsonLines, RowForm, Told

if TYPE_CHECKING:
    from moldvol.casting.batch import Answer
    from moldvol.casting.crew import Crew


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchOptions:
    """How a batch is to be run, as typed."""

    recursive: bool
    json_lines: bool
    as_csv: bool
    out: Path | None
    workers: int | None
    fail_fast: bool
    resume: bool
    cluster: str | None

    @property
    def asked(self) -> bool:
        """Whether rows are wanted at all."""
        return self.json_lines or self.as_csv or self.out is not None

    def form(self, columns: Columns) -> RowForm:
        """How rows are written, as said or as the ending of --out says. Raises `RequestError` if that is unclear."""
        if self.json_lines and self.as_csv:
            raise RequestError("Rows are either JSON lines or CSV; leave out --json-lines or --csv.")
        ending = ROW_ENDINGS.get(self.out.suffix.casefold()) if self.out is not None else None
        if self.json_lines or self.as_csv:
            ending = "json-lines" if self.json_lines else "csv"
        if ending is None:
            raise RequestError("A batch is told in rows; add --csv or --json-lines.")
        return Csv(columns) if ending == "csv" else JsonLines()


batch_options = gathered(
    BatchOptions,
    "batch",
    click.option("--recursive", "-r", is_flag=True, help="Look for meshes in folders and all folders in them."),
    click.option("--json-lines", is_flag=True, help="A batch: one JSON object for each file, one to a line."),
    click.option("--csv", "as_csv", is_flag=True, help="A batch: one row for each file, for a spreadsheet."),
    click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Where the rows of a batch go."),
    click.option("--workers", type=click.IntRange(min=1, max=1000), help="Processes at a time, if not as many as fit."),
    click.option("--fail-fast", is_flag=True, help="End the batch at the first file that fails."),
    click.option("--resume", is_flag=True, help="Go on with the rows in --out; files that have not changed are kept."),
    click.option("--cluster", metavar="ADDRESS", help="Give the batch to the Dask scheduler at this address."),
)  # fmt: skip


def tell_many(
    files: Sequence[str],
    output: OutputOptions,
    batch: BatchOptions,
    tell: Callable[[str], Telling],
    *,
    columns: Callable[[], Columns],
    paper: FileOptions = NOTHING_WRITTEN,
    force: bool = False,
) -> int:
    """Tell of every file in turn, or as rows where a batch is asked for; the exit status.

    *columns* of the CSV are only made for a batch; *force* replaces an --out that exists.
    """
    _check_options(files, output, batch, paper)
    form = batch.form(columns()) if batch.asked else None
    if form is None and not any(map(os.path.isdir, files)):
        return tell_each(files, output, tell, paper)
    meant = files_meant(files, recursive=batch.recursive)
    if not meant:
        refusal = UnreadableMesh if form is None else RequestError
        raise refusal(
            f"There is no mesh in {', '.join(files)} (none ends in {', '.join(ENDINGS_OF_MESHES)}); name another folder"
            f"{'' if batch.recursive else ', or pass --recursive to look further down'}."
        )
    if form is None:
        return tell_each([one.name for one in meant], output, _going_into(meant, tell), paper, listed=True)
    job = _job()
    run = _Run(meant, [_stamp(one.name, job) for one in meant], batch, output, form)
    if batch.out is None:
        return run.through(tell, PrintedRows(form), {})
    with row_file(batch.out, form, run.stamps, resume=batch.resume, force=force) as (rows, kept):
        return run.through(tell, rows, kept)


def _going_into(meant: Sequence[Meant], tell: Callable[[str], Telling]) -> Callable[[str], Telling]:
    """*tell*, with the reason why a folder cannot be looked into in place of what is in it."""
    troubles = {one.name: one.trouble for one in meant if one.trouble is not None}

    def tell_or_refuse(name: str) -> Telling:
        if name in troubles:
            raise troubles[name]
        return tell(name)

    return tell_or_refuse


def _check_options(files: Sequence[str], output: OutputOptions, batch: BatchOptions, paper: FileOptions) -> None:
    """Refuse options that do not go together."""
    if not batch.asked:
        for typed, option in ((batch.fail_fast, "--fail-fast"), (batch.cluster, "--cluster")):
            if typed:
                raise RequestError(f"{option} goes with a batch; add --csv or --json-lines.")
    if batch.resume and batch.out is None:
        raise RequestError("--resume goes on with a file of rows; name it with --out.")
    if not batch.asked:
        return
    if batch.cluster is not None and click.get_current_context().params.get("allowance") == LEARNED:
        raise RequestError("A cluster does not see your pour book; give the allowance, or leave --cluster out.")
    if output.as_json:
        raise RequestError("--json gives one object for all; for a batch ask for --json-lines.")
    if "-" in files:
        raise RequestError("A batch reads files, not standard input; name files or folders.")
    if paper.sheet is not None or paper.picture is not None:
        raise RequestError("A batch writes rows, no sheets and no pictures; ask for those file by file.")


def _job() -> str:
    """A word for everything that decides the rows of the running command: the program, its options, the shelves."""
    asked = deciding()
    command = click.get_current_context().info_name
    digest = hashlib.sha256(f"{__version__} {command} {sorted(asked.items())!r}".encode())
    for shelf in asked.get("shelves", ()):
        digest.update(Path(shelf).read_bytes())
    return digest.hexdigest()[:12]


def _stamp(name: str, job: str) -> Stamp:
    try:
        status = Path(name).stat()
        moment = datetime.fromtimestamp(status.st_mtime_ns // 1000 / 1_000_000, UTC)
    except (OSError, ValueError, OverflowError):  # not there, no name, or a clock that was far off
        return Stamp(name, None, None, job)
    return Stamp(name, status.st_size, moment.isoformat(timespec="microseconds"), job)


@dataclass(frozen=True, slots=True)
class _Run:
    """One run over the files that are meant; *stamps* are theirs."""

    meant: Sequence[Meant]
    stamps: Sequence[Stamp]
    batch: BatchOptions
    output: OutputOptions
    form: RowForm

    def through(self, tell: Callable[[str], Telling], rows: Rows, kept: Mapping[str, Told]) -> int:
        """Make the rows that are not *kept*, say how it went, and return the exit status."""
        tally = Tally()
        for stamp in self.stamps:
            if stamp.key in kept:
                told = kept[stamp.key]
                tally.keep(told.status, stamp.file, told.error_message)
        interrupted = False
        try:
            self._fill(tell, rows, tally, kept)
        except KeyboardInterrupt:
            interrupted = True
        rows.finish()
        self._conclude(tally, interrupted)
        if interrupted:
            return INTERRUPTED
        return 1 if tally.failed else STRICT_STATUS if self.output.strict and tally.warned else 0

    def _fill(self, tell: Callable[[str], Telling], rows: Rows, tally: Tally, kept: Mapping[str, Told]) -> None:
        wanted = [number for number, stamp in enumerate(self.stamps) if stamp.key not in kept]
        with (
            progress_bar(f"{len(self.meant):,} files", self._bar()) as progress,
            closing(self._answers(tell, wanted)) as answers,
        ):
            for answer in answers:
                row = row_of(self.stamps[answer.number], answer.made, answer.error)
                rows.add(answer.number, self.stamps[answer.number], self.form.written(row))
                tally.count(row)
                if progress is not None:
                    progress(tally.done / len(self.meant))
                if row["status"] == "failed" and self.batch.fail_fast:
                    return

    def _bar(self) -> OutputOptions:
        """No bar where the rows themselves are seen to come."""
        seen = self.batch.out is None and sys.stdout.isatty()
        return replace(self.output, progress=self.output.progress and not seen)

    def _answers(self, tell: Callable[[str], Telling], wanted: Sequence[int]) -> Generator[Answer]:
        from moldvol.casting.batch import Answer, answers

        readable = [number for number in wanted if self.meant[number].trouble is None]
        for number in wanted:
            if self.meant[number].trouble is not None:
                yield Answer(number, None, self.meant[number].trouble)
        if not readable:
            return
        with self._crew(readable) as crew:
            # Far workers stand in another folder, so they are told the whole of a name.
            names = {number: self.meant[number].name for number in readable}
            files = {number: os.path.abspath(name) for number, name in names.items()} if crew.far else names  # noqa: PTH100
            yield from answers(_Work(tell), files, crew)

    def _crew(self, readable: Sequence[int]) -> AbstractContextManager[Crew]:
        from moldvol.casting.crew import affordable_workers, cluster_crew, local_crew

        if self.batch.cluster is not None:
            return cluster_crew(self.batch.cluster, self.batch.workers)
        sizes = {self.meant[number].name: self.stamps[number].size_bytes or 0 for number in readable}
        return nullcontext(local_crew(self.batch.workers or affordable_workers(sizes)))

    def _conclude(self, tally: Tally, interrupted: bool) -> None:
        """The last words, on stderr: of a quiet run only what failed."""
        if self.output.quiet:
            for failure in tally.failures:
                click.echo(f"Error: {failure}", err=True)
        else:
            for line in summary(tally, len(self.meant)):
                click.echo(line, err=True)
        if interrupted:
            kept = f"; their rows are in {self.batch.out}, go on with --resume" if self.batch.out is not None else ""
            click.echo(f"Interrupted; {tally.done:,} of {len(self.meant):,} files are done{kept}.", err=True)


@dataclass(frozen=True, slots=True)
class _Work:
    """What a worker does with a file."""

    tell: Callable[[str], Telling]

    def __call__(self, file: str) -> dict[str, Any]:
        return self.tell(file).document()

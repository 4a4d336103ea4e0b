"""Where the rows of a batch go: a file that grows row by row and can be gone on with, or standard output in order.

A row is on the disk before the next one is begun. What a run leaves behind when it is struck down is whole rows and
at most one cut off at the end, which the next run drops.
"""

from __future__ import annotations

import codecs
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

import click

from moldvol.errors import MoldvolError, RequestError
from moldvol.present.batch import Stamp
from moldvol.present.row_forms import RowForm, Told
from moldvol.safe_files import check_place, write_text

# Errors of the machine rather than of the file: another run may do better.
WORTH_ANOTHER_TRY = frozenset({"broke-reader", "memory", "system", "fault"})


class Rows(Protocol):
    """What takes the rows as they come."""

    def add(self, number: int, stamp: Stamp, text: str) -> None:
        """Take the row of the file of that *number* in the list."""

    def finish(self) -> None:
        """All rows have come that will come."""


class PrintedRows:
    """Rows on standard output, each as soon as all before it have come."""

    def __init__(self, form: RowForm) -> None:
        self._early: dict[int, str] = {}
        self._next = 0
        if form.heading:
            click.echo(form.heading, nl=False)

    def add(self, number: int, stamp: Stamp, text: str) -> None:
        """See `Rows`."""
        self._early[number] = text
        while self._next in self._early:
            click.echo(self._early.pop(self._next), nl=False)
            self._next += 1

    def finish(self) -> None:
        """Print what waited for rows that will not come."""
        for number in sorted(self._early):
            click.echo(self._early.pop(number), nl=False)


class RowFile:
    """Rows in the file *path*; make one with `row_file`."""

    def __init__(self, path: Path, form: RowForm, names: Sequence[str], kept: Sequence[Told], stream: int) -> None:
        self._path, self._form = path, form
        self._place = {name: number for number, name in enumerate(names)}
        self._rows = {told.stamp.key: told.text for told in kept}
        self._stream = stream

    def add(self, number: int, stamp: Stamp, text: str) -> None:
        """See `Rows`."""
        self._rows[stamp.key] = text
        self._append(text)

    def finish(self) -> None:
        """Put the rows into the order of the list, those of other files first; on the disk all at once."""
        if not self._path.is_file():
            return
        order = sorted(self._rows, key=lambda name: self._place.get(name, -1))
        if order != list(self._rows):
            write_text(self._path, self._form.heading + "".join(self._rows[name] for name in order), force=True)

    def _append(self, text: str) -> None:
        content = text.encode("utf-8")
        try:
            while content:
                content = content[os.write(self._stream, content) :]
            if self._path.is_file():
                os.fsync(self._stream)
        except BrokenPipeError:
            raise
        except OSError as trouble:
            reason = (trouble.strerror or str(trouble)).casefold()
            message = f"{self._path} could not be written ({reason}); make room and go on with --resume."
            raise MoldvolError(message, file=str(self._path), code="system") from trouble


@contextmanager
def row_file(
    path: Path, form: RowForm, stamps: Sequence[Stamp], *, resume: bool, force: bool
) -> Iterator[tuple[RowFile, dict[str, Told]]]:
    """The file *path* open for rows, and the rows it has already by file name, where they need not be made again.

    Raises `RequestError` if it exists and neither *resume* nor *force* is set, or if its rows are of another job.
    """
    resume = resume and path.exists()
    check_place(path, force=force or resume)
    kept = _kept(path, form, stamps) if resume else ()
    if path.is_file() or not path.exists():
        write_text(path, form.heading + "".join(told.text for told in kept), force=True)
    with _open(path) as stream:
        rows = RowFile(path, form, [stamp.key for stamp in stamps], kept, stream)
        if not path.is_file():
            rows._append(form.heading)
        yield rows, {told.stamp.key: told for told in kept}


@contextmanager
def _open(path: Path) -> Iterator[int]:
    try:
        stream = os.open(path, os.O_WRONLY | os.O_APPEND)
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).casefold()
        raise RequestError(f"{path} could not be written ({reason}); write elsewhere.", file=str(path)) from trouble
    try:
        yield stream
    finally:
        os.close(stream)


def _kept(path: Path, form: RowForm, stamps: Sequence[Stamp]) -> tuple[Told, ...]:
    """The rows of *path* that stand: those of files that are not asked for now, and of files that have not changed."""
    if not path.is_file():
        raise RequestError(f"{path} is no file that could be gone on with; leave --resume out.", file=str(path))
    now = {stamp.key: stamp for stamp in stamps}
    try:
        found = {told.stamp.key: told for told in form.read(_text_of(path))}
    except (ValueError, KeyError, RecursionError):
        raise RequestError(
            f"{path} holds other things than rows of this command; name another file for them.", file=str(path)
        ) from None
    job = next((stamp.job for stamp in stamps), None)
    if any(told.stamp.job != job for told in found.values()):
        raise RequestError(
            f"{path} has rows made with other options or another version; name another file, or start it anew with "
            "--force in place of --resume.",
            file=str(path),
            code="other-job",
        )
    return tuple(told for told in found.values() if _stands(told, now.get(told.stamp.key)))


def _stands(told: Told, now: Stamp | None) -> bool:
    if now is None:
        return True
    unchanged = (told.stamp.size_bytes, told.stamp.modified_at) == (now.size_bytes, now.modified_at)
    return unchanged and now.size_bytes is not None and told.error_code not in WORTH_ANOTHER_TRY


def _text_of(path: Path) -> str:
    """Raises `UnicodeDecodeError` where a whole line is no UTF-8; the last may have been cut within a letter."""
    try:
        content = path.read_bytes().removeprefix(codecs.BOM_UTF8)
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).casefold()
        raise RequestError(f"{path} cannot be read ({reason}); name another file.", file=str(path)) from trouble
    whole = content.rfind(b"\n") + 1
    return content[:whole].decode("utf-8") + content[whole:].decode("utf-8", "replace")

"""Files that are either whole or not there: written beside their place under another name, then put into it.

A table half written when the battery dies is worse than none, and a sheet from last week is not replaced unasked.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from moldvol.errors import RequestError


def write_text(path: Path | str, text: str, *, force: bool = False) -> Path:
    """The path now holding *text* as UTF-8, line ends as they are in *text*.

    Raises `RequestError` if the file exists and *force* is not set, or if it cannot be written there.
    """
    return write_bytes(path, text.encode("utf-8"), force=force)


def write_bytes(path: Path | str, content: bytes, *, force: bool = False) -> Path:
    """The path now holding *content*. Raises as `write_text`."""
    with whole_file(path, force=force) as beside:
        beside.write_bytes(content)
    return Path(path)


def check_place(path: Path | str, *, force: bool = False) -> None:
    """Refuse *path* before any work is done: a `RequestError` as `write_text` raises it, if that can be known now."""
    with _saying_why(Path(path)):
        _check_place(Path(path), force)


@contextmanager
def whole_file(path: Path | str, *, force: bool = False) -> Iterator[Path]:
    """A temporary path beside *path*, with the same ending, to be filled in the ``with`` block; it then becomes *path*.

    For writers that want a file name (pictures, meshes). If the block raises, *path* stays as it was and nothing is
    left over. Raises `RequestError` if the file exists and *force* is not set, or if it cannot be written there.

    Method: write, flush to the disk, then ``link``, which fails where the name is taken by now, or with *force*
    ``rename``, which replaces; both of POSIX.1, both put the whole file in place at once.
    """
    wanted = Path(path)
    with _saying_why(wanted):
        _check_place(wanted, force)
        # A link is followed, so that the file it points to changes and the link stays a link.
        target = wanted.resolve()
    if target.exists() and not target.is_file():  # a pipe or a device: nothing to rename, and nothing to lose
        yield target
        return
    beside = target.with_name(f".{secrets.token_hex(6)}{target.suffix}")
    try:
        with _saying_why(wanted):
            _create(beside, like=target)
            yield beside
            _flush(beside)
            if force:
                beside.replace(target)
            else:
                _put_new(beside, target, wanted)
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)


def _check_place(path: Path, force: bool) -> None:
    if path.is_dir():
        raise RequestError(f"{path} is a folder; give the name of a file in it.", file=str(path))
    if not path.resolve().parent.is_dir():
        raise RequestError(f"There is no folder {path.parent}; make it first, or write elsewhere.", file=str(path))
    if path.is_file() and not force:
        raise _exists(path)


def _exists(path: Path) -> RequestError:
    return RequestError(
        f"{path} exists already; choose another name, or pass --force to replace it.", file=str(path), code="exists"
    )


def _put_new(beside: Path, target: Path, wanted: Path) -> None:
    """Give the finished file *beside* the name *target*, which nobody may have taken since it was looked at."""
    try:
        os.link(beside, target)
    except FileExistsError:
        raise _exists(wanted) from None
    except OSError:
        # No hard links here, as on FAT and some network drives. What is left is to look again and rename: a file that
        # appears between the two is replaced. A fault of any other kind comes back from the renaming, and is told.
        if target.exists():
            raise _exists(wanted) from None
        beside.replace(target)


def _create(beside: Path, *, like: Path) -> None:
    # Created by hand, not by `tempfile`: that would make a sheet which nobody else on the computer may read.
    os.close(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
    if like.exists():
        beside.chmod(like.stat().st_mode & 0o777)


def _flush(path: Path) -> None:
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())


@contextmanager
def _saying_why(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        raise RequestError(
            f"{path} could not be written ({reason.casefold()}); write it to another folder.", file=str(path)
        ) from error
    except RuntimeError as error:  # so says Python before 3.13 of links that lead round in a circle
        raise RequestError(f"{path} is a link that leads back to itself; name another file.", file=str(path)) from error

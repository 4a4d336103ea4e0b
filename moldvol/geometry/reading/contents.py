"""The bytes of a mesh file, on disk or in memory, and the sentences said when they cannot be had."""

from __future__ import annotations

import errno
import io
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from moldvol.errors import UnreadableMesh

STREAM_CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class Contents:
    """Named bytes: ``data`` in memory, or a regular file at ``path`` that is read piece by piece."""

    name: str
    size: int
    path: Path | None = None
    data: bytes = b""

    @contextmanager
    def open(self) -> Iterator[BinaryIO]:
        """The bytes as a seekable stream; trouble while reading becomes one sentence."""
        try:
            with io.BytesIO(self.data) if self.path is None else self.path.open("rb") as stream:
                yield stream
        except OSError as trouble:
            raise self.refuse(f"{_why_not(trouble)} while being read; check it and try again.") from trouble
        except MemoryError as trouble:
            raise self.refuse("is too large for this machine's memory; reduce it in your mesh program.") from trouble

    def head(self, length: int, start: int = 0) -> bytes:
        """Up to *length* bytes from *start*."""
        with self.open() as stream:
            stream.seek(start)
            return stream.read(length)

    def all(self) -> bytes:
        """Everything; for formats that cannot be read piece by piece."""
        return self.data if self.path is None else self.head(self.size)

    def refuse(self, predicate: str, **details: Any) -> UnreadableMesh:
        """The error whose sentence is this file's name followed by *predicate*."""
        return UnreadableMesh(f"{self.name} {predicate}", file=self.name, **details)


def contents_of(source: Path | str | bytes, *, name: str | None, stream_bytes: int) -> Contents:
    """The bytes behind *source*.

    Raises `UnreadableMesh` in one sentence for what is missing, forbidden, a directory, a loop of links or endless.
    """
    if isinstance(source, bytes):
        return Contents(name=shown(name or "the mesh"), size=len(source), data=source)
    path = Path(source)
    label = shown(name or str(source) or str(path))
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise UnreadableMesh(f"{label} is a folder; name a mesh file in it.", file=label)
        if not stat.S_ISREG(status.st_mode):
            return _drained(path, label, stream_bytes)
        with path.open("rb"):  # permission is asked for here, where the sentence can say so
            return Contents(name=label, size=status.st_size, path=path)
    except (OSError, ValueError, RuntimeError) as trouble:  # ValueError: a zero byte in the path; RuntimeError: a loop
        raise UnreadableMesh(f"{label} {_why_not(trouble)}; check the name and try again.", file=label) from trouble


def shown(name: str) -> str:
    """*name* fit for a terminal, a table or JSON: control characters and undecodable bytes escaped."""
    printable = name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in printable)


def _drained(path: Path, label: str, stream_bytes: int) -> Contents:
    """A pipe or device can be read once only and announces no size."""
    data = bytearray()
    with path.open("rb") as stream:
        while chunk := stream.read(STREAM_CHUNK):
            data += chunk
            if len(data) > stream_bytes:
                raise UnreadableMesh(
                    f"{label} gives more than {stream_bytes:,} bytes; save it to a file first.", file=label
                )
    return Contents(name=label, size=len(data), data=bytes(data))


def _why_not(trouble: Exception) -> str:
    match trouble:
        case FileNotFoundError():
            return "is not there"
        case PermissionError():
            return "may not be read by you"
        case NotADirectoryError():
            return "is not there: part of its path is a file, not a folder"
        case OSError(errno=errno.ELOOP):
            return "is a link that leads back to itself"
        case OSError(errno=errno.ENAMETOOLONG):
            return "cannot be opened because its path is too long"
        case RuntimeError():
            return "is a link that leads back to itself"
        case OSError(strerror=reason) if reason:
            return f"cannot be read ({reason[0].lower() + reason[1:]})"
        case _:
            return "cannot be opened under that name"

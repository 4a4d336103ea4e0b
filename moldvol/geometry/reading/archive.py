"""The ZIP archive that a 3MF file is, unpacked piece by piece and never onto the disk.

What an archive says about its own sizes is not believed: the bytes are counted as they come out.
"""

from __future__ import annotations

import posixpath
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import PurePosixPath
from typing import BinaryIO
from urllib.parse import unquote

from moldvol.errors import UnreadableMesh
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.mesh_file import ReadingLimits

CHUNK_BYTES = 1 << 18
SMALL_BYTES = 16 << 20  # up to here a high compression is nobody's concern: a plain box shrinks 50 to 1
_UNLOCKED_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_IS_ENCRYPTED = 0x1
# What zipfile raises on damaged archives, depending on where the damage is.
_DAMAGE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, struct.error)


class Archive:
    """An open archive whose entries are looked up by name, however the name is written."""

    def __init__(self, contents: Contents, zipped: zipfile.ZipFile, limits: ReadingLimits) -> None:
        self.contents, self.limits, self.inflated = contents, limits, 0
        self._zipped = zipped
        # A damaged table of contents may hold names of no letters, at which ZipInfo.is_dir() breaks.
        self._entries = {_key(e.filename): e for e in zipped.infolist() if not e.filename.endswith(("/", "\\"))}

    @property
    def names(self) -> list[str]:
        """The entries, without leading slash."""
        return list(self._entries)

    def holds(self, name: str) -> bool:
        """Whether there is an entry called *name*."""
        return _key(name) in self._entries

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of the entry called *name*, as they are unpacked."""
        entry = self._entries.get(_key(name))
        if entry is None:
            raise self.contents.refuse(f"refers to {name}, which is not in its archive; export it again.")
        if entry.flag_bits & _IS_ENCRYPTED:
            raise self.contents.refuse("is locked with a password; save it without one.")
        if entry.compress_type not in _UNLOCKED_METHODS:
            raise self.contents.refuse("is packed in a way that 3MF does not allow; export it again.")
        try:
            with self._zipped.open(entry) as stream:
                while piece := stream.read(CHUNK_BYTES):
                    self._count(len(piece), name)
                    yield piece
        except _DAMAGE as trouble:
            raise damaged(self.contents) from trouble

    def _count(self, length: int, name: str) -> None:
        self.inflated += length
        ratio = self.inflated / max(self.contents.size, 1)
        if self.inflated > self.limits.inflated_bytes:
            raise self.contents.refuse(
                f"unpacks to more than {self.limits.inflated_bytes / 1e6:,.0f} MB (in {name}); if it is meant to be so "
                "large, save it as binary STL.",
                limit=self.limits.inflated_bytes,
            )
        if self.inflated > SMALL_BYTES and ratio > self.limits.inflation_ratio:
            raise self.contents.refuse(
                f"unpacks to more than {self.limits.inflation_ratio:,.0f} times its size (in {name}), as no honest "
                "mesh does; export it again, or save it as binary STL.",
                limit=self.limits.inflation_ratio,
            )


@contextmanager
def open_archive(contents: Contents, stream: BinaryIO, limits: ReadingLimits) -> Iterator[Archive]:
    """The archive in *stream*; raises `UnreadableMesh` for a damaged or overcrowded one."""
    try:
        zipped = zipfile.ZipFile(stream)
    except _DAMAGE as trouble:
        raise damaged(contents) from trouble
    with zipped:
        count = len(zipped.infolist())
        if count > limits.archive_entries:
            raise contents.refuse(
                f"is an archive of {count:,} entries, more than the {limits.archive_entries:,} that are looked into; "
                "export the mesh alone."
            )
        yield Archive(contents, zipped, limits)


def damaged(contents: Contents) -> UnreadableMesh:
    """The error for an archive that cannot be unpacked."""
    return contents.refuse("is a damaged archive, perhaps cut off while being saved or copied; fetch it again.")


def beside(name: str, target: str) -> str:
    """The entry that *target*, written in the entry *name*, stands for."""
    return posixpath.normpath(posixpath.join("/", PurePosixPath(name).parent, target))


def _key(name: str) -> str:
    """Names in a package are compared without case, and may or may not begin with a slash (ECMA-376 part 2)."""
    return unquote(name).replace("\\", "/").lstrip("/").casefold()

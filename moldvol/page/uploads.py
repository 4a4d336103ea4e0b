"""Files on their way in: streamed to the job's own folder under a name of ours, and measured as they come.

Of what the browser says only the bytes and, as text to show, the name are taken. The body is the bare file, not a
form, so nothing is spooled anywhere else.
"""

from __future__ import annotations

import secrets
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote

MB = 1_000_000
USUAL_LIMIT_BYTES = 400 * MB  # eight million triangles
LONGEST_NAME = 200


class TooLarge(Exception):
    """More bytes than the limit came, or were announced."""


@dataclass(frozen=True, slots=True)
class Landed:
    """A whole file in the job's folder, and what its owner calls it."""

    path: Path
    name: str


async def land(body: AsyncIterator[bytes], folder: Path, limit_bytes: int) -> Path:
    """The file that *body* was written to. Raises `TooLarge`; whatever goes wrong, nothing is left behind."""
    path = folder / secrets.token_hex(8)
    size = 0
    try:
        with path.open("xb") as stream:
            async for chunk in body:
                size += len(chunk)
                if size > limit_bytes:
                    raise TooLarge
                stream.write(chunk)
    except BaseException:  # a browser that went away ends this task in its own way
        path.unlink(missing_ok=True)
        raise
    return path


def shown_name(header: str) -> str:
    """The file's name as its owner wrote it, without folders and without signs that would break a line.

    >>> shown_name("owls%2F%3Cb%3Eowl%3C%2Fb%3E.stl"), shown_name("..%5C..%5Cetc"), shown_name("")
    ('b>.stl', 'etc', 'the file')
    """
    name = unquote(header).replace("\\", "/").rsplit("/", 1)[-1]
    printable = "".join(sign if sign.isprintable() else "�" for sign in name)
    return printable[:LONGEST_NAME].strip() or "the file"


def limit_sentence(name: str, size_bytes: int | None, limit_bytes: int) -> str:
    """What is said of a file above the limit.

    >>> limit_sentence("owl.stl", 512_000_000, 400_000_000)
    'owl.stl is 512 MB; this page takes files up to 400 MB: export it coarser, or measure it with the command line.'
    """
    size = "larger" if size_bytes is None else f"{_megabytes(size_bytes)} MB"
    limit = _megabytes(limit_bytes)
    return (
        f"{name} is {size}; this page takes files up to {limit} MB: export it coarser, or measure it with the command "
        "line."
    )


def _megabytes(size_bytes: int) -> str:
    """In MB, to the hundredth and rounded up: a file one byte over the limit must not look as large as the limit.

    >>> _megabytes(3_000_000), _megabytes(3_000_001)
    ('3', '3.01')
    """
    return f"{-(-size_bytes // (MB // 100)) / 100:g}"

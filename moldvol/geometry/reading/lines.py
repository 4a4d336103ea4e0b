"""Text files in blocks of whole lines: constant memory however long the file, line numbers kept."""

from __future__ import annotations

import codecs
from collections.abc import Callable, Iterator
from typing import BinaryIO, NamedTuple

BLOCK_BYTES = 1 << 22


class Block(NamedTuple):
    """Some whole lines of a file, ends of line as ``\\n``; ``first_line`` counts from 1."""

    text: bytes
    first_line: int


def last_line_end(text: bytes) -> int:
    """Where the last whole line of *text* ends."""
    return text.rfind(b"\n") + 1


def blocks(
    stream: BinaryIO, *, cut: Callable[[bytes], int] = last_line_end, size: int = BLOCK_BYTES, first_line: int = 1
) -> Iterator[Block]:
    """The rest of *stream* as blocks that each end where *cut* says (0: nowhere yet).

    Ends of line of any kind become line feeds, a byte-order mark is left out.
    """
    rest, line = b"", first_line
    while piece := stream.read(size):
        if piece.endswith(b"\r"):  # a carriage return and its line feed must not be torn apart
            piece += stream.read(1)
        text = rest + _with_line_feeds(piece)
        if line == 1 and text.startswith(codecs.BOM_UTF8):
            text = text[len(codecs.BOM_UTF8) :]
        end = cut(text) or (0 if len(text) < 8 * size else len(text))
        if end:
            yield Block(text[:end], line)
            line += text.count(b"\n", 0, end)
        rest = text[end:]
    if rest:
        yield Block(rest, line)


def _with_line_feeds(text: bytes) -> bytes:
    if b"\r" not in text:
        return text
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")

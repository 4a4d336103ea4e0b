"""Tables in text, one row of numbers to a line: parsed in bulk, or word by word so that a fault can be named."""

from __future__ import annotations

from typing import BinaryIO, NamedTuple

import numpy as np

from moldvol.errors import UnreadableMesh
from moldvol.geometry.mesh import Floats
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.lines import blocks
from moldvol.geometry.reading.numerals import (
    COMMA_ADVICE,
    SENTINEL,
    SENTINEL_VALUE,
    floats_in_bulk,
    has_decimal_comma,
    number,
    readable,
)
from moldvol.geometry.reading.polygons import Indices, Polygons

CHUNK_ROWS = 1 << 16
NO_VERTEX = -(1 << 50)  # what a number that cannot count vertices is read as; no mesh has so many


class BadRow(Exception):
    """A line that is not the row it should be: *word* is no number, or the row is too short or too long."""

    def __init__(self, line: int, word: bytes | None = None) -> None:
        super().__init__(line, word)
        self.line, self.word = line, word

    def told(self, contents: Contents) -> UnreadableMesh:
        """The sentence for people."""
        if self.word is None:
            what = f"has too few or too many numbers on line {self.line}; export it again."
        elif has_decimal_comma(self.word):
            what = f"has '{readable(self.word)}' with a decimal comma on line {self.line}; {COMMA_ADVICE}."
        else:
            what = f"has '{readable(self.word)}' on line {self.line} where a number should stand; export it again."
        return contents.refuse(what, line=self.line)


class Rows(NamedTuple):
    """Rows of numbers one after the other: row i is ``values[begins[i]:ends[i]]``."""

    values: Floats
    begins: Indices
    ends: Indices

    def at(self, places: Indices) -> Floats:
        """(n,) the number at each row's *places*, NaN where the row has already ended."""
        if not len(self.values):
            return np.full(len(places), np.nan)
        return np.where(places < self.ends, self.values[np.minimum(places, len(self.values) - 1)], np.nan)

    def counts_at(self, places: Indices) -> tuple[Indices, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
        """(n,) the lengths of lists that begin at *places*, and whether each is a length that its row has room for."""
        given = self.at(places)
        fits = (given >= 0) & (given <= self.ends - places - 1) & (given == np.floor(given))
        return np.where(fits, given, 0).astype(np.int64), fits

    def lists(self, starts: Indices, counts: Indices) -> Polygons:
        """The lists of *counts* vertex numbers that begin at *starts*."""
        first = np.cumsum(counts) - counts
        found = self.values[np.repeat(starts - first, counts) + np.arange(counts.sum())]
        with np.errstate(invalid="ignore"):
            whole = (np.abs(found) < 1e15) & (found == np.floor(found))
            return Polygons(counts, np.where(whole, found, NO_VERTEX).astype(np.int64))

    def first(self, count: int) -> Rows:
        """Only the first *count* rows."""
        return Rows(self.values, self.begins[:count], self.ends[:count])


class NumberedLines:
    """Lines that are not blank, given out as many at a time as are wanted and there."""

    def __init__(self, stream: BinaryIO, first_line: int, comment: bytes | None = None) -> None:
        self.blocks = blocks(stream, first_line=first_line)
        self.ahead: list[tuple[int, bytes]] = []
        self.comment = comment

    def take(self, most: int) -> list[tuple[int, bytes]]:
        """Up to *most* lines with their numbers; none at the end of the file."""
        while not self.ahead:
            block = next(self.blocks, None)
            if block is None:
                return []
            lines = block.text.split(b"\n")
            if self.comment is not None and self.comment in block.text:
                lines = [line.split(self.comment, 1)[0] for line in lines]
            numbered = enumerate(lines, block.first_line)
            self.ahead = [(n, line) for n, line in numbered if line and not line.isspace()]
        taken, self.ahead = self.ahead[:most], self.ahead[most:]
        return taken


def rows_of(lines: list[tuple[int, bytes]]) -> Rows:
    """The numbers of *lines*; raises `BadRow` for a word that is none."""
    rows = _in_bulk([line for _, line in lines])
    return rows if rows is not None else _word_by_word(lines)


def check_vertex_numbers(contents: Contents, polygons: Polygons, count: int) -> None:
    """Raise `UnreadableMesh` when a face asks for a vertex beyond the *count* there are, numbered from 0."""
    wrong = np.flatnonzero((polygons.corners < 0) | (polygons.corners >= count))
    if len(wrong):
        face = int(np.searchsorted(np.cumsum(polygons.counts), wrong[0], side="right"))
        given = int(polygons.corners[wrong[0]])
        asked = f"vertex {given}" if given != NO_VERTEX else "a vertex that is no whole number"
        raise contents.refuse(
            f"asks for {asked} in face {face}, but its vertices are numbered 0 to {count - 1:,}; export it again.",
            face=face,
        )


def _in_bulk(lines: list[bytes]) -> Rows | None:
    values = floats_in_bulk(SENTINEL.join([b"", *lines]))
    if values is None:
        return None
    marks = np.flatnonzero(values == SENTINEL_VALUE)
    if len(marks) != len(lines):
        return None
    return Rows(values, marks + 1, np.append(marks[1:], len(values)))


def _word_by_word(lines: list[tuple[int, bytes]]) -> Rows:
    values: list[float] = []
    begins = []
    for line, text in lines:
        begins.append(len(values))
        for word in text.split():
            value = number(word)
            if value is None:
                raise BadRow(line, word)
            values.append(value)
    ends = [*begins[1:], len(values)]
    return Rows(np.array(values), np.array(begins, dtype=np.int64), np.array(ends, dtype=np.int64))

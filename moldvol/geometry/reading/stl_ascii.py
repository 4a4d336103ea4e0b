"""ASCII STL, in every dialect that mesh programs write.

Blocks that are written as the format wants are parsed in bulk; any other block word by word, so that a refusal can
name the line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from moldvol.errors import UnreadableMesh
from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.lines import Block, blocks, last_line_end
from moldvol.geometry.reading.mesh_file import Found, MeshPart
from moldvol.geometry.reading.numerals import (
    COMMA_ADVICE,
    decoded,
    has_decimal_comma,
    number,
    readable,
)

_MARKER = re.compile(rb"^[ \t]*((?:end[ \t]*)?)solid\b([^\n]*)\n?", re.IGNORECASE | re.MULTILINE)
_FACET_BEGIN = re.compile(rb"\bfacet\s+normal(?:\s+\S+){3}\s+outer\s+loop\s+vertex\s", re.IGNORECASE)
_FACET_END = re.compile(rb"end[ \t]*facet", re.IGNORECASE)
# One facet word by word: facet normal x y z outer loop, three times vertex x y z, endloop endfacet.
WORDS_A_FACET = 21
_KEYWORDS = {0: b"facet", 1: b"normal", 5: b"outer", 6: b"loop", 7: b"vertex", 11: b"vertex", 15: b"vertex",
             19: b"endloop", 20: b"endfacet"}  # fmt: skip
_COORDINATES = (8, 9, 10, 12, 13, 14, 16, 17, 18)


def read_ascii_stl(contents: Contents, *, allow_partial: bool) -> Found:
    """The triangles of an ASCII STL, one part for each ``solid``.

    Raises `UnreadableMesh`, naming the line, for what is no facet or no number, and for a file that ends within a
    facet unless *allow_partial*.
    """
    facets = _Facets(contents)
    with contents.open() as stream:
        for block in blocks(stream, cut=_after_last_facet):
            facets.take(block)
    return facets.found(allow_partial)


def _after_last_facet(text: bytes) -> int:
    """Where the last whole facet of *text* ends: blocks that begin and end between facets go the fast way."""
    tail = max(len(text) - 4096, 0)
    ends = [match.end() for match in _FACET_END.finditer(text, tail)]
    return ends[-1] if ends else last_line_end(text)


class _Facets:
    """Facets as they come, solid by solid."""

    def __init__(self, contents: Contents) -> None:
        self.contents = contents
        self.solids: list[tuple[str, list[Floats]]] = []
        self.inside_solid = False
        self.words = _FacetWords(contents)

    def take(self, block: Block) -> None:
        """Take in a block of text."""
        line, start = block.first_line, 0
        for marker in _MARKER.finditer(block.text) if b"solid" in block.text.lower() else ():
            self._take_facets(block.text[start : marker.start()], line)
            line += block.text.count(b"\n", start, marker.start())
            start = marker.start()
            if self.words.between_facets:
                facets = _FACET_BEGIN.search(marker[2])  # a whole file may stand on one line
                self._take_marker(marker[1], marker[2][: facets.start()] if facets else marker[2])
                start = marker.start(2) + facets.start() if facets else marker.end()
                line += 0 if facets else 1
        self._take_facets(block.text[start:], line)

    def _take_marker(self, end: bytes, name: bytes) -> None:
        self.inside_solid = not end
        if not end:
            self.solids.append((" ".join(decoded(name).split()), []))

    def _take_facets(self, text: bytes, line: int) -> None:
        if not text or text.isspace():
            return
        corners = _in_bulk(text) if self.words.between_facets else None
        if corners is None:
            corners = np.array(list(self.words.triangles(text, line)), dtype=np.float64).reshape(-1, 3, 3)
        if not self.solids:
            self.solids.append(("", []))
        self.solids[-1][1].append(corners)

    def found(self, allow_partial: bool) -> Found:
        """The parts, when the text has come to its end."""
        found = Found([MeshPart(name, _soup(np.concatenate(pieces))) for name, pieces in self.solids if pieces])
        found.parts = [part for part in found.parts if len(part.mesh.faces)]
        if not self.words.between_facets:
            if not allow_partial:
                raise self.words.torn()
            found.note("partial", f"{self.contents.name} ends within a facet; only the whole facets were read.")
        elif not found.parts:
            raise self.contents.refuse("is an STL file without a single facet; export the model again.")
        elif self.inside_solid:
            found.note("no-endsolid", f"{self.contents.name} ends without 'endsolid'; all its facets are whole.")
        if not found.parts:
            raise self.words.torn()
        return found


def _soup(corners: Floats) -> Mesh:
    return Mesh(corners.reshape(-1, 3), np.arange(3 * len(corners), dtype=np.int32).reshape(-1, 3))


def _in_bulk(text: bytes) -> Floats | None:
    """(n, 3, 3) corners when *text* is nothing but facets of the words that the format wants, else None."""
    words = text.lower().split()
    count, rest = divmod(len(words), WORDS_A_FACET)
    if rest or b"_" in text:  # Python takes 1_0 for a number
        return None
    if any(words[place::WORDS_A_FACET] != [keyword] * count for place, keyword in _KEYWORDS.items()):
        return None
    try:
        columns = np.array([words[place::WORDS_A_FACET] for place in _COORDINATES], dtype=np.float64)
    except ValueError:
        return None
    return np.ascontiguousarray(columns.T).reshape(count, 3, 3)


class _FacetWords:
    """The careful way: one word after the other, remembering where a facet stands between blocks."""

    def __init__(self, contents: Contents) -> None:
        self.contents = contents
        self.line = self.facet_line = 0
        self.place = "between"  # → facet → loop → looped → between
        self.corners: list[list[float]] = []
        self.after_end = False

    @property
    def between_facets(self) -> bool:
        """Whether no facet is open."""
        return self.place == "between"

    def triangles(self, text: bytes, line: int) -> Iterator[list[list[float]]]:
        """Three corners of each facet that *text*, beginning on *line*, completes."""
        for self.line, row in enumerate(text.split(b"\n"), line):
            for word in row.split():
                if self._take(word):
                    yield self.corners

    def _take(self, word: bytes) -> bool:
        """Take in *word*; true when it completes a facet."""
        key = word.lower()
        if self.after_end:  # 'end loop' for 'endloop'
            key, self.after_end = b"end" + key, False
        elif key == b"end":
            self.after_end = True
            return False
        match self.place:
            case "between":
                self._open(key, word)
            case "facet":
                self._await_loop(key)
            case "loop":
                self._take_corner(key, word)
            case _:
                return self._close(key, word)
        return False

    def _open(self, key: bytes, word: bytes) -> None:
        if key != b"facet":
            raise self._unexpected(word, "a facet should begin")
        self.place, self.facet_line = "facet", self.line

    def _await_loop(self, key: bytes) -> None:
        # Whatever stands between 'facet' and 'outer loop' is the normal, which is not needed.
        if key == b"loop":
            self.place, self.corners = "loop", []
        elif key in (b"vertex", b"endloop", b"endfacet", b"facet"):
            raise self._unexpected(key, "'outer loop' should stand")

    def _take_corner(self, key: bytes, word: bytes) -> None:
        open_corner = self.corners and len(self.corners[-1]) < 3
        if open_corner:
            self.corners[-1].append(self._coordinate(word))
        elif key == b"vertex":
            self.corners.append([])
        elif key == b"endloop":
            self._check_corners()
            self.place = "looped"
        elif number(word) is not None:
            raise self._refuse(f"has a vertex with more than three numbers on line {self.line}; export it again")
        else:
            raise self._unexpected(word, "'vertex' or 'endloop' should stand")

    def _check_corners(self) -> None:
        if len(self.corners) != 3:
            raise self._refuse(
                f"has a facet with {len(self.corners)} corners instead of three on lines {self.facet_line} to "
                f"{self.line}; export it again"
            )

    def _close(self, key: bytes, word: bytes) -> bool:
        if key != b"endfacet":
            raise self._unexpected(word, "'endfacet' should stand")
        self.place = "between"
        return True

    def _coordinate(self, word: bytes) -> float:
        value = number(word)
        if value is not None:
            return value
        if has_decimal_comma(word):
            raise self._refuse(f"has '{readable(word)}' with a decimal comma on line {self.line}; {COMMA_ADVICE}")
        raise self._unexpected(word, "a coordinate should stand")

    def _unexpected(self, word: bytes, place: str) -> UnreadableMesh:
        return self._refuse(f"has '{readable(word)}' on line {self.line} where {place}; export it again")

    def torn(self) -> UnreadableMesh:
        """The error for a text that ends within a facet."""
        return self._refuse(
            f"ends on line {self.line} within the facet begun on line {self.facet_line}, so it was probably cut off "
            "while being saved or copied; fetch it again"
        )

    def _refuse(self, what: str) -> UnreadableMesh:
        return self.contents.refuse(what + ".", line=self.line)

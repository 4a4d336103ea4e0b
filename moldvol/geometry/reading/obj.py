"""Wavefront OBJ: positions, faces of any corner count, objects and groups; materials and normals are passed over.

Source of the layout: Alias|Wavefront, Advanced Visualizer Manual, appendix B1 (object files). Long runs of alike
lines are parsed in bulk, everything else line by line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby
from operator import itemgetter

import numpy as np

from moldvol.errors import UnreadableMesh
from moldvol.geometry.mesh import Floats
from moldvol.geometry.reading.compact import compact
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.lines import Block, blocks
from moldvol.geometry.reading.mesh_file import Found, MeshPart
from moldvol.geometry.reading.numerals import (
    COMMA_ADVICE,
    SENTINEL,
    SENTINEL_VALUE,
    decoded,
    floats_in_bulk,
    has_decimal_comma,
    integers_in_bulk,
    number,
    readable,
)
from moldvol.geometry.reading.polygons import Indices, Polygons, bent_faces_sentence, cut_into_triangles

BULK_LINES = 16  # shorter runs are quicker line by line
_BEYOND_SLASH = re.compile(rb"/[^\s]*")
_WHOLE_NUMBER = re.compile(rb"[-+]?\d{1,18}")
_keyword = itemgetter(slice(2))
_CONTINUED = re.compile(rb"\\[ \t]*\n")


def read_obj(contents: Contents) -> Found:
    """The faces of an OBJ file, one part for each object or, in a file without objects, each group.

    Raises `UnreadableMesh`, naming the line, for what is no number, a vertex that is not there, and a file that has
    no faces.
    """
    lines = _Lines(contents)
    with contents.open() as stream:
        for block in blocks(stream, cut=_after_whole_statement):
            lines.take(block)
    return lines.found()


def _after_whole_statement(text: bytes) -> int:
    """Where the last line ends that is not continued on the next by a backslash."""
    end = text.rfind(b"\n") + 1
    while end and text[:end].rstrip().endswith(b"\\"):
        end = text.rfind(b"\n", 0, end - 1) + 1
    return end


class _Faces:
    """Faces in one object and group, with the line of each."""

    def __init__(self, label: tuple[str, str]) -> None:
        self.label = label
        self.polygons: list[Polygons] = []
        self.lines: list[Indices] = []
        self.counts_now: list[int] = []
        self.corners_now: list[int] = []
        self.lines_now: list[int] = []

    def add(self, corners: list[int], line: int) -> None:
        """One face."""
        self.counts_now.append(len(corners))
        self.corners_now += corners
        self.lines_now.append(line)

    def add_run(self, polygons: Polygons, first_line: int) -> None:
        """Faces on lines one after the other."""
        self.settle()
        self.polygons.append(polygons)
        self.lines.append(first_line + np.arange(len(polygons.counts)))

    def settle(self) -> None:
        """Turn the single faces gathered so far into arrays."""
        if self.counts_now:
            counts, corners = (np.array(values, dtype=np.int64) for values in (self.counts_now, self.corners_now))
            self.polygons.append(Polygons(counts, corners))
            self.lines.append(np.array(self.lines_now, dtype=np.int64))
            self.counts_now, self.corners_now, self.lines_now = [], [], []


class _Lines:
    """An OBJ file as its lines come."""

    def __init__(self, contents: Contents) -> None:
        self.contents = contents
        self.positions: list[Floats] = []
        self.positions_now: list[list[float]] = []
        self.vertex_count = 0
        self.thin_faces = 0
        self.object = self.group = ""
        self.by_label: dict[tuple[str, str], _Faces] = {}

    def take(self, block: Block) -> None:
        """Take in whole lines."""
        line = block.first_line
        if _CONTINUED.search(block.text):
            for text, line in _joined_lines(block):
                self._take_line(text, line)
            return
        for start, run in groupby(block.text.split(b"\n"), key=_keyword):
            rows = list(run)
            start = start.replace(b"\t", b" ")
            if not (start in (b"vn", b"vt") or (len(rows) >= BULK_LINES and self._take_run(start, rows, line))):
                for offset, row in enumerate(rows):
                    self._take_line(row, line + offset)
            line += len(rows)

    def _take_run(self, keyword: bytes, rows: list[bytes], line: int) -> bool:
        """Take in alike lines at once; false when they must be looked at one by one."""
        if keyword == b"v ":
            return self._take_position_run(b"\n".join(rows), len(rows))
        if keyword == b"f ":
            return self._take_face_run(b"\n".join(rows), len(rows), line)
        return False

    def _take_position_run(self, text: bytes, count: int) -> bool:
        values = floats_in_bulk(text.replace(b"v", SENTINEL))
        if values is None or len(values) % count or len(values) < 4 * count:
            return False
        rows = values.reshape(count, -1)
        marks = rows == SENTINEL_VALUE
        if not marks[:, 0].all() or marks[:, 1:].any():
            return False
        self._settle_positions()
        self.positions.append(rows[:, 1:4].copy())
        self.vertex_count += count
        return True

    def _take_face_run(self, text: bytes, count: int, line: int) -> bool:
        if b"/" in text:
            text = _BEYOND_SLASH.sub(b"", text)
        values = integers_in_bulk(text.replace(b"f", b" 0 "))  # 0 is no vertex number: it marks where a face begins
        if values is None or len(values) == 0:
            return False
        begins = np.flatnonzero(values == 0)
        if len(begins) != count or begins[0] != 0:
            return False
        counts = np.diff(begins, append=len(values)) - 1
        corners = np.delete(values, begins)
        corners = np.where(corners < 0, corners + self.vertex_count, corners - 1)
        if (counts < 3).any() or (corners < 0).any():
            return False
        self._faces().add_run(Polygons(counts, corners), line)
        return True

    def _take_line(self, text: bytes, line: int) -> None:
        words = text.split(b"#", 1)[0].split() if text[:1] not in b"og" else text.split()
        match words[:1]:
            case [b"v"]:
                self._take_position(words, line)
            case [b"f" | b"fo"]:
                self._take_face(words, line)
            case [b"o"]:
                self.object = decoded(b" ".join(words[1:]))
            case [b"g"]:
                self.group = decoded(b" ".join(words[1:]))

    def _take_position(self, words: list[bytes], line: int) -> None:
        values = [number(word) for word in words[1:4]]
        if len(values) < 3 or None in values:
            raise self._bad_position(words, line)
        self.positions_now.append(values)  # type: ignore[arg-type]  # None is ruled out above
        self.vertex_count += 1

    def _bad_position(self, words: list[bytes], line: int) -> UnreadableMesh:
        for word in words[1:4]:
            if has_decimal_comma(word):
                return self._refuse(f"has '{readable(word)}' with a decimal comma on line {line}; {COMMA_ADVICE}", line)
            if number(word) is None:
                return self._refuse(
                    f"has '{readable(word)}' on line {line} where a coordinate should stand; export it again", line
                )
        return self._refuse(f"has a vertex with {len(words) - 1} numbers instead of three on line {line}", line)

    def _take_face(self, words: list[bytes], line: int) -> None:
        corners = [self._corner(word, line) for word in words[1:]]
        if len(corners) < 3:
            self.thin_faces += 1
        else:
            self._faces().add(corners, line)

    def _corner(self, word: bytes, line: int) -> int:
        text = word.split(b"/", 1)[0]
        if not _WHOLE_NUMBER.fullmatch(text):
            raise self._refuse(f"has '{readable(word)}' on line {line} where a vertex number should stand", line)
        given = int(text)
        resolved = given - 1 if given > 0 else given + self.vertex_count
        if given == 0 or resolved < 0:
            raise self._no_such_vertex(given, line)
        return resolved

    def _faces(self) -> _Faces:
        label = (self.object, self.group)
        if label not in self.by_label:
            self.by_label[label] = _Faces(label)
        return self.by_label[label]

    def _settle_positions(self) -> None:
        if self.positions_now:
            self.positions.append(np.array(self.positions_now, dtype=np.float64))
            self.positions_now = []

    def found(self) -> Found:
        """The parts, when all lines are in."""
        self._settle_positions()
        if not self.by_label:
            raise self.contents.refuse(self._why_no_faces())
        vertices = np.concatenate(self.positions) if self.positions else np.zeros((0, 3))
        self._check_vertex_numbers()
        found, bent = Found([]), 0
        for name, polygons in self._named_polygons():
            cut = cut_into_triangles(polygons, vertices)
            bent += cut.bent
            found.parts.append(MeshPart(name, compact(vertices, cut.faces)))
        if self.thin_faces:
            found.note("thin-faces", f"{self.contents.name} has {self.thin_faces:,} faces of fewer than three corners.")
        if bent:
            found.note("bent-faces", bent_faces_sentence(self.contents.name, bent))
        return found

    def _why_no_faces(self) -> str:
        if self.vertex_count:
            return (
                f"holds {self.vertex_count:,} points but no faces, so it has no surface; export a mesh, or rebuild the "
                "surface in your scanner program."
            )
        return "is an OBJ file without points or faces; export the model again."

    def _check_vertex_numbers(self) -> None:
        for faces in self.by_label.values():
            faces.settle()
            for polygons, lines in zip(faces.polygons, faces.lines, strict=True):
                wrong = np.flatnonzero(polygons.corners >= self.vertex_count)
                if len(wrong):
                    face = int(np.searchsorted(np.cumsum(polygons.counts), wrong[0], side="right"))
                    raise self._no_such_vertex(int(polygons.corners[wrong[0]]) + 1, int(lines[face]))

    def _named_polygons(self) -> Iterator[tuple[str, Polygons]]:
        """Faces by object where the file has objects, else by group: groups often are only patches of one body."""
        which = 0 if any(label[0] for label in self.by_label) else 1
        named: dict[str, list[Polygons]] = {}
        for label, faces in self.by_label.items():
            named.setdefault(label[which], []).extend(faces.polygons)
        for name, pieces in named.items():
            yield name, Polygons.joined(pieces)

    def _no_such_vertex(self, given: int, line: int) -> UnreadableMesh:
        return self._refuse(
            f"asks for vertex {given} on line {line}, but there are {self.vertex_count:,}; it may be cut off, fetch or "
            "export it again",
            line,
        )

    def _refuse(self, what: str, line: int) -> UnreadableMesh:
        return self.contents.refuse(what + ".", line=line)


def _joined_lines(block: Block) -> Iterator[tuple[bytes, int]]:
    """Statements with the line they begin on, continued lines joined."""
    held, begun = b"", block.first_line
    for line, text in enumerate(block.text.split(b"\n"), block.first_line):
        begun = begun if held else line
        held += text.rstrip() if text.rstrip().endswith(b"\\") else text
        if held.endswith(b"\\"):
            held = held[:-1] + b" "
            continue
        yield held, begun
        held = b""
    if held:
        yield held, begun

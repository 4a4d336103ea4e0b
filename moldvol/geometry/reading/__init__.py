"""The reading room: any mesh file in, its parts as triangles out, or one sentence that says why not.

The bytes are looked at before any library sees them, announced counts are held against what is there before
anything is allocated, and an empty result is always an error. Coordinates stay in the file's own unit.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from moldvol.errors import RequestError
from moldvol.geometry.mesh import CHUNK_FACES, Mesh
from moldvol.geometry.reading.contents import Contents, contents_of
from moldvol.geometry.reading.glb import read_glb
from moldvol.geometry.reading.mesh_file import Found, MeshFile, MeshPart, ReadingLimits
from moldvol.geometry.reading.obj import read_obj
from moldvol.geometry.reading.off import read_off
from moldvol.geometry.reading.ply import read_ply
from moldvol.geometry.reading.sniff import FORMATS, claimed_by_name, is_ascii_stl, sniff
from moldvol.geometry.reading.stl_ascii import read_ascii_stl
from moldvol.geometry.reading.stl_binary import read_binary_stl
from moldvol.geometry.reading.threemf import read_3mf

__all__ = ["FORMATS", "MeshFile", "MeshPart", "ReadingLimits", "read_mesh"]


def read_mesh(
    source: Path | str | bytes,
    *,
    name: str | None = None,
    format: str | None = None,  # noqa: A002  the word users type
    allow_partial: bool = False,
    limits: ReadingLimits = ReadingLimits(),  # noqa: B008  frozen
) -> MeshFile:
    """The parts of the mesh file at the path *source*, or of the bytes themselves.

    *name* is what sentences call the file. *format*, one of `FORMATS`, is only needed where the bytes do not tell.
    With *allow_partial* a file that ends too early gives what is whole of it, and a notice.

    Raises `UnreadableMesh` in one sentence for whatever cannot be read, `RequestError` for an unknown *format*.
    """
    asked = _known_format(format)
    contents = contents_of(source, name=name, stream_bytes=limits.stream_bytes)
    claimed = asked or claimed_by_name(name or str(source) if not isinstance(source, bytes) else name or "")
    actual = sniff(contents, claimed)
    try:
        with np.errstate(all="ignore"):  # files may hold NaN, infinity and numbers beyond single precision
            found = _read_as(actual, contents, allow_partial, limits)
    except MemoryError:
        raise contents.refuse("does not fit into this machine's memory; reduce it in your mesh program.") from None
    _refuse_hollow_words(contents, found)
    if claimed not in (None, actual):
        found.note("format", f"{contents.name} is really {_called(actual)} file and was read as one.")
    return MeshFile(contents.name, actual, tuple(found.parts), found.unit, found.welded, tuple(found.notices))


def _known_format(word: str | None) -> str | None:
    if word is None:
        return None
    cleaned = word.strip().casefold().removeprefix(".")
    if cleaned not in FORMATS:
        raise RequestError(f"'{word}' is not a mesh format; use one of {', '.join(FORMATS)}.", format=word)
    return cleaned


def _called(format_name: str) -> str:
    article = "an" if format_name in ("stl", "obj", "off") else "a"
    return f"{article} {format_name.upper()}"


def _read_as(actual: str, contents: Contents, allow_partial: bool, limits: ReadingLimits) -> Found:
    match actual:
        case "stl" if is_ascii_stl(contents):
            return read_ascii_stl(contents, allow_partial=allow_partial)
        case "stl":
            return read_binary_stl(contents, allow_partial=allow_partial)
        case "obj":
            return read_obj(contents)
        case "ply":
            return read_ply(contents, allow_partial=allow_partial)
        case "off":
            return read_off(contents, allow_partial=allow_partial)
        case "3mf":
            return read_3mf(contents, limits)
        case _:
            return read_glb(contents, limits)


def _refuse_hollow_words(contents: Contents, found: Found) -> None:
    """An empty result, or one without a single number in it, is never handed on."""
    if not any(len(part.mesh.faces) for part in found.parts):
        raise contents.refuse("holds no triangles; export the model again.")
    if not any(_has_a_point(part.mesh) for part in found.parts):
        raise contents.refuse("has no coordinate that is a number; export the model again.")


def _has_a_point(mesh: Mesh) -> bool:
    """Whether any vertex is finite; the first few tell of nearly every mesh."""
    starts = range(0, len(mesh.vertices), CHUNK_FACES)
    return any(np.isfinite(mesh.vertices[start : start + CHUNK_FACES]).all(axis=1).any() for start in starts)

"""Binary STL: 80 bytes of header, a count, and 50 bytes for each triangle.

Source of the layout: 3D Systems' StereoLithography Interface Specification (1988). Normals and attribute words are
passed over: they are often zero, wrong, or colours.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.mesh_file import Found, MeshPart

HEADER_BYTES = 84
TRIANGLE_BYTES = 50
TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
CHUNK_TRIANGLES = 1 << 16
NEGATIVE_ZERO = np.float32(-0.0).view(np.uint32)
LARGEST_COUNT = (1 << 31) // 3  # vertices are counted in 31 bits


class Tally(NamedTuple):
    """Triangles that the file announces, those it has room for, and the bytes left over after these."""

    announced: int
    present: int
    left_over: int


def tally(contents: Contents) -> Tally:
    """What a binary STL of this size announces and holds."""
    announced = int.from_bytes(contents.head(4, start=80), "little")
    present, left_over = divmod(max(contents.size - HEADER_BYTES, 0), TRIANGLE_BYTES)
    return Tally(announced, present, left_over)


def read_binary_stl(contents: Contents, *, allow_partial: bool) -> Found:
    """The triangles of a binary STL whose counts have been looked at, as one part.

    Raises `UnreadableMesh` when fewer or more triangles are there than announced, unless *allow_partial*.
    """
    if contents.size < HEADER_BYTES:
        raise contents.refuse(
            f"is only {contents.size} bytes long, shorter than the header of a binary STL; save or copy it again."
        )
    count, found = _trusted_count(contents, allow_partial)
    if count == 0:
        raise contents.refuse("is a binary STL with 0 triangles; export the model again.")
    if count > LARGEST_COUNT:
        raise contents.refuse(f"holds {count:,} triangles, more than can be counted here; reduce it first.")
    mesh = _welded(contents) if _exact(contents) else None
    found.welded = mesh is not None
    found.parts.append(MeshPart(_title(contents), mesh or _soup(contents, count)))
    return found


def _trusted_count(contents: Contents, allow_partial: bool) -> tuple[int, Found]:
    """How many triangles to read, with the remarks that go with it."""
    announced, present, left_over = tally(contents)
    found = Found([])
    if announced == present and not left_over:
        return announced, found
    if announced > present:
        if not allow_partial or not present:
            raise contents.refuse(
                f"announces {announced:,} triangles but holds {present:,}: {announced - present:,} are missing, "
                "so it was probably cut off while being saved or copied; fetch it again.",
                announced=announced,
                present=present,
            )
        found.note("partial", f"{contents.name} is incomplete: {present:,} of {announced:,} triangles were read.")
        return present, found
    if announced == 0 and not left_over and _are_triangles(contents, 0, present):
        found.note("count", f"{contents.name} announces 0 triangles, but {present:,} are there and were read.")
        return present, found
    if announced and _are_triangles(contents, announced, present) and not left_over:
        if not allow_partial:
            raise contents.refuse(
                f"announces {announced:,} triangles but holds {present:,}, so it is not known which are meant; "
                "export it again.",
                announced=announced,
                present=present,
            )
        found.note(
            "partial", f"{contents.name} holds {present:,} triangles; only the announced {announced:,} were read."
        )
        return announced, found
    extra = contents.size - HEADER_BYTES - TRIANGLE_BYTES * announced
    found.note("trailing-bytes", f"{contents.name} has {extra:,} bytes after its last triangle; they were passed over.")
    return announced, found


def _are_triangles(contents: Contents, start: int, stop: int) -> bool:
    """Whether records *start* to *stop*, beyond the announced ones, look like more of the model rather than padding."""
    sample = min(stop - start, 1000)
    if sample <= 0:
        return False
    corners = _corners(contents.head(sample * TRIANGLE_BYTES, start=HEADER_BYTES + start * TRIANGLE_BYTES))
    return looks_like_triangles(corners)


def looks_like_triangles(corners: NDArray[np.float32]) -> bool:
    """Whether nearly all of *corners* (n, 3, 3) are finite, of workable size and not all one point."""
    with np.errstate(all="ignore"):
        sane = np.isfinite(corners).all(axis=(1, 2)) & (np.abs(corners).max(axis=(1, 2)) < 1e9)
        # Bytes of text or of other data make numbers too, but tiny ones beyond any use (1e-30) or all alike.
        spread = np.ptp(corners, axis=1).max(axis=1)
    return bool(np.mean(sane & (spread > 1e-9)) > 0.9)


def _corners(records: bytes) -> NDArray[np.float32]:
    whole = len(records) // TRIANGLE_BYTES * TRIANGLE_BYTES
    return np.frombuffer(records[:whole], dtype=TRIANGLE)["corners"]


def _exact(contents: Contents) -> bool:
    return contents.size == HEADER_BYTES + TRIANGLE_BYTES * tally(contents).announced


def _welded(contents: Contents) -> Mesh | None:
    """The mesh through stl-reader, corners merged; None where that library cannot be used or is not safe.

    Measured with stl-reader 0.2.3: it ends the whole process on a file without triangles and on one whose header
    begins with ``solid``, and takes no path that is not UTF-8. It bears NaN and infinity, and keeps the order.
    """
    if contents.path is None or contents.head(5) == b"solid":
        return None
    try:
        import stl_reader
    except ImportError:
        return None
    try:
        vertices, faces = stl_reader.read(str(contents.path))
    except (RuntimeError, TypeError):
        return None
    return _with_zeros_merged(Mesh(vertices, faces.view(np.int32)))


def _with_zeros_merged(mesh: Mesh) -> Mesh:
    """The mesh with vertices merged that differ only by the sign of a zero: stl-reader compares bits, not numbers."""
    if not (mesh.vertices.view(np.uint32) == NEGATIVE_ZERO).any():
        return mesh
    vertices = mesh.vertices.copy()
    at_zero = np.flatnonzero((vertices == 0).any(axis=1))
    vertices[at_zero] += np.float32(0)  # turns -0 into 0
    _, first, inverse = np.unique(vertices[at_zero], axis=0, return_index=True, return_inverse=True)
    target = np.arange(len(vertices), dtype=np.int32)
    target[at_zero] = at_zero[first[inverse.ravel()]]
    return Mesh(vertices, target[mesh.faces])


def _soup(contents: Contents, count: int) -> Mesh:
    """The mesh with three vertices to each triangle, read in pieces so that the file is never held twice."""
    vertices = np.zeros((count, 3, 3), dtype=np.float32)
    with contents.open() as stream:
        stream.seek(HEADER_BYTES)
        for start in range(0, count, CHUNK_TRIANGLES):
            wanted = min(CHUNK_TRIANGLES, count - start)
            corners = _corners(stream.read(wanted * TRIANGLE_BYTES))
            if len(corners) < wanted:
                raise contents.refuse("became shorter while being read; wait until it is written and try again.")
            vertices[start : start + wanted] = corners
    return Mesh(vertices.reshape(-1, 3), np.arange(3 * count, dtype=np.int32).reshape(-1, 3))


def _title(contents: Contents) -> str:
    """The header's text, when it is a title and not a colour table or padding."""
    header = contents.head(80).split(b"\0")[0].removeprefix(b"solid").strip()
    text = header.decode("ascii", "replace")
    return text if text.isprintable() and "�" not in text else ""

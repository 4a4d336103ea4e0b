"""Mesh files as bytes, good and bad, built by hand so that each test says exactly what is wrong with its file.

Unless told otherwise the body is the 20 mm cube: 12 triangles, 8000 mm³, 2400 mm².
"""

from __future__ import annotations

import io
import json
import struct
import zipfile
from collections.abc import Sequence

import numpy as np

CUBE_VERTICES = np.array([(x, y, z) for z in (0.0, 20.0) for y in (0.0, 20.0) for x in (0.0, 20.0)])
CUBE_QUADS = np.array([(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)])
CUBE_FACES = np.concatenate([CUBE_QUADS[:, [0, 1, 2]], CUBE_QUADS[:, [0, 2, 3]]])
CUBE_CORNERS = CUBE_VERTICES[CUBE_FACES]
# A C seen from above: 40 × 30 with a 20 × 10 bite, so 1000 mm²; 7 mm high. Its outline turns both ways.
C_OUTLINE = [(0, 0), (40, 0), (40, 10), (20, 10), (20, 20), (40, 20), (40, 30), (0, 30)]
STL_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def binary_stl(
    corners: np.ndarray = CUBE_CORNERS,
    *,
    header: bytes = b"made for a test",
    count: int | None = None,
    trailing: bytes = b"",
    attribute: int = 0,
) -> bytes:
    records = np.zeros(len(corners), STL_RECORD)
    records["corners"] = corners
    records["attribute"] = attribute
    announced = len(corners) if count is None else count
    return header.ljust(80, b"\0")[:80] + struct.pack("<I", announced) + records.tobytes() + trailing


def ascii_stl(
    corners: np.ndarray = CUBE_CORNERS, *, name: str = "cube", number: str = "{:.6e}", end: bool = True
) -> str:
    lines = [f"solid {name}"]
    for triangle in corners:
        lines += ["  facet normal 0 0 0", "    outer loop"]
        lines += ["      vertex " + " ".join(number.format(value) for value in corner) for corner in triangle]
        lines += ["    endloop", "  endfacet"]
    return "\n".join([*lines, f"endsolid {name}\n"] if end else [*lines, ""])


def obj(
    vertices: np.ndarray = CUBE_VERTICES, faces: Sequence[Sequence[int]] = CUBE_QUADS, *, number: str = "{:g}"
) -> str:
    lines = ["v " + " ".join(number.format(value) for value in vertex) for vertex in vertices]
    return "\n".join([*lines, *("f " + " ".join(str(corner + 1) for corner in face) for face in faces)]) + "\n"


def c_prism_obj(rolled_by: int = 2) -> str:
    """The C, 7 mm high, its two ends as one face each whose first corner is not a good one to fan from."""
    count = len(C_OUTLINE)
    vertices = np.array([(x, y, z) for z in (0.0, 7.0) for x, y in C_OUTLINE])
    ring = np.roll(np.arange(count), rolled_by)
    sides = [(i, (i + 1) % count, (i + 1) % count + count, i + count) for i in range(count)]
    return obj(vertices, [list(ring[::-1]), list(ring + count), *sides])


def ply_header(
    vertices: int, faces: int, *, encoding: str = "ascii", kind: str = "float", count_type: str = "uchar",
    indices: str = "vertex_indices", vertex_extra: str = "", face_extra: str = "",
) -> str:  # fmt: skip
    return (
        f"ply\nformat {encoding} 1.0\ncomment made for a test\nelement vertex {vertices}\n"
        f"property {kind} x\nproperty {kind} y\nproperty {kind} z\n{vertex_extra}"
        f"element face {faces}\nproperty list {count_type} int {indices}\n{face_extra}end_header\n"
    )


def ascii_ply(vertices: np.ndarray = CUBE_VERTICES, faces: Sequence[Sequence[int]] = CUBE_QUADS, **header: str) -> str:
    rows = [" ".join(f"{value:g}" for value in vertex) for vertex in vertices]
    rows += [" ".join(str(value) for value in (len(face), *face)) for face in faces]
    return ply_header(len(vertices), len(faces), **header) + "\n".join(rows) + "\n"


def binary_ply(
    faces: Sequence[Sequence[int]] = CUBE_QUADS, *, order: str = "<", kind: str = "f", count: str = "B",
    vertex_tail: bytes = b"", face_tail: bytes = b"", **header: str,
) -> bytes:  # fmt: skip
    encoding = "binary_little_endian" if order == "<" else "binary_big_endian"
    names = {"f": "float", "d": "double", "B": "uchar", "H": "ushort", "i": "int"}
    head = ply_header(
        len(CUBE_VERTICES), len(faces), encoding=encoding, kind=names[kind], count_type=names[count], **header
    )
    body = b"".join(struct.pack(f"{order}3{kind}", *vertex) + vertex_tail for vertex in CUBE_VERTICES)
    for face in faces:
        body += struct.pack(f"{order}{count}{len(face)}i", len(face), *face) + face_tail
    return head.encode() + body


def off(*, word: str = "OFF", vertex_tail: str = "", face_tail: str = "", comment: str = "") -> str:
    lines = [word, comment, f"{len(CUBE_VERTICES)} {len(CUBE_QUADS)} 12"]
    lines += [" ".join(f"{value:g}" for value in vertex) + vertex_tail for vertex in CUBE_VERTICES]
    lines += [" ".join(str(value) for value in (4, *quad)) + face_tail for quad in CUBE_QUADS]
    return "\n".join(lines) + "\n"


CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"


def mesh_xml(vertices: np.ndarray = CUBE_VERTICES, faces: np.ndarray = CUBE_FACES) -> str:
    points = "".join(f'<vertex x="{x:g}" y="{y:g}" z="{z:g}"/>' for x, y, z in vertices)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces)
    return f"<mesh><vertices>{points}</vertices><triangles>{triangles}</triangles></mesh>"


def object_xml(number: int = 1, inside: str | None = None, attributes: str = "") -> str:
    return f'<object id="{number}" {attributes}>{mesh_xml() if inside is None else inside}</object>'


def model_xml(objects: str | None = None, build: str = '<item objectid="1"/>', attributes: str = "") -> str:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<model xmlns="{CORE}" xmlns:p="{PRODUCTION}" {attributes}>\n'
        f"<resources>{object_xml() if objects is None else objects}</resources>\n<build>{build}</build>\n</model>\n"
    )


def relationships(target: str = "/3D/3dmodel.model") -> str:
    kind = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
    place = "http://schemas.openxmlformats.org/package/2006/relationships"
    return f'<Relationships xmlns="{place}"><Relationship Id="r0" Type="{kind}" Target="{target}"/></Relationships>'


def zipped(entries: dict[str, str | bytes], *, deflated: bool = True) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED if deflated else zipfile.ZIP_STORED) as archive:
        for name, content in entries.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def threemf(model: str | None = None, **more: str | bytes) -> bytes:
    """A 3MF file; *more* entries by name with ``__`` for a slash and ``_dot_`` for a full stop."""
    entries: dict[str, str | bytes] = {"_rels/.rels": relationships(), "3D/3dmodel.model": model or model_xml()}
    entries |= {name.replace("__", "/").replace("_dot_", "."): content for name, content in more.items()}
    return zipped(entries)


def glb_document(**changes: object) -> dict[str, object]:
    """The description of a scene that shows the cube once; *changes* replace top-level entries."""
    points, corners = len(CUBE_VERTICES) * 12, CUBE_FACES.size * 2
    document: dict[str, object] = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"name": "cube", "mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": len(CUBE_VERTICES), "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": CUBE_FACES.size, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteLength": points},
            {"buffer": 0, "byteOffset": points, "byteLength": corners},
        ],
        "buffers": [{"byteLength": points + corners}],
    }
    return document | changes


def glb(document: dict[str, object] | None = None, *, version: int = 2, binary: bytes | None = None) -> bytes:
    """The cube, 0.02 m wide as GLB is in metres."""
    if binary is None:
        binary = (CUBE_VERTICES / 1000).astype("<f4").tobytes() + CUBE_FACES.astype("<u2").tobytes()
    text = json.dumps(document or glb_document()).encode()
    text += b" " * (-len(text) % 4)
    binary += b"\0" * (-len(binary) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(binary), 0x004E4942) + binary
    return b"glTF" + struct.pack("<II", version, 12 + len(chunks)) + chunks


def good_files() -> dict[str, bytes]:
    """One sound file of each form, by a name with its extension."""
    return {
        "binary.stl": binary_stl(),
        "ascii.stl": ascii_stl().encode(),
        "quads.obj": obj().encode(),
        "c.obj": c_prism_obj().encode(),
        "ascii.ply": ascii_ply().encode(),
        "little.ply": binary_ply(),
        "big.ply": binary_ply(order=">"),
        "plain.off": off().encode(),
        "cube.3mf": threemf(),
        "stored.3mf": zipped({"_rels/.rels": relationships(), "3D/3dmodel.model": model_xml()}, deflated=False),
        "cube.glb": glb(),
    }

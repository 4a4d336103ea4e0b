"""A part as a GLB file for the browser: triangles with two sets of vertex colours, and lines for open rims.

Format: glTF 2.0, Khronos Group, 2021; sections 3 (buffers, accessors, meshes) and 4.4 (the binary container).
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Ints

TRIANGLES, LINES = 4, 1
FLOAT, UNSIGNED_BYTE, UNSIGNED_INT = 5126, 5121, 5125
VERTICES, INDICES = 34962, 34963
_MAGIC, _JSON, _BINARY = 0x46546C67, 0x4E4F534A, 0x004E4942

Colours = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """One named thing to draw: ``points`` (v, 3), ``indices`` (n, 3) triangles or (n, 2) lines, and colours (v, 4)."""

    name: str
    points: Floats
    indices: Ints
    colours: tuple[Colours, ...] = ()


@dataclass(slots=True)
class _Buffer:
    """The binary chunk with its views and accessors, growing."""

    content: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)

    def add(self, array: NDArray[Any], target: int, **accessor: Any) -> int:
        """The number of the accessor that now stands for *array*."""
        raw = np.ascontiguousarray(array).tobytes()
        self.views.append({"buffer": 0, "byteOffset": len(self.content), "byteLength": len(raw), "target": target})
        self.content += raw + b"\0" * (-len(raw) % 4)
        self.accessors.append({"bufferView": len(self.views) - 1, "count": len(array), **accessor})
        return len(self.accessors) - 1


def glb(things: Sequence[Drawn]) -> bytes:
    """The GLB file of *things*; what has no triangle or line is left out."""
    buffer = _Buffer()
    meshes = [_mesh(thing, buffer) for thing in things if len(thing.indices)]
    document = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(meshes)))}],
        "nodes": [{"mesh": number, "name": mesh["name"]} for number, mesh in enumerate(meshes)],
        "meshes": meshes,
        "buffers": [{"byteLength": len(buffer.content)}],
        "bufferViews": buffer.views,
        "accessors": buffer.accessors,
    }
    text = json.dumps(document, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    chunks = _chunk(_JSON, text) + _chunk(_BINARY, bytes(buffer.content))
    return struct.pack("<III", _MAGIC, 2, 12 + len(chunks)) + chunks


def _mesh(thing: Drawn, buffer: _Buffer) -> dict[str, Any]:
    points = thing.points.astype(np.float32)
    attributes = {
        "POSITION": buffer.add(
            points, VERTICES, componentType=FLOAT, type="VEC3",
            min=points.min(axis=0).tolist(), max=points.max(axis=0).tolist(),
        )
    }  # fmt: skip
    for number, colours in enumerate(thing.colours):
        attributes[f"COLOR_{number}"] = buffer.add(
            colours.astype(np.uint8), VERTICES, componentType=UNSIGNED_BYTE, type="VEC4", normalized=True
        )
    flat = thing.indices.astype(np.uint32).ravel()
    indices = buffer.add(flat, INDICES, componentType=UNSIGNED_INT, type="SCALAR")
    mode = TRIANGLES if thing.indices.shape[1] == 3 else LINES
    return {"name": thing.name, "primitives": [{"attributes": attributes, "indices": indices, "mode": mode}]}


def _chunk(kind: int, content: bytes) -> bytes:
    return struct.pack("<II", len(content), kind) + content

"""GLB, the one-file form of glTF 2.0: the triangles of its scene under every transform, in metres, turned z up.

Source: Khronos Group, glTF 2.0 Specification, sections 3.4 (coordinates), 3.5 (scenes), 3.7 (meshes) and 4 (GLB file
format).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from moldvol.geometry.mesh import Floats, Mesh, join
from moldvol.geometry.reading.compact import compact
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.glb_accessors import Document
from moldvol.geometry.reading.mesh_file import Found, MeshPart, ReadingLimits
from moldvol.geometry.reading.polygons import Indices

# The standard has y up, and programs that model with z up turn what they export; so it is turned back.
UPRIGHT = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=np.float64)
_HEADER_BYTES, _CHUNK_HEADER_BYTES = 12, 8
_JSON_CHUNK, _BINARY_CHUNK = 0x4E4F534A, 0x004E4942
_TRIANGLES, _STRIP, _FAN = 4, 5, 6
_HARMLESS = ("KHR_materials_", "KHR_texture_", "EXT_texture_", "KHR_lights_", "KHR_xmp", "KHR_mesh_quantization")
_COMPRESSED = ("KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_meshopt_compression")


def read_glb(contents: Contents, limits: ReadingLimits) -> Found:
    """The meshes that the scene of a GLB file shows, one part for each, z up, and the unit metre.

    Raises `UnreadableMesh` for a file shorter than it announces, compressed triangles, extensions that are required
    and not known, and references that lead nowhere or in a circle.
    """
    document = _opened(contents)
    _check_extensions(document)
    scene = _Scene(document, limits)
    found = Found([], unit="m")
    for name, number, matrix in scene.placed_meshes():
        mesh = scene.mesh(number)
        if len(mesh.faces):
            found.parts.append(MeshPart(name, mesh.transformed(UPRIGHT @ matrix)))
    scene.note(found)
    if not found.parts:
        raise contents.refuse("is a GLB file whose scene holds no triangles; export the model as a mesh.")
    return found


def _opened(contents: Contents) -> Document:
    data = contents.all()
    version, announced = (int.from_bytes(data[at : at + 4], "little") for at in (4, 8))
    if version != 2:
        raise contents.refuse(f"is a GLB file of version {version}, of which only 2 is read; export it again.")
    if announced > len(data):
        raise contents.refuse(
            f"announces {announced:,} bytes but is {len(data):,} long, so it was probably cut off while being saved or "
            "copied; fetch it again.",
            announced=announced,
            present=len(data),
        )
    chunks = dict(reversed(list(_chunks(contents, data[:announced]))))
    if _JSON_CHUNK not in chunks:
        raise contents.refuse("is a GLB file without its description of the scene; export it again.")
    return Document(contents, _json(contents, bytes(chunks[_JSON_CHUNK])), bytes(chunks.get(_BINARY_CHUNK, b"")))


def _chunks(contents: Contents, data: bytes) -> Iterator[tuple[int, memoryview]]:
    """The kind and bytes of each chunk."""
    position = _HEADER_BYTES
    while position + _CHUNK_HEADER_BYTES <= len(data):
        length, kind = (int.from_bytes(data[at : at + 4], "little") for at in (position, position + 4))
        position += _CHUNK_HEADER_BYTES
        if position + length > len(data):
            raise contents.refuse(
                f"announces a block of {length:,} bytes where {len(data) - position:,} are left, so it was probably "
                "cut off or damaged; fetch it again.",
                announced=length,
                present=len(data) - position,
            )
        yield kind, memoryview(data)[position : position + length]
        position += length


def _json(contents: Contents, text: bytes) -> dict[str, Any]:
    try:
        parsed = json.loads(text.decode("utf-8").rstrip("\0 "))
    except (ValueError, RecursionError) as trouble:
        raise contents.refuse("has a damaged description of its scene; fetch or export it again.") from trouble
    if not isinstance(parsed, dict):
        raise contents.refuse("has no description of its scene; export it again.")
    return parsed


def _check_extensions(document: Document) -> None:
    required = document.json.get("extensionsRequired", [])
    for extension in required if isinstance(required, list) else [required]:
        if extension in _COMPRESSED:
            raise document.contents.refuse(
                f"has its triangles compressed ({extension}), which is not read here; export it without compression."
            )
        if not isinstance(extension, str) or not extension.startswith(_HARMLESS):
            raise document.contents.refuse(
                f"requires the extension '{str(extension)[:60]}', which is not known here; export it without."
            )


@dataclass(slots=True)
class _Left:
    """What was passed over."""

    points_and_lines: int = 0
    skinned: int = 0
    morphed: int = 0


class _Scene:
    """Walks a scene's nodes, and reads each mesh once."""

    def __init__(self, document: Document, limits: ReadingLimits) -> None:
        self.document, self.limits = document, limits
        self.meshes: dict[int, Mesh] = {}
        self.left = _Left()
        self.triangles = 0
        self.reached: set[int] = set()

    def placed_meshes(self) -> Iterator[tuple[str, int, Floats]]:
        """Name, mesh number and 4 × 4 transform of each node that shows a mesh."""
        waiting = [(node, np.eye(4)) for node in reversed(self._roots())]
        while waiting:
            number, outer = waiting.pop()
            node = self.document.entry("nodes", number)
            if number in self.reached:
                raise self.document.refuse(f"has a node, {number}, that stands in more than one place or in itself")
            self.reached.add(number)
            matrix = outer @ self._matrix(node)
            if "mesh" in node:
                mesh = self.document.entry("meshes", node["mesh"])
                self.left.skinned += "skin" in node
                yield str(node.get("name") or mesh.get("name") or ""), node["mesh"], matrix
            waiting += [(child, matrix) for child in reversed(self._children(node))]

    def _roots(self) -> list[int]:
        if not self.document.listed("scenes"):
            children = {child for node in self.document.listed("nodes") for child in self._children(node)}
            return [number for number in range(len(self.document.listed("nodes"))) if number not in children]
        return self._numbers(self.document.entry("scenes", self.document.json.get("scene", 0)), "nodes")

    def _children(self, node: dict[str, Any]) -> list[int]:
        return self._numbers(node, "children")

    def _numbers(self, entry: dict[str, Any], key: str) -> list[int]:
        numbers = entry.get(key, [])
        if not isinstance(numbers, list) or not all(isinstance(n, int) and not isinstance(n, bool) for n in numbers):
            raise self.document.refuse(f"has {key} that are no list of numbers")
        return numbers

    def _matrix(self, node: dict[str, Any]) -> Floats:
        """A node's own transform: its matrix (stored by columns), or scale, then rotation, then translation."""
        if "matrix" in node:
            matrix = self._floats(node, "matrix", np.eye(4)).reshape(4, 4).T
        else:
            x, y, z, w = self._floats(node, "rotation", np.array([0.0, 0.0, 0.0, 1.0]))
            turn = np.array([
                [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
                [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
                [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
            ])  # fmt: skip
            matrix = np.eye(4)
            matrix[:3, :3] = turn * self._floats(node, "scale", np.ones(3))
            matrix[:3, 3] = self._floats(node, "translation", np.zeros(3))
        if not np.isfinite(matrix).all() or np.abs(matrix).max() > 1e15:
            raise self.document.refuse("has a transform with absurd numbers")
        return np.asarray(matrix)

    def _floats(self, node: dict[str, Any], key: str, default: Floats) -> Floats:
        given = node.get(key)
        if given is None:
            return default
        is_numbers = isinstance(given, list) and all(isinstance(n, int | float) and abs(n) < 1e300 for n in given)
        if not is_numbers or len(given) != default.size:
            raise self.document.refuse(f"has a {key} that is not {default.size} numbers")
        return np.array(given, dtype=np.float64)

    def mesh(self, number: int) -> Mesh:
        """The triangles of one mesh, all its primitives together."""
        if number not in self.meshes:
            primitives = self.document.entry("meshes", number).get("primitives")
            if not isinstance(primitives, list) or not all(isinstance(p, dict) for p in primitives):
                raise self.document.refuse("has a mesh without primitives")
            self.meshes[number] = join([mesh for p in primitives if (mesh := self._primitive(p)) is not None])
        self.triangles += len(self.meshes[number].faces)
        if self.triangles > self.limits.placed_triangles:
            raise self.document.contents.refuse(
                f"places more than {self.limits.placed_triangles:,} triangles; export the parts you mean to cast."
            )
        return self.meshes[number]

    def _primitive(self, primitive: dict[str, Any]) -> Mesh | None:
        mode = primitive.get("mode", _TRIANGLES)
        if mode not in (_TRIANGLES, _STRIP, _FAN):
            self.left.points_and_lines += 1
            return None
        self.left.morphed += "targets" in primitive
        attributes = primitive.get("attributes")
        if not isinstance(attributes, dict) or "POSITION" not in attributes:
            raise self.document.refuse("has triangles without points")
        vertices = self.document.points(attributes["POSITION"])
        corners = self.document.indices(primitive["indices"]) if "indices" in primitive else np.arange(len(vertices))
        if len(corners) and int(corners.max()) >= len(vertices):
            raise self.document.refuse(f"asks for vertex {int(corners.max())} of {len(vertices):,} (numbered from 0)")
        return compact(vertices, _faces(corners, mode).astype(np.int32))

    def note(self, found: Found) -> None:
        """Add the remarks on what was passed over."""
        name = self.document.contents.name
        if self.left.points_and_lines:
            found.note("left-out", f"{name} also draws points or lines, which have no volume; they were left out.")
        if self.left.skinned:
            found.note("pose", f"{name} is posed by bones; it was read as modelled, before they bend it.")
        if self.left.morphed:
            found.note("pose", f"{name} can change its shape by blending; it was read in its basic shape.")
        unused = [n for n, node in enumerate(self.document.listed("nodes")) if n not in self.reached and "mesh" in node]
        if unused:
            found.note("not-built", f"{name} holds {len(unused):,} objects that its scene does not show; left out.")


def _faces(corners: Indices, mode: int) -> Indices:
    """(n, 3) triangles of a list, a strip whose every second one is turned, or a fan."""
    if mode == _TRIANGLES:
        return corners[: len(corners) // 3 * 3].reshape(-1, 3)
    count = max(len(corners) - 2, 0)
    first, second, third = corners[:count], corners[1 : count + 1], corners[2 : count + 2]
    if mode == _FAN:
        return np.stack([np.repeat(corners[:1], count), second, third], axis=1)
    odd = np.arange(count) % 2 == 1
    return np.stack([np.where(odd, second, first), np.where(odd, first, second), third], axis=1)

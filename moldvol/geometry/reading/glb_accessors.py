"""Arrays of numbers in a GLB file: accessors over views over buffers, each bound checked before it is believed.

Source: Khronos Group, glTF 2.0 Specification, sections 3.6 (binary data storage) and 3.7.2 (geometry).
"""

from __future__ import annotations

import base64
import binascii
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import UnreadableMesh
from moldvol.geometry.mesh import Floats
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.polygons import Indices

_COMPONENTS = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC3": 3}
_EMBEDDED = "data:"


class Document:
    """The JSON of a GLB file with the numbers beside it; every look-up refuses in words what is not there."""

    def __init__(self, contents: Contents, json: dict[str, Any], binary: bytes) -> None:
        self.contents, self.json, self.binary = contents, json, binary

    def refuse(self, what: str) -> UnreadableMesh:
        """The error for something wrong in the document."""
        return self.contents.refuse(what + "; export it again.")

    def listed(self, kind: str) -> list[dict[str, Any]]:
        """All entries of a top-level list; empty when there is none."""
        entries = self.json.get(kind, [])
        if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
            raise self.refuse(f"has '{kind}' that are no list of entries")
        return entries

    def entry(self, kind: str, number: object) -> dict[str, Any]:
        """One entry of a top-level list."""
        entries = self.listed(kind)
        if not isinstance(number, int) or isinstance(number, bool) or not 0 <= number < len(entries):
            raise self.refuse(f"asks for number {str(number)[:24]} of its {len(entries):,} {kind}")
        return entries[number]

    def whole(self, entry: dict[str, Any], key: str, default: int | None = None) -> int:
        """A count or offset: a whole number, not negative."""
        value = entry.get(key, default)
        if not isinstance(value, int) or isinstance(value, bool) or value < 0:
            raise self.refuse(f"has '{str(value)[:24]}' as {key} where a whole number should stand")
        return value

    def points(self, number: object) -> Floats:
        """(n, 3) float64 of a VEC3 accessor."""
        accessor = self.entry("accessors", number)
        values = self._values(accessor, "VEC3").astype(np.float64)
        if accessor.get("normalized") is True:
            limit = np.iinfo(_COMPONENTS[accessor["componentType"]]).max if accessor["componentType"] != 5126 else 1
            values = np.maximum(values / limit, -1.0)
        return values

    def indices(self, number: object) -> Indices:
        """(n,) whole numbers of a SCALAR accessor."""
        accessor = self.entry("accessors", number)
        if accessor.get("componentType") not in (5121, 5123, 5125):
            raise self.refuse("has vertex numbers that are not whole")
        return self._values(accessor, "SCALAR").ravel().astype(np.int64)

    def _values(self, accessor: dict[str, Any], kind: str) -> NDArray[Any]:
        if accessor.get("type") != kind or accessor.get("componentType") not in _COMPONENTS:
            raise self.refuse(f"has numbers of a kind other than the {kind} that is needed")
        dtype = np.dtype(_COMPONENTS[accessor["componentType"]])
        count = self.whole(accessor, "count")
        values = self._strided(accessor, dtype, count, _WIDTHS[kind])
        sparse = accessor.get("sparse")
        return values if sparse is None else self._with_sparse(values.copy(), sparse, dtype)

    def _strided(self, place: dict[str, Any], dtype: np.dtype[Any], count: int, width: int) -> NDArray[Any]:
        """(count, width) numbers at *place*; a copy only where they are woven in with others."""
        if "bufferView" not in place:
            raise self.refuse("has points or vertex numbers whose data is not in the file (it may be compressed)")
        view = self.entry("bufferViews", place["bufferView"])
        data = self._view_bytes(view)
        start, item = self.whole(place, "byteOffset", 0), dtype.itemsize * width
        stride = self.whole(view, "byteStride", item) or item
        if stride < item or (count and start + stride * (count - 1) + item > len(data)):
            room = max(len(data) - start, 0) // max(stride, 1)
            raise self.contents.refuse(
                f"announces {count:,} points or vertex numbers where it has room for {room:,}; it may be cut off, so "
                "fetch or export it again.",
                announced=count,
                present=room,
            )
        return np.ndarray((count, width), dtype, data, start, (stride, dtype.itemsize))

    def _view_bytes(self, view: dict[str, Any]) -> bytes | memoryview:
        data = self._buffer(view.get("buffer"))
        start, length = self.whole(view, "byteOffset", 0), self.whole(view, "byteLength")
        if start + length > len(data):
            raise self.contents.refuse(
                f"announces {length:,} bytes of numbers where {max(len(data) - start, 0):,} are; it may be cut off, so "
                "fetch or export it again.",
                announced=length,
                present=max(len(data) - start, 0),
            )
        return memoryview(data)[start : start + length]

    def _buffer(self, number: object) -> bytes:
        uri = self.entry("buffers", number).get("uri")
        if uri is None:
            return self.binary
        if not isinstance(uri, str) or not uri.startswith(_EMBEDDED):
            raise self.contents.refuse("keeps its triangles in another file; save it as one GLB file.")
        try:
            return base64.b64decode(uri.partition(",")[2], validate=True)
        except (binascii.Error, ValueError):
            raise self.refuse("has embedded numbers that are damaged") from None

    def _with_sparse(self, values: NDArray[Any], sparse: object, dtype: np.dtype[Any]) -> NDArray[Any]:
        """*values* with the replacements of a sparse accessor put in."""
        if not isinstance(sparse, dict) or not all(isinstance(sparse.get(k), dict) for k in ("indices", "values")):
            raise self.refuse("has replacements of points without places or values")
        if sparse["indices"].get("componentType") not in (5121, 5123, 5125):
            raise self.refuse("has replacements of points at places that are not whole numbers")
        count = self.whole(sparse, "count")
        where = self._strided(sparse["indices"], np.dtype(_COMPONENTS[sparse["indices"]["componentType"]]), count, 1)
        if count and int(where.max()) >= len(values):
            raise self.refuse(f"replaces point {int(where.max())} of {len(values):,}")
        values[where.ravel()] = self._strided(sparse["values"], dtype, count, values.shape[1])
        return values

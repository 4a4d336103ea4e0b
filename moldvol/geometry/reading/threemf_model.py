"""One model document of a 3MF file: its objects, and where its build section places them.

Source: 3MF Consortium, Core Specification 1.3, and Production Extension 1.1.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.reading.archive import Archive
from moldvol.geometry.reading.xml_events import Attributes, BadElement, parse_xml

_NAMESPACES = "http://schemas.microsoft.com/3dmanufacturing/"
_PRODUCTION = _NAMESPACES + "production/2015/06"
# Extensions that change nothing about the shape, or whose share in it is read here.
_UNDERSTOOD = (_PRODUCTION, _NAMESPACES + "material/2015/02", _NAMESPACES + "trianglesets/2021/07")
UNITS = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}


@dataclass(frozen=True, slots=True)
class Placing:
    """An object set down under ``matrix`` (4 × 4, for column vectors); ``path`` where it is in another document."""

    object_id: str
    matrix: Floats
    path: str | None = None
    name: str = ""


@dataclass(slots=True)
class Object:
    """A mesh, or other objects put together."""

    id: str
    kind: str
    name: str
    mesh: Mesh | None = None
    components: list[Placing] = field(default_factory=list)


@dataclass(slots=True)
class Model:
    """One model document. ``has_beams`` where it draws struts that are not triangles."""

    unit: str = "mm"
    objects: dict[str, Object] = field(default_factory=dict)
    items: list[Placing] = field(default_factory=list)
    has_beams: bool = False


def read_model(archive: Archive, entry: str) -> Model:
    """The model document *entry*; raises `UnreadableMesh`, naming the line, for what is wrong in it."""
    reader = _ModelReader()
    parse_xml(
        archive.contents,
        entry,
        archive.pieces(entry),
        start=reader.start,
        end=reader.end,
        namespace=reader.namespaces.__setitem__,
    )
    if not reader.is_model:
        raise archive.contents.refuse(f"has no model in its {entry}; export it again.")
    return reader.model


class _ModelReader:
    """Takes elements as they come. Elements of extensions are passed over, but for the paths of placings."""

    def __init__(self) -> None:
        self.model = Model()
        self.is_model = False
        self.namespaces: dict[str | None, str] = {}
        self.object: Object | None = None
        self.coordinates, self.corners = array("d"), array("q")
        self.starts: dict[str, Callable[[Attributes], None]] = {
            "vertex": self._vertex,
            "triangle": self._triangle,
            "model": self._model,
            "object": self._object,
            "mesh": self._mesh,
            "component": self._component,
            "item": self._item,
        }
        self.handlers: dict[str, Callable[[Attributes], None] | None] = {}
        self.ends: dict[str, str] = {}

    def start(self, name: str, attributes: Attributes) -> None:
        """An element begins."""
        try:
            handler = self.handlers[name]
        except KeyError:
            handler = self.handlers[name] = self._handler_of(name)
        if handler is not None:
            handler(attributes)

    def _handler_of(self, name: str) -> Callable[[Attributes], None] | None:
        namespace, _, local = name.rpartition("|")
        if local == "beamlattice":
            self.model.has_beams = True
        if namespace and not (namespace.startswith(_NAMESPACES) and "/core/" in namespace):
            return None
        if local in ("mesh", "object"):
            self.ends[name] = local
        return self.starts.get(local)

    def end(self, name: str) -> None:
        """An element ends."""
        if name not in self.ends or self.object is None:
            return
        if self.ends[name] == "mesh":
            self.object.mesh = self._finished_mesh()
        else:
            self.object = None

    def _model(self, attributes: Attributes) -> None:
        self.is_model = True
        unit = attributes.get("unit", "millimeter")
        if unit not in UNITS:
            raise BadElement(f"gives '{unit[:24]}' as its unit, which is none of {', '.join(UNITS)},")
        self.model.unit = UNITS[unit]
        for prefix in attributes.get("requiredextensions", "").split():
            namespace = self.namespaces.get(prefix, prefix)
            if namespace not in _UNDERSTOOD:
                raise BadElement(f"requires the extension '{namespace[:100]}', which is not known here,")

    def _object(self, attributes: Attributes) -> None:
        number = _needed(attributes, "id", "an object")
        name = attributes.get("name") or attributes.get("partnumber") or f"object {number}"
        self.object = Object(number, attributes.get("type", "model"), name)
        self.model.objects[number] = self.object

    def _mesh(self, _: Attributes) -> None:
        self.coordinates, self.corners = array("d"), array("q")

    def _vertex(self, attributes: Attributes) -> None:
        try:
            self.coordinates.extend((float(attributes["x"]), float(attributes["y"]), float(attributes["z"])))
        except (KeyError, ValueError):
            raise BadElement(_bad_numbers("a vertex", attributes, "xyz")) from None

    def _triangle(self, attributes: Attributes) -> None:
        try:
            self.corners.extend((int(attributes["v1"]), int(attributes["v2"]), int(attributes["v3"])))
        except (KeyError, ValueError, OverflowError):
            raise BadElement(_bad_numbers("a triangle", attributes, ("v1", "v2", "v3"))) from None

    def _finished_mesh(self) -> Mesh:
        vertices = np.array(self.coordinates, dtype=np.float64).reshape(-1, 3)
        faces = np.array(self.corners, dtype=np.int64).reshape(-1, 3)
        if len(faces) and not 0 <= faces.min() <= faces.max() < len(vertices):
            wrong = faces.max() if faces.max() >= len(vertices) else faces.min()
            raise BadElement(f"asks for vertex {wrong} of {len(vertices):,} (numbered from 0) in the mesh that ends")
        return Mesh.of(vertices, faces)

    def _component(self, attributes: Attributes) -> None:
        if self.object is not None:
            self.object.components.append(_placing(attributes))

    def _item(self, attributes: Attributes) -> None:
        self.model.items.append(_placing(attributes))


def _placing(attributes: Attributes) -> Placing:
    return Placing(
        _needed(attributes, "objectid", "a placed object"),
        _matrix(attributes.get("transform")),
        attributes.get(f"{_PRODUCTION}|path"),
        attributes.get("partnumber", ""),
    )


def _needed(attributes: Attributes, key: str, what: str) -> str:
    if key not in attributes:
        raise BadElement(f"has {what} without {key}")
    return attributes[key].strip()


def _matrix(text: str | None) -> Floats:
    """4 × 4 for column vectors, from the twelve numbers of 3MF, which are for row vectors."""
    if text is None:
        return np.eye(4)
    try:
        rows = np.array([float(word) for word in text.split()]).reshape(4, 3)
    except ValueError:
        raise BadElement(f"has the transform '{text[:60]}', which is not twelve numbers,") from None
    matrix = np.eye(4)
    matrix[:3] = rows.T
    if not np.isfinite(matrix).all() or np.linalg.det(matrix[:3, :3]) == 0:
        raise BadElement(f"has the transform '{text[:60]}', which flattens what it places,")
    return matrix


def _bad_numbers(what: str, attributes: Attributes, keys: tuple[str, ...] | str) -> str:
    written = ", ".join(f"{key} = '{attributes[key][:24]}'" if key in attributes else f"no {key}" for key in keys)
    comma = "; use decimal points" if any("," in attributes.get(key, "") for key in keys) else ""
    return f"has {what} with {written}{comma},"

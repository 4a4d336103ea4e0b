"""3MF: what its build section places, each object under every transform on the way to it.

Source: 3MF Consortium, Core Specification 1.3, and Production Extension 1.1; package layout: ECMA-376 part 2.
"""

from __future__ import annotations

from collections import Counter

import numpy as np

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.reading.archive import Archive, beside, open_archive
from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.mesh_file import Found, MeshPart, ReadingLimits
from moldvol.geometry.reading.threemf_model import Model, Object, Placing, read_model
from moldvol.geometry.reading.xml_events import Attributes, parse_xml
from moldvol.geometry.units import MM_PER_UNIT

DEEPEST = 64  # components within components; the deepest file of sense has three or four
_USUAL_ROOT = "3D/3dmodel.model"
_LEFT_OUT = {"support": "support", "solidsupport": "support", "other": "not for building"}


def read_3mf(contents: Contents, limits: ReadingLimits) -> Found:
    """The objects that a 3MF file builds, one part each, and the file's unit.

    Supports, and objects that nothing places, are left out and noted. Raises `UnreadableMesh` for an archive that is
    damaged, locked or unpacks without end, and for objects that are missing or contain themselves.
    """
    with contents.open() as stream, open_archive(contents, stream, limits) as archive:
        return _Build(archive, _root_entry(archive)).found()


def _root_entry(archive: Archive) -> str:
    """The model document that the package names as its root, or the one in the usual place."""
    targets: list[str] = []

    def relationship(name: str, attributes: Attributes) -> None:
        if name.endswith("Relationship") and attributes.get("Type", "").endswith("/3dmodel"):
            targets.append(attributes.get("Target", ""))

    if archive.holds("_rels/.rels"):
        parse_xml(archive.contents, "_rels/.rels", archive.pieces("_rels/.rels"), start=relationship)
    models = [name for name in archive.names if name.endswith(".model")]
    for candidate in [*(beside("/", target) for target in targets), _USUAL_ROOT, *models[:1]]:
        if archive.holds(candidate):
            return candidate.lstrip("/")
    meshes = [name for name in archive.names if name.endswith((".stl", ".obj", ".ply", ".off", ".glb", ".3mf"))]
    inside = f" ({meshes[0]} is in it)" if meshes else ""
    raise archive.contents.refuse(
        f"is really a ZIP archive without a 3MF model{inside}; unpack it and name the mesh inside."
    )


class _Build:
    """Walks from the build items down to meshes, reading other model documents as they are asked for."""

    def __init__(self, archive: Archive, root: str) -> None:
        self.archive, self.contents, self.limits = archive, archive.contents, archive.limits
        self.root = root
        self.models: dict[str, Model] = {}
        self.parts: list[MeshPart] = []
        self.left_out: Counter[str] = Counter()
        self.triangles = self.visits = 0
        self.seen: set[tuple[str, str]] = set()

    def found(self) -> Found:
        """The parts, with the remarks on what was left out."""
        root = self._model(self.root)
        items = root.items or self._all_objects(root)
        for item in items:
            self._place(item, self.root, np.eye(4), ())
        found = Found(self.parts, unit=root.unit)
        name = self.contents.name
        if not root.items:
            found.note("empty-build", f"{name} places nothing in its build; all its objects were read: {len(items):,}.")
        for what, count in self.left_out.items():
            found.note("left-out", f"{name} has {_objects(count)} marked as {what}; left out.")
        if unplaced := self._unplaced(root):
            found.note(
                "not-built", f"{name} holds {_objects(len(unplaced))} not in its build; left out: {_few(unplaced)}."
            )
        if any(model.has_beams for model in self.models.values()):
            found.note("beams", f"{name} also draws a lattice of beams, which are no triangles; they were left out.")
        self._refuse_nothing(found)
        return found

    def _unplaced(self, root: Model) -> list[str]:
        keys = (key for key in root.objects if (self.root, key) not in self.seen)
        return [root.objects[key].name for key in keys if root.objects[key].kind == "model"]

    def _refuse_nothing(self, found: Found) -> None:
        if any(len(part.mesh.faces) for part in found.parts):
            return
        why = " ".join(notice.message.split(" ", 1)[1] for notice in found.notices if notice.code != "empty-build")
        raise self.contents.refuse("holds no triangles to build; " + (why or "export the model again."))

    def _all_objects(self, model: Model) -> list[Placing]:
        """Each object that is no component of another: for files whose build places nothing."""
        used = {component.object_id for o in model.objects.values() for component in o.components if not component.path}
        return [Placing(key, np.eye(4)) for key in model.objects if key not in used]

    def _model(self, entry: str) -> Model:
        if entry not in self.models:
            self.models[entry] = read_model(self.archive, entry)
        return self.models[entry]

    def _place(self, placing: Placing, document: str, outer: Floats, above: tuple[tuple[str, str], ...]) -> None:
        outside, document = document, (placing.path and beside("/", placing.path).lstrip("/")) or document
        key = (document, placing.object_id)
        self._guard(key, above)
        body = self._object(key)
        self.seen.add(key)
        if body.kind in _LEFT_OUT:
            self.left_out[_LEFT_OUT[body.kind]] += 1
            return
        # A document of its own may have a unit of its own; results are in the unit of the root.
        ratio = MM_PER_UNIT[self._model(document).unit] / MM_PER_UNIT[self._model(outside).unit]
        matrix = outer @ placing.matrix @ np.diag([ratio, ratio, ratio, 1.0])
        if body.mesh is not None and len(body.mesh.faces):
            self._add(body.mesh, placing.name or body.name, matrix)
        for component in body.components:
            self._place(component, document, matrix, (*above, key))

    def _guard(self, key: tuple[str, str], above: tuple[tuple[str, str], ...]) -> None:
        self.visits += 1
        if key in above:
            raise self.contents.refuse(f"has an object, {key[1]}, that is a component of itself; export it again.")
        if len(above) >= DEEPEST:
            raise self.contents.refuse(f"nests components more than {DEEPEST} deep; export it flattened.")
        if self.visits > self.limits.placed_parts:
            raise self.contents.refuse(
                f"places more than {self.limits.placed_parts:,} objects; export the parts you mean to cast."
            )

    def _object(self, key: tuple[str, str]) -> Object:
        document, object_id = key
        if object_id not in self._model(document).objects:
            what = f"places object {object_id[:24]}, which is not in its {document}; export it again."
            raise self.contents.refuse(what)
        return self._model(document).objects[object_id]

    def _add(self, mesh: Mesh, name: str, matrix: Floats) -> None:
        self.triangles += len(mesh.faces)
        if self.triangles > self.limits.placed_triangles:
            raise self.contents.refuse(
                f"places more than {self.limits.placed_triangles:,} triangles; export the parts you mean to cast."
            )
        placed = mesh if np.array_equal(matrix, np.eye(4)) else mesh.transformed(matrix)
        self.parts.append(MeshPart(name, placed))


def _few(names: list[str], most: int = 5) -> str:
    return ", ".join(names[:most]) + (", …" if len(names) > most else "")


def _objects(count: int) -> str:
    return "1 object" if count == 1 else f"{count:,} objects"

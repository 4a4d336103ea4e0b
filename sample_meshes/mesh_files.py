"""Writers for the sample files: STL, PLY, OBJ with polygons and groups, 3MF with several placed objects.

Coordinates are written as they come; their unit is the caller's affair, except in 3MF, which says millimetres.
"""

from __future__ import annotations

import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import NDArray

LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the same bytes on every run: zip entries carry a date

CONTENT_TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
 <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
 <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"""
RELATIONSHIPS = """<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
 <Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"""


@dataclass(frozen=True)
class Placed:
    """A named object of a 3MF file and where its build item moves it, mm."""

    name: str
    mesh: trimesh.Trimesh
    moved_by: tuple[float, float, float] = (0.0, 0.0, 0.0)


def write_stl(path: Path, mesh: trimesh.Trimesh) -> None:
    """Binary STL."""
    path.write_bytes(trimesh.exchange.stl.export_stl(mesh))


def write_ply(path: Path, points: NDArray[np.floating], faces: NDArray[np.integer]) -> None:
    """Binary PLY, little endian, single precision."""
    header = (
        "ply\nformat binary_little_endian 1.0\n"
        f"element vertex {len(points)}\nproperty float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    records = np.zeros(len(faces), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    records["count"], records["corners"] = 3, faces
    path.write_bytes(header.encode("ascii") + points.astype("<f4").tobytes() + records.tobytes())


def write_obj(
    path: Path, points: NDArray[np.floating], groups: Mapping[str, Sequence[Sequence[int]]], comment: str
) -> None:
    """OBJ with polygons of any number of corners, one group after another."""
    lines = [f"# {comment}", *(f"v {x:.5f} {y:.5f} {z:.5f}" for x, y, z in points)]
    for name, polygons in groups.items():
        lines.append(f"g {name}")
        lines.extend("f " + " ".join(str(corner + 1) for corner in polygon) for polygon in polygons)
    path.write_text("\n".join(lines) + "\n", encoding="ascii", newline="\n")


def write_3mf(path: Path, objects: Sequence[Placed]) -> None:
    """3MF core: one mesh object and one build item each, in millimetres."""
    parts = {"[Content_Types].xml": CONTENT_TYPES, "_rels/.rels": RELATIONSHIPS, "3D/3dmodel.model": _model(objects)}
    with zipfile.ZipFile(path, "w") as package:
        for name, text in parts.items():
            entry = zipfile.ZipInfo(name, LONG_AGO)
            package.writestr(entry, text, compress_type=zipfile.ZIP_DEFLATED, compresslevel=9)


def _model(objects: Sequence[Placed]) -> str:
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">',
        " <resources>",
    ]
    for number, placed in enumerate(objects, start=1):
        lines += [f'  <object id="{number}" name="{placed.name}" type="model"><mesh><vertices>']
        lines += [f'<vertex x="{x:.4f}" y="{y:.4f}" z="{z:.4f}"/>' for x, y, z in placed.mesh.vertices]
        lines += ["</vertices><triangles>"]
        lines += [f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in placed.mesh.faces]
        lines += ["</triangles></mesh></object>"]
    lines += [" </resources>", " <build>"]
    for number, placed in enumerate(objects, start=1):
        x, y, z = placed.moved_by
        lines += [f'  <item objectid="{number}" transform="1 0 0 0 1 0 0 0 1 {x:g} {y:g} {z:g}"/>']
    return "\n".join([*lines, " </build>", "</model>", ""])

"""What a test asks of a file that was read or refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from moldvol.errors import UnreadableMesh
from moldvol.geometry.mesh import Mesh, join
from moldvol.geometry.reading import MeshFile, read_mesh
from moldvol.geometry.triangles import measures

NAME = "part.stl"


def whole(file: MeshFile) -> Mesh:
    return join([part.mesh for part in file.parts])


def volume(file: MeshFile) -> float:
    return measures(whole(file)).signed_volume_mm3


def area(file: MeshFile) -> float:
    return measures(whole(file)).area_mm2


def codes(file: MeshFile) -> list[str]:
    return [notice.code for notice in file.notices]


def encoded(content: str | bytes) -> bytes:
    return content.encode() if isinstance(content, str) else content


def read(content: str | bytes, name: str = NAME, **options: object) -> MeshFile:
    """*content* read from memory, under the name *name*."""
    return read_mesh(encoded(content), name=name, **options)


def read_on_disk(folder: Path, content: str | bytes, name: str = NAME, **options: object) -> MeshFile:
    path = folder / name
    path.write_bytes(encoded(content))
    return read_mesh(path, **options)


def refusal(content: str | bytes, name: str = NAME, **options: object) -> UnreadableMesh:
    """The error for *content*: its sentence begins with the file's name and ends as one sentence."""
    with pytest.raises(UnreadableMesh) as caught:
        read(content, name, **options)
    error = caught.value
    assert error.file == name
    assert str(error).startswith(name + " ")
    assert str(error).endswith(".")
    assert "\n" not in str(error)
    return error


def is_closed(mesh: Mesh) -> bool:
    """Whether every directed edge, by position, has its opposite as often."""
    _, number = np.unique(np.asarray(mesh.vertices, dtype=float), axis=0, return_inverse=True)
    faces = number.reshape(-1)[mesh.faces]
    forwards = np.stack([faces.ravel(), np.roll(faces, -1, axis=1).ravel()])
    count = len(mesh.vertices)
    edges, opposite = forwards[0] * count + forwards[1], forwards[1] * count + forwards[0]
    return bool((np.sort(edges) == np.sort(opposite)).all())

"""A file measured while it is judged must give what its solid gives."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from moldvol.casting import measure
from moldvol.casting.measure import plan_measure, plan_measure_of
from moldvol.errors import RequestError, UnsoundMesh
from moldvol.geometry import judging
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.geometry.solid import SolidRequest
from moldvol.geometry.wall.caliper import Wall
from tests.shapes import ball, box


@pytest.fixture(autouse=True)
def every_mesh_is_huge(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judging, "MOST_COPIED_VERTICES", 0)


@pytest.fixture
def felt(monkeypatch: pytest.MonkeyPatch) -> list[Mesh]:
    """The meshes whose walls were felt."""
    meshes: list[Mesh] = []

    def noted(mesh: Mesh, *, thin_limit_mm: float | None = None) -> Wall:
        meshes.append(mesh)
        return feel(mesh, thin_limit_mm=thin_limit_mm)

    feel = measure.feel_wall
    monkeypatch.setattr(measure, "feel_wall", noted)
    return meshes


def single(mesh: Mesh, faces: np.ndarray | None = None) -> MeshFile:
    """A file in single precision, as from a binary STL."""
    part = Mesh(mesh.vertices.astype(np.float32), mesh.faces if faces is None else faces)
    return MeshFile("part", "stl", (MeshPart("", part),), "mm", True, ())


def test_a_sound_mesh_is_felt_once(felt: list[Mesh]) -> None:
    file = single(ball(20).mesh)
    plan = plan_measure_of(file, thin_limit_mm=2.0)
    assert len(felt) == 1 and felt[0] is plan.solid.mesh is file.parts[0].mesh
    assert plan.wall == plan_measure(solid_of(file), thin_limit_mm=2.0).wall


def test_a_mended_mesh_is_felt_anew(felt: list[Mesh]) -> None:
    ball_ = ball(20).mesh
    file = single(ball_, np.delete(ball_.faces, 5, axis=0))
    plan = plan_measure_of(file)
    assert not plan.solid.closed and felt[-1] is plan.solid.mesh
    assert plan.wall == plan_measure(solid_of(file)).wall


def test_numbers_that_are_none_cause_no_warning() -> None:
    mesh = ball(20).mesh
    vertices = mesh.vertices.copy()
    vertices[7] = np.nan
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        plan = plan_measure_of(single(Mesh(vertices, mesh.faces)))
    assert plan.wall.thick_mm == pytest.approx(40, rel=0.02)


@pytest.mark.parametrize("request_", [SolidRequest(scale=2.0), SolidRequest(unit="in"), SolidRequest(height_mm=10)])
def test_a_resized_mesh_is_felt_at_its_new_size(request_: SolidRequest) -> None:
    file = single(box(10, 20, 30).mesh)
    assert plan_measure_of(file, request_).wall == plan_measure(solid_of(file, request_)).wall


def test_what_encloses_nothing_is_refused() -> None:
    mesh = box(10, 20, 30).mesh
    with pytest.raises(UnsoundMesh):
        plan_measure_of(single(mesh, mesh.faces[:4]))


@pytest.mark.parametrize("limit", [0.0, -1.0, float("nan")])
def test_a_limit_that_is_no_length_is_refused(limit: float) -> None:
    file = MeshFile("cube", "stl", (MeshPart("", box().mesh),), "mm", True, ())
    with pytest.raises(RequestError, match="limit for thin walls"):
        plan_measure_of(file, thin_limit_mm=limit)
    with pytest.raises(RequestError, match="limit for thin walls"):
        plan_measure(solid_of(file), thin_limit_mm=limit)

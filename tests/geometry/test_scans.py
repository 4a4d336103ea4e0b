"""The error bar against scans whose true volume is known, because their holes were cut by us; and worn meshes."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from moldvol.errors import UnsoundMesh
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.solid import Solid
from moldvol.geometry.triangles import measures
from tests.geometry.test_solid import solid, soup
from tests.scans import BODIES, cut
from tests.shapes import moved, turned

CUTS = 20
LEAST_COVERED = 0.95
# From a quarter to half of the part across: more than anyone should close by guessing.
LARGE = {"least": 0.125, "most": 0.25}


@cache
def body(name: str) -> Mesh:
    return BODIES[name]()


def true_volume(name: str) -> float:
    return measures(body(name)).signed_volume_mm3


def read(mesh: Mesh) -> tuple[Solid, bool]:
    """The solid, and whether it had to be insisted on."""
    try:
        return solid(mesh), False
    except UnsoundMesh:
        return solid(mesh, accept_open=True), True


def covered(found: Solid, truth: float) -> bool:
    """Whether the truth lies within the error, what the facets may be off the smooth shape not counted in it."""
    doubt = found.volume_error_mm3 - abs(found.facet_shortfall_mm3)
    return abs(found.volume_mm3 - truth) <= doubt


@pytest.mark.parametrize("name", BODIES)
def test_the_truth_lies_within_the_error_of_a_scan_with_a_hole(name: str) -> None:
    """Measured: all of 300 with other seeds; in nineteen of twenty the error is below half of the bar."""
    readings = [read(cut(body(name), seed)) for seed in range(CUTS)]
    assert sum(refused for _, refused in readings) == 0, "a hole of a quarter of the part is no reason to refuse"
    assert np.mean([covered(found, true_volume(name)) for found, _ in readings]) >= LEAST_COVERED
    # And the bar is no excuse: it stays small.
    assert np.median([found.volume_error_mm3 for found, _ in readings]) < 0.01 * true_volume(name)


def test_very_large_holes_are_refused_or_covered() -> None:
    """Measured over 125 cuts with other seeds: 49 refused; the truth in the bar in 121, refused ones among them."""
    kept, all_covered = [], []
    for name in BODIES:
        for seed in range(100, 103):
            found, refused = read(cut(body(name), seed, **LARGE))
            all_covered.append(covered(found, true_volume(name)))
            if not refused:
                kept.append(abs(found.volume_mm3 / true_volume(name) - 1))
    assert np.mean(all_covered) >= LEAST_COVERED - 1 / 20  # one in fifteen may miss
    assert max(kept) < 0.05, "what is not refused is good to the five per cent that are promised"


class TestWear:
    """What scanners, exporters and decimation do to a mesh moves the volume no further than is said."""

    @pytest.mark.parametrize("name", BODIES)
    def test_noise(self, name: str) -> None:
        """Points moved at random move the volume by what averages out, not by the noise times the area."""
        mesh, noise = body(name), 0.02
        random = np.random.default_rng(4).normal(0, noise, mesh.vertices.shape)
        found = solid(Mesh.of(mesh.vertices + random, mesh.faces))
        expected = 4 * noise * found.area_mm2 / np.sqrt(len(mesh.vertices))
        assert found.closed and abs(found.volume_mm3 - true_volume(name)) < expected

    @pytest.mark.parametrize("name", BODIES)
    def test_decimation(self, name: str) -> None:
        import pyvista

        mesh = body(name)
        faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces]).ravel()
        coarse = pyvista.PolyData(mesh.vertices, faces).decimate_pro(0.75, preserve_topology=True)
        found = solid(Mesh.of(coarse.points, coarse.faces.reshape(-1, 4)[:, 1:]))
        assert found.closed
        # The facet shortfall of both the fine and the coarse mesh is an estimate of the same smooth body.
        fine = solid(mesh)
        assert abs(found.volume_mm3 - fine.volume_mm3) < found.volume_error_mm3 + fine.volume_error_mm3

    @pytest.mark.parametrize("name", BODIES)
    def test_flipped_doubled_and_split_triangles(self, name: str) -> None:
        mesh, random = body(name), np.random.default_rng(11)
        faces = mesh.faces.copy()
        flipped = random.random(len(faces)) < 0.1
        faces[flipped] = faces[flipped][:, ::-1]
        doubled = np.concatenate([faces, faces[random.random(len(faces)) < 0.02]])
        found = solid(soup(Mesh(mesh.vertices, random.permutation(doubled))))
        assert abs(found.volume_mm3 - true_volume(name)) <= found.volume_error_mm3 * 1e-3 + 1e-9 * true_volume(name)

    def test_a_scan_moved_and_turned_keeps_volume_and_error(self) -> None:
        scan = cut(body("blob"), 3)
        here, there = solid(scan), solid(moved(turned(scan, 7), (900, -1200, 400)))
        assert there.volume_mm3 == pytest.approx(here.volume_mm3, rel=1e-9)
        assert there.volume_error_mm3 == pytest.approx(here.volume_error_mm3, rel=0.02)

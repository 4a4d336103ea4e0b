"""Which triangles are one body, and which way round they go."""

from __future__ import annotations

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness import bodies
from moldvol.geometry.soundness.bodies import label_bodies, orient
from moldvol.geometry.soundness.edges import EdgeCensus, is_closed_chain
from moldvol.geometry.soundness.welding import weld
from moldvol.geometry.triangles import measures
from tests.shapes import ball, box, moved, together, torus, turned

CUBE = box().mesh


def volumes_of(mesh: Mesh) -> list[float]:
    """The volume of each labelled body, largest first."""
    labels = label_bodies(mesh, EdgeCensus.of(mesh))
    pieces = [Mesh(mesh.vertices, mesh.faces[labels == k]) for k in range(labels.max() + 1)]
    assert all(is_closed_chain(piece) for piece in pieces)
    return sorted((measures(piece).signed_volume_mm3 for piece in pieces), reverse=True)


class TestLabels:
    @pytest.mark.parametrize("seed", range(6))
    @pytest.mark.parametrize("shift", [(20, 20, 0), (20, 0, 0), (20, 20, 20), (40, 0, 0)])
    def test_bodies_that_touch_stay_two_however_they_are_turned(
        self, shift: tuple[float, float, float], seed: int
    ) -> None:
        pair = weld(together(CUBE, moved(CUBE, shift)))
        assert volumes_of(turned(pair, seed)) == pytest.approx([8000, 8000])

    @pytest.mark.parametrize("seed", range(4))
    def test_four_bricks_around_one_edge(self, seed: int) -> None:
        """Eight triangles on one edge: each wedge of material is matched with its own other side."""
        bricks = [box(20, 20, 20 + k).mesh for k in range(4)]
        spots = [(10, 10), (-10, 10), (-10, -10), (10, -10)]
        around = [
            moved(brick, (x, y, (20 + k) / 2)) for k, (brick, (x, y)) in enumerate(zip(bricks, spots, strict=True))
        ]
        diagonal = weld(together(around[0], around[2]))
        assert volumes_of(turned(diagonal, seed)) == pytest.approx([400 * 22, 400 * 20])
        assert volumes_of(weld(together(*around))) == pytest.approx([400 * 23, 400 * 22, 400 * 21, 400 * 20])

    def test_a_void_that_touches_the_skin_along_an_edge_is_a_body_of_its_own(self) -> None:
        room = moved(box(10, 10, 10).mesh, (5, 5, 0)).flipped()
        assert volumes_of(weld(together(CUBE, room))) == pytest.approx([8000, -1000])

    def test_large_meshes_are_told_apart_by_corners(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(bodies, "LARGE_MESH_FACES", 10)
        assert volumes_of(together(CUBE, moved(CUBE, (30, 0, 0)))) == pytest.approx([8000, 8000])


class TestOrient:
    @pytest.mark.parametrize("share", [0.01, 0.2, 0.45])
    def test_turned_triangles_are_turned_back(self, share: float) -> None:
        mesh = torus().mesh
        wrong = np.random.default_rng(1).random(len(mesh.faces)) < share
        faces = mesh.faces.copy()
        faces[wrong] = faces[wrong][:, ::-1]
        found, count, stuck = orient(Mesh(mesh.vertices, faces))
        assert is_closed_chain(found) and not stuck.any()
        assert count == np.count_nonzero(wrong)
        assert measures(found).signed_volume_mm3 == pytest.approx(measures(mesh).signed_volume_mm3)

    def test_each_body_is_turned_by_its_own_majority(self) -> None:
        pair = together(ball().mesh, moved(ball().mesh, (50, 0, 0)).flipped())
        faces = pair.faces.copy()
        faces[[0, 10_000 % len(faces)]] = faces[[0, 10_000 % len(faces)]][:, ::-1]
        found, count, _ = orient(Mesh(pair.vertices, faces))
        assert count == 2
        assert measures(found).signed_volume_mm3 == pytest.approx(0, abs=1e-6)

    def test_a_mesh_that_agrees_is_left_as_it_is(self) -> None:
        found, count, _ = orient(CUBE)
        assert found is CUBE and count == 0

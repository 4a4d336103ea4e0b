"""Counting edges: what is closed, what is open, and which triangles meet."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.edges import EdgeCensus, FaceEdges, is_closed_chain, joined_vertices
from tests.shapes import ball, box, moved, together, torus

CUBE = box().mesh


def with_one_turned(mesh: Mesh, face: int) -> Mesh:
    faces = mesh.faces.copy()
    faces[face] = faces[face][::-1]
    return Mesh(mesh.vertices, faces)


class TestClosedChain:
    @pytest.mark.parametrize("mesh", [CUBE, ball().mesh, torus().mesh, CUBE.flipped(), together(CUBE, CUBE.flipped())])
    def test_closed(self, mesh: Mesh) -> None:
        assert is_closed_chain(mesh)

    def test_the_order_of_triangles_and_their_first_corner_do_not_matter(self) -> None:
        random = np.random.default_rng(2)
        faces = random.permutation(ball().mesh.faces)
        faces = np.array(
            [np.roll(face, turn) for face, turn in zip(faces, random.integers(3, size=len(faces)), strict=True)]
        )
        assert is_closed_chain(Mesh(ball().mesh.vertices, faces))

    @pytest.mark.parametrize("face", range(12))
    def test_one_turned_triangle_is_refused(self, face: int) -> None:
        """A hash per undirected edge counted without its direction would take this for closed."""
        assert not is_closed_chain(with_one_turned(CUBE, face))

    @pytest.mark.parametrize("face", range(12))
    def test_one_missing_triangle_is_refused(self, face: int) -> None:
        assert not is_closed_chain(Mesh(CUBE.vertices, np.delete(CUBE.faces, face, axis=0)))

    def test_two_turned_triangles_do_not_cancel(self) -> None:
        assert not is_closed_chain(with_one_turned(with_one_turned(CUBE, 0), 7))

    def test_a_triangle_that_uses_a_corner_twice_changes_nothing(self) -> None:
        assert is_closed_chain(Mesh.of(CUBE.vertices, [*CUBE.faces, (0, 0, 1)]))

    def test_it_agrees_with_the_census(self) -> None:
        random = np.random.default_rng(6)
        for _ in range(50):
            faces = random.integers(0, 6, size=(random.integers(1, 9), 3))
            mesh = Mesh.of(
                random.random((6, 3)), np.concatenate([faces, faces[random.random(len(faces)) < 0.8][:, ::-1]])
            )
            assert is_closed_chain(mesh) == (not EdgeCensus.of(mesh).net.any())


class TestCensus:
    def test_a_closed_mesh(self) -> None:
        census = EdgeCensus.of(CUBE)
        assert census.closed and census.crowded_edges == 0
        assert len(census.count) == 18 and (census.count == 2).all()
        assert len(census.unmatched()) == 0

    def test_unmatched_edges_run_the_way_of_their_triangle(self) -> None:
        faces = np.delete(CUBE.faces, 3, axis=0)
        unmatched = {tuple(edge) for edge in EdgeCensus.of(Mesh(CUBE.vertices, faces)).unmatched().tolist()}
        a, b, c = CUBE.faces[3].tolist()
        assert unmatched == {(b, a), (c, b), (a, c)}

    def test_an_edge_of_four_is_crowded_and_still_closed(self) -> None:
        x, y, z = np.eye(3)
        vertices = [0 * x, z, x, y, -x, -y]
        one, other = [(0, 2, 3), (1, 3, 2), (0, 1, 2), (0, 3, 1)], [(0, 4, 5), (1, 5, 4), (0, 1, 4), (0, 5, 1)]
        census = EdgeCensus.of(Mesh.of(vertices, one + other))
        assert census.closed and census.crowded_edges == 1
        assert census.count.max() == 4

    def test_count_and_net_of_any_heap_of_triangles(self) -> None:
        """Against a plain count edge by edge."""
        random = np.random.default_rng(11)
        for _ in range(50):
            faces = random.integers(0, 5, size=(random.integers(1, 12), 3)).astype(np.int32)
            census = EdgeCensus.of(Mesh.of(random.random((5, 3)), np.concatenate([faces, faces[:4, ::-1]])))
            count: Counter[tuple[int, int]] = Counter()
            net: Counter[tuple[int, int]] = Counter()
            for face in census.mesh.faces.tolist():
                for tail, head in zip(face, face[1:] + face[:1], strict=True):
                    if tail != head:
                        edge = (min(tail, head), max(tail, head))
                        count[edge] += 1
                        net[edge] += 1 if tail < head else -1
            pairs, nets = census.edges_where(np.ones(len(census.count), dtype=bool))
            edges = list(map(tuple, pairs.tolist()))
            assert dict(zip(edges, census.count.tolist(), strict=True)) == dict(count)
            assert dict(zip(edges, nets.tolist(), strict=True)) == {edge: net[edge] for edge in count}
            assert census.crowded_edges == sum(n > 2 for n in count.values())


class TestJoinedVertices:
    def test_by_shared_corners(self) -> None:
        labels = joined_vertices(together(CUBE, moved(CUBE, (50, 0, 0))))
        assert len(np.unique(labels)) == 2 and len(np.unique(labels[:8])) == 1


def test_pairs_know_whether_triangles_agree() -> None:
    halves, same_way = FaceEdges.of(with_one_turned(CUBE, 5)).pairs()
    against = (halves // 3 == 5).any(axis=1)
    assert len(halves) == 18 and against.sum() == 3
    assert (same_way == against).all()

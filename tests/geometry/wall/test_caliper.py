"""The wall against bodies whose wall is known, and against the ways in which rays and quantiles go wrong."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest
import trimesh

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.welding import weld
from moldvol.geometry.wall import caliper
from moldvol.geometry.wall.caliper import Wall, feel_wall
from tests.shapes import ball, box, from_trimesh, lathe, moved, prism, torus, turned

RAY_REL = 1e-4  # rays run in single precision through a unit box
FACET_REL = 2e-3  # 128 facets around: a chord lies up to 0.03 % of the radius inside, twice, and 16 facets less
BALL_REL = 1e-2  # the largest ball is searched for, not solved for


def difference(mesh: Mesh, taken: Mesh) -> Mesh:
    one, other = (trimesh.Trimesh(m.vertices, m.faces, process=False) for m in (mesh, taken))
    return from_trimesh(trimesh.boolean.difference([one, other], engine="manifold"))


def plate() -> Mesh:
    return box(100, 60, 2).mesh


def tube() -> Mesh:
    return lathe([(16, 0), (20, 0), (20, 50), (16, 50), (16, 0)])


def same_wall(one: Wall, other: Wall, factor: float) -> None:
    for a, b in zip(astuple(one), astuple(other), strict=True):
        if a is not None:
            assert np.asarray(b) == pytest.approx(np.asarray(a) * factor, rel=1e-5, abs=1e-5 * one.thick_mm * factor)


class TestKnownWalls:
    @pytest.mark.parametrize("subdivisions", [0, 3], ids=["two triangles a face", "768 triangles"])
    def test_a_plate(self, subdivisions: int) -> None:
        wall = feel_wall(box(100, 60, 2, subdivisions).mesh)
        assert wall.thin_mm == pytest.approx(2, rel=RAY_REL)
        assert wall.median_mm == pytest.approx(2, rel=RAY_REL)
        assert wall.thinnest_mm == pytest.approx(2, rel=RAY_REL), "an edge is no thin wall"
        assert wall.thick_mm == pytest.approx(2, rel=BALL_REL)

    def test_a_tube(self) -> None:
        wall = feel_wall(turned(tube()))
        assert wall.median_mm == pytest.approx(4, rel=FACET_REL)
        assert wall.thin_mm == pytest.approx(4, rel=5 * FACET_REL)
        assert wall.thick_mm == pytest.approx(4, rel=BALL_REL)

    def test_a_ball_is_as_thick_as_its_diameter(self) -> None:
        wall = feel_wall(ball(10, 5).mesh)
        assert wall.median_mm == pytest.approx(20, rel=FACET_REL)
        assert wall.thick_mm == pytest.approx(20, rel=FACET_REL)
        assert wall.thickest_at_mm == pytest.approx((0, 0, 0), abs=0.05)

    def test_a_wedge_is_thinnest_at_its_thin_end(self) -> None:
        wall = feel_wall(prism([(0, 0), (100, 0), (100, 10)], 60))
        assert wall.thinnest_at_mm[0] < 1
        assert wall.thinnest_mm < 0.1
        # Half of the two large faces' area is below 5 mm, and a twentieth of all below 0.5 mm.
        assert wall.median_mm == pytest.approx(5.6, abs=0.4)
        assert wall.thin_mm == pytest.approx(0.6, abs=0.15)

    def test_a_block_reads_its_least_side_whatever_its_edges_do(self) -> None:
        wall = feel_wall(box(60, 40, 20).mesh)
        assert wall.median_mm == pytest.approx(20, rel=RAY_REL)
        assert wall.thick_mm == pytest.approx(20, rel=BALL_REL)


def test_a_thinned_patch_of_a_three_hundredth_of_the_surface_is_found() -> None:
    side = 4.4  # two skins of 19.4 mm² of 12,640 mm²
    pocket = moved(box(side, side, 2).mesh, (21, -13, 0.6))
    wall = feel_wall(difference(plate(), pocket), thin_limit_mm=1.5)
    assert wall.thinnest_mm == pytest.approx(0.6, rel=1e-3)
    assert wall.thinnest_at_mm[:2] == pytest.approx((21, -13), abs=side / 2)
    assert wall.thin_share == pytest.approx(0.003, rel=0.2)
    assert wall.thin_mm == pytest.approx(2, rel=RAY_REL)


def test_a_slit_is_a_gap_and_no_wall() -> None:
    slit = moved(box(1, 30, 15).mesh, (0, 0, 2.5 + 0.001))
    wall = feel_wall(difference(box(20, 20, 20).mesh, slit))
    assert wall.thinnest_mm == pytest.approx(5, rel=1e-3), "the web below the slit, not the slit of 1 mm"


@pytest.mark.parametrize("factor", [1000.0, 0.001])
def test_everything_scales_with_the_part(factor: float) -> None:
    shape = turned(difference(plate(), moved(box(20, 20, 2).mesh, (21, -13, 1.5))))
    same_wall(feel_wall(shape), feel_wall(shape.scaled(factor)), factor)


def test_the_same_file_gives_the_same_digits() -> None:
    assert feel_wall(torus().mesh, thin_limit_mm=3) == feel_wall(torus().mesh, thin_limit_mm=3)


def test_where_the_part_stands_does_not_matter() -> None:
    here, there = feel_wall(torus().mesh), feel_wall(moved(torus().mesh, (3000, -2000, 500)))
    assert there.median_mm == pytest.approx(here.median_mm, rel=1e-6)
    assert there.thick_mm == pytest.approx(here.thick_mm, rel=1e-3)


def test_a_void_makes_the_wall() -> None:
    hollow = Mesh.of(
        np.concatenate([ball(10, 4).mesh.vertices, ball(8, 4).mesh.vertices]),
        np.concatenate([ball(10, 4).mesh.faces, ball(8, 4).mesh.flipped().faces + len(ball(10, 4).mesh.vertices)]),
    )
    wall = feel_wall(hollow)
    assert wall.median_mm == pytest.approx(2, rel=1e-2)
    assert wall.thick_mm == pytest.approx(2, rel=2e-2)


def test_a_noisy_scan_reads_its_wall_all_the_same() -> None:
    sheet = box(100, 60, 3).mesh
    vertices, faces = trimesh.remesh.subdivide_to_size(sheet.vertices, sheet.faces, max_edge=1.5)
    scan = weld(Mesh.of(vertices, faces))
    noise = np.random.default_rng(8).normal(0, 0.05, scan.vertices.shape)
    wall = feel_wall(Mesh.of(scan.vertices + noise, scan.faces))
    assert wall.median_mm == pytest.approx(3, abs=0.05)
    assert wall.thin_mm == pytest.approx(3, abs=4 * 0.05)


def test_a_very_large_mesh_is_felt_on_a_copy_that_agrees(monkeypatch: pytest.MonkeyPatch) -> None:
    fine = torus(sections=256).mesh
    whole = feel_wall(fine)
    monkeypatch.setattr(caliper, "MOST_FELT_FACES", 10_000)
    copied = feel_wall(fine)
    assert copied.resolution_mm == pytest.approx(80 / caliper.CLUSTERS_ACROSS)
    for field in ("thin_mm", "median_mm", "thick_mm"):
        assert getattr(copied, field) == pytest.approx(getattr(whole, field), rel=0.01)


def test_without_a_limit_no_share_is_told() -> None:
    wall = feel_wall(plate())
    assert wall.thin_share is None and wall.thin_limit_mm is None
    # All but the rim of 640 of 12,640 mm² is thinner than 3 mm.
    assert feel_wall(plate(), thin_limit_mm=3.0).thin_share == pytest.approx(1 - 640 / 12640, rel=1e-3)

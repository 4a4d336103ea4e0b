"""Open rims: how loops are told apart, which triangles fill them, what is a base, and how far a cap is believed."""

from __future__ import annotations

from functools import cache
from math import pi, radians, sin, tan

import numpy as np
import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.edges import EdgeCensus, is_closed_chain
from moldvol.geometry.soundness.fills import MOST_LEAST_AREA_POINTS, least_area_fill
from moldvol.geometry.soundness.rims import Rim, close_rims, find_rims
from moldvol.geometry.soundness.welding import compacted, weld
from moldvol.geometry.triangles import area_vectors, measures
from tests.shapes import ball, box, cylinder, lathe, moved, prism, turned


def rims_of(mesh: Mesh) -> tuple[Rim, ...]:
    return find_rims(mesh, EdgeCensus.of(mesh).unmatched())


def without(mesh: Mesh, drop: np.ndarray) -> Mesh:
    return compacted(Mesh(mesh.vertices, mesh.faces[~drop]))


def closed(mesh: Mesh) -> Mesh:
    return close_rims(mesh, rims_of(mesh))


def area_of(points: np.ndarray, faces: np.ndarray) -> float:
    return float(np.linalg.norm(area_vectors(points[faces]), axis=1).sum())


def least_area_by_trying_all(points: np.ndarray) -> float:
    """The least area over every one of the Catalan number of triangulations."""

    @cache
    def least(first: int, last: int) -> float:
        if last - first < 2:
            return 0.0
        return min(
            least(first, k) + least(k, last) + area_of(points, np.array([[first, k, last]]))
            for k in range(first + 1, last)
        )

    return least(0, len(points) - 1)


class TestFill:
    @pytest.mark.parametrize("seed", range(5))
    def test_no_triangulation_has_less_area(self, seed: int) -> None:
        points = np.random.default_rng(seed).normal(size=(9, 3))
        faces = least_area_fill(points)
        assert len(faces) == 7
        assert area_of(points, faces) == pytest.approx(least_area_by_trying_all(points), rel=1e-12)

    def test_a_folded_square_takes_the_shorter_way_across(self) -> None:
        points = np.array([(0, 0, 0), (10, 0, 3), (10, 10, 0), (0, 10, 3)], dtype=float)
        points[0, :2] += 2  # one diagonal is shorter now
        assert {frozenset(face) for face in least_area_fill(points).tolist()} == {
            frozenset({0, 1, 2}),
            frozenset({0, 2, 3}),
        }

    def test_a_flat_angle_is_filled_without_overlap(self) -> None:
        outline = np.array([(0, 0, 0), (40, 0, 0), (40, 20, 0), (20, 20, 0), (20, 40, 0), (0, 40, 0)], dtype=float)
        assert area_of(outline, least_area_fill(outline)) == pytest.approx(1200)

    def test_it_runs_the_way_of_the_loop(self) -> None:
        square = np.array([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)], dtype=float)
        assert (area_vectors(square[least_area_fill(square)])[:, 2] > 0).all()


def star(points: int) -> list[tuple[float, float]]:
    angle = np.linspace(0, 2 * pi, points, endpoint=False)
    radius = np.where(np.arange(points) % 2, 9.0, 20.0)
    return list(zip(radius * np.cos(angle), radius * np.sin(angle), strict=True))


def comb(teeth: int) -> list[tuple[float, float]]:
    """A comb with its teeth up: its middle sees next to nothing of its outline."""
    tooth = np.array([(0, 10), (1, 10), (1, 1), (2, 1)], dtype=float)
    up = np.concatenate([tooth + np.array([2 * k, 0]) for k in range(teeth)])[:-1]
    return [(0.0, 0.0), (2.0 * teeth - 1, 0.0), *map(tuple, up[::-1])]


class TestCaps:
    @pytest.mark.parametrize(
        "outline",
        [star(40), star(2 * MOST_LEAST_AREA_POINTS), comb(10), comb(MOST_LEAST_AREA_POINTS)],
        ids=["few points", "a long rim seen from its middle", "few points, concave", "a long concave rim"],
    )
    def test_a_prism_without_its_lid_is_the_prism(self, outline: list[tuple[float, float]]) -> None:
        whole = prism(outline, 10)
        normals = area_vectors(whole.corners())
        open_prism = turned(without(whole, normals[:, 2] > 0.999 * np.linalg.norm(normals, axis=1)))
        assert len(rims_of(open_prism)) == 1
        again = closed(open_prism)
        assert is_closed_chain(again)
        assert measures(again).signed_volume_mm3 == pytest.approx(measures(whole).signed_volume_mm3, rel=1e-9)

    def test_a_long_uneven_rim_gets_a_fan(self) -> None:
        angle = np.linspace(0, 2 * pi, MOST_LEAST_AREA_POINTS + 50, endpoint=False)
        wavy = np.column_stack([20 * np.cos(angle), 20 * np.sin(angle), 4 * np.sin(3 * angle)])
        skirt = np.concatenate([wavy, wavy * (1, 1, 0) - (0, 0, 30)])
        count = len(angle)
        faces = [(i, i + count, (i + 1) % count) for i in range(count)]
        faces += [((i + 1) % count, i + count, (i + 1) % count + count) for i in range(count)]
        wavy_rim = max(rims_of(Mesh.of(skirt, faces)), key=lambda rim: rim.flat_within_mm)
        assert len(wavy_rim.cap[0]) == len(wavy_rim.loop) + 1
        assert is_closed_chain(closed(Mesh.of(skirt, faces)))


class TestLoops:
    def test_two_holes_that_meet_in_a_corner_are_two(self) -> None:
        sheet = weld(box(20, 20, 20, 3).mesh)
        centre = sheet.corners().mean(axis=1)
        top = centre[:, 2] > 9.99
        one = top & (centre[:, 0] > 0) & (centre[:, 1] > 0) & (centre[:, :2] < 5).all(axis=1)
        other = top & (centre[:, 0] < 0) & (centre[:, 1] < 0) & (centre[:, :2] > -5).all(axis=1)
        rims = rims_of(without(sheet, one | other))
        assert [rim.area_mm2 for rim in rims] == pytest.approx([25, 25])
        assert len(set(rims[0].loop) & set(rims[1].loop)) == 1
        assert is_closed_chain(closed(without(sheet, one | other)))

    def test_a_seam_with_a_corner_on_one_side_only_is_a_crack(self) -> None:
        corners = [(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0), (5, 5, 8), (5, 5, 0)]
        faces = [(0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4), (0, 2, 1), (0, 3, 5), (5, 3, 2)]
        (rim,) = rims_of(Mesh.of(corners, faces))
        assert rim.crack and rim.length_mm == pytest.approx(2 * np.hypot(10, 10))
        assert is_closed_chain(closed(Mesh.of(corners, faces)))

    def test_rims_come_largest_first(self) -> None:
        tube = without(*_ends_of(lathe([(5, 0), (20, 0), (20, 50), (5, 50), (5, 0)])))
        areas = [rim.area_mm2 for rim in rims_of(tube)]
        assert areas == sorted(areas, reverse=True)

    def test_a_closed_mesh_has_none(self) -> None:
        assert rims_of(ball().mesh) == ()


def _ends_of(mesh: Mesh) -> tuple[Mesh, np.ndarray]:
    vectors = area_vectors(mesh.corners())
    return mesh, np.abs(vectors[:, 2]) > 0.99 * np.linalg.norm(vectors, axis=1)


def ball_with_a_hole(angle: float, radius: float = 20.0) -> Mesh:
    """A ball of which the cap within *angle* of the pole is gone."""
    whole = ball(radius, 5).mesh
    centre = whole.corners().mean(axis=1)
    return without(whole, centre[:, 2] > np.linalg.norm(centre, axis=1) * np.cos(angle))


class TestDoubt:
    @pytest.mark.parametrize("degrees", [5, 10, 20, 30])
    def test_the_cap_of_a_ball_is_covered_but_not_drowned(self, degrees: float) -> None:
        angle = radians(degrees)
        (rim,) = rims_of(ball_with_a_hole(angle))
        radius, height = 20 * sin(angle), 20 * sin(angle) * tan(angle / 2)
        missing = pi * height * (3 * radius**2 + height**2) / 6
        assert rim.across_mm == pytest.approx(2 * radius, rel=0.15)
        assert missing < rim.doubt_mm3 < 8 * missing

    def test_a_hole_that_took_the_corner_of_a_cube(self) -> None:
        """A dome over it would be far too low: the faces around meet at the corner."""
        cube = weld(box(20, 20, 20, 4).mesh)
        gone = np.linalg.norm(cube.corners().mean(axis=1) - 10, axis=1) < 6
        missing = 8000 - measures(closed(without(cube, gone))).signed_volume_mm3
        (rim,) = rims_of(without(cube, gone))
        assert missing < rim.doubt_mm3 < 4 * missing

    def test_a_hole_in_a_flat_face_is_hardly_in_doubt(self) -> None:
        cube = weld(box(20, 20, 20, 4).mesh)
        gone = np.linalg.norm(cube.corners().mean(axis=1) - (0, 0, 10), axis=1) < 5
        (rim,) = rims_of(without(cube, gone))
        assert rim.flat_within_mm == pytest.approx(0, abs=1e-9)
        assert rim.doubt_mm3 < 0.005 * 8000 and not rim.base

    def test_turning_and_moving_change_nothing(self) -> None:
        (here,) = rims_of(ball_with_a_hole(0.4))
        (there,) = rims_of(moved(turned(ball_with_a_hole(0.4)), (1000, 2000, -500)))
        for field in ("length_mm", "area_mm2", "across_mm", "flat_within_mm", "doubt_mm3"):
            assert getattr(there, field) == pytest.approx(getattr(here, field), rel=1e-6)


def open_below(mesh: Mesh) -> Mesh:
    """The mesh without the faces of its flat bottom."""
    centre = mesh.corners().mean(axis=1)
    return without(mesh, centre[:, 2] < mesh.bounds[0][2] + 1e-6)


class TestBases:
    @pytest.mark.parametrize(
        "mesh",
        [
            ball_with_a_hole(radians(100)),
            open_below(cylinder(10, 30).mesh),
            open_below(lathe([(0, 0), (30, 0), (25, 3), (8, 10), (8, 60), (0, 60)])),
            open_below(lathe([(0, 0), (10, 0), (20, 40), (0, 40)])),
        ],
        ids=["half a ball", "a cylinder", "a spreading foot", "a cup"],
    )
    def test_a_flat_open_base(self, mesh: Mesh) -> None:
        (rim,) = rims_of(turned(mesh))
        assert rim.base
        (inside_out,) = rims_of(turned(mesh).flipped())
        assert inside_out.base  # as the inside of a bowl is drawn
        assert inside_out.doubt_mm3 == pytest.approx(rim.doubt_mm3, abs=1e-6)

    @pytest.mark.parametrize(
        "mesh",
        [
            ball_with_a_hole(radians(25)),
            open_below(lathe([(0, 0), (5, 0), (5, 10), (20, 12), (20, 60), (0, 60)])),
        ],
        ids=["where a ball rounds off", "narrow against the part"],
    )
    def test_other_holes_are_no_base(self, mesh: Mesh) -> None:
        (rim,) = rims_of(turned(mesh))
        assert not rim.base

    def test_a_hole_half_way_up_is_no_base(self) -> None:
        body = weld(box(20, 20, 60, 4).mesh)
        centre = body.corners().mean(axis=1)
        (rim,) = rims_of(without(body, (centre[:, 0] > 9.99) & (np.abs(centre[:, 2]) < 12)))
        assert not rim.base

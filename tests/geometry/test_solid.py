"""What a file encloses: the verdicts and volumes that nobody's library got all right."""

from __future__ import annotations

import numpy as np
import pytest

from moldvol.errors import RequestError, UnsoundMesh
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.geometry.solid import Reading, Solid, SolidRequest
from moldvol.geometry.soundness.welding import compacted, weld
from tests.shapes import ball, box, moved, together, turned


def solid(*meshes: Mesh, **request: object) -> Solid:
    parts = tuple(MeshPart(f"part {i}", mesh) for i, mesh in enumerate(meshes, start=1))
    return solid_of(MeshFile("part.stl", "stl", parts, None, False, ()), SolidRequest(**request))


def soup(mesh: Mesh) -> Mesh:
    """The mesh with no shared corners, as STL stores it."""
    return Mesh.of(mesh.corners().reshape(-1, 3), np.arange(3 * len(mesh.faces)).reshape(-1, 3))


def without(mesh: Mesh, drop: np.ndarray) -> Mesh:
    return compacted(Mesh(mesh.vertices, mesh.faces[~drop]))


def mendings(found: Solid) -> set[str]:
    return {mending.what for mending in found.mendings}


def codes(found: Solid) -> set[str]:
    return {notice.code for notice in found.notices}


CUBE = box(20, 20, 20).mesh
SMALL = box(10, 10, 10).mesh


def open_ball() -> Mesh:
    whole = ball(10, 4).mesh
    return without(whole, whole.corners().mean(axis=1)[:, 2] < -6)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"reading": "hollow"}, "A mesh cannot be read as 'hollow'; say solid or cavity."),
        ({"scale": -1}, "A scale of -1 leaves no part; give a number above 0, such as 1.02."),
        ({"scale": np.nan}, "A scale of nan leaves no part; give a number above 0, such as 1.02."),
        ({"height_mm": -10}, "A part -10 mm high is none; give a height above 0 mm."),
        ({"height_mm": np.inf}, "A part inf mm high is none; give a height above 0 mm."),
        ({"unit": "furlong"}, "'furlong' is not a unit of length; use one of um, mm, cm, m, in, ft."),
    ],
)
def test_what_a_mesh_cannot_be_read_as_is_refused(asked: dict[str, object], sentence: str) -> None:
    with pytest.raises(RequestError) as refused:
        SolidRequest(**asked)  # type: ignore[arg-type]
    assert str(refused.value) == sentence


def test_words_stand_for_readings_and_units() -> None:
    request = SolidRequest(reading="cavity", unit="Inches")  # type: ignore[arg-type]
    assert request.reading is Reading.CAVITY
    assert request.unit == "in"


def test_a_cube_is_a_cube() -> None:
    found = solid(soup(CUBE))
    assert found.volume_mm3 == pytest.approx(8000, rel=1e-12)
    assert found.area_mm2 == pytest.approx(2400, rel=1e-12)
    assert found.closed and not found.mendings and not found.notices
    assert found.volume_error_mm3 < 0.01


class TestOpenRims:
    def test_one_triangle_missing(self) -> None:
        found = solid(without(CUBE, np.arange(12) == 4))
        assert found.volume_mm3 == pytest.approx(8000, rel=1e-9)
        assert not found.closed
        assert mendings(found) == {"hole_closed"}

    def test_a_missing_base_is_closed_flat(self) -> None:
        found = solid(open_ball())
        assert found.volume_mm3 == pytest.approx(3783, rel=0.01)
        assert mendings(found) == {"flat_base_closed"}

    def test_moving_and_turning_change_nothing(self) -> None:
        """A plain tetrahedron sum over this ball gives 3342 here and 70404 after moving it a metre."""
        here = solid(open_ball())
        quarter = np.array([[0, 0, 1, 0], [0, 1, 0, 0], [-1, 0, 0, 0], [0, 0, 0, 1]], dtype=float)
        for there in (moved(open_ball(), (1000, 2000, 3000)), moved(open_ball().transformed(quarter), (1000, 0, 0))):
            found = solid(there)
            assert found.volume_mm3 == pytest.approx(here.volume_mm3, rel=1e-9)
            assert mendings(found) == mendings(here)

    def test_scraps_of_a_ball_are_refused(self) -> None:
        whole = ball(10, 4).mesh
        centre = whole.corners().mean(axis=1)
        patches = (centre[:, 2] > 0) & (np.abs(centre[:, 0]) > 3)
        with pytest.raises(UnsoundMesh, match=r"is open|surface, not a solid"):
            solid(without(whole, ~patches))

    def test_a_flat_sheet_is_refused_in_words(self) -> None:
        sheet = Mesh.of([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0)], [(0, 1, 2), (0, 2, 3)])
        with pytest.raises(UnsoundMesh, match=r"surface, not a solid.*give it a thickness"):
            solid(sheet)

    def test_a_large_ragged_hole_needs_a_word_from_the_user(self) -> None:
        whole = ball(10, 4).mesh
        centre = whole.corners().mean(axis=1)
        ragged = np.linalg.norm(centre - [0, 0, 10], axis=1) < 9 + 2.5 * np.sin(
            5 * np.arctan2(centre[:, 1], centre[:, 0])
        )
        with pytest.raises(UnsoundMesh, match="--accept-open"):
            solid(without(whole, ragged))
        found = solid(without(whole, ragged), accept_open=True)
        assert abs(found.volume_mm3 - 4179.7) < found.volume_error_mm3
        assert "open-rims" in codes(found)

    def test_no_repair_on_request(self) -> None:
        with pytest.raises(UnsoundMesh, match="open along 3 edges"):
            solid(without(CUBE, np.arange(12) == 4), repair=False)


class TestOverlaps:
    def test_overlap_is_counted_once(self) -> None:
        found = solid(together(CUBE, moved(CUBE, (10, 0, 0))))
        assert found.volume_mm3 == pytest.approx(12000, rel=1e-9)
        (mending,) = [m for m in found.mendings if m.what == "overlap_united"]
        assert mending.volume_change_mm3 == pytest.approx(-4000, rel=1e-9)
        assert mending.at_mm == pytest.approx((5, 0, 0))

    def test_the_same_cube_twice(self) -> None:
        assert solid(together(CUBE, CUBE)).volume_mm3 == pytest.approx(8000, rel=1e-9)

    def test_the_same_cube_twice_with_other_triangles(self) -> None:
        found = solid(together(CUBE, box(20, 20, 20, 1).mesh))
        assert found.volume_mm3 == pytest.approx(8000, rel=1e-6)

    @pytest.mark.parametrize("shift", [(20, 0, 0), (20, 20, 0), (20, 20, 20)], ids=["face", "edge", "corner"])
    def test_touching_is_no_overlap(self, shift: tuple[float, float, float]) -> None:
        found = solid(together(CUBE, moved(CUBE, shift)))
        assert found.volume_mm3 == pytest.approx(16000, rel=1e-9)
        assert found.closed and "overlap_united" not in mendings(found)

    def test_three_balls_by_inclusion_and_exclusion(self) -> None:
        trio = [ball(10, 3).mesh, moved(ball(10, 3).mesh, (8, 0, 0)), moved(ball(10, 3).mesh, (4, 7, 0))]
        random = np.random.default_rng(5).uniform((-10, -10, -10), (18, 17, 10), (400_000, 3))
        centres = np.array([(0, 0, 0), (8, 0, 0), (4, 7, 0)])
        inside = (np.linalg.norm(random[:, None] - centres, axis=2) < 10).any(axis=1).mean() * 28 * 27 * 20
        # The mesh is inscribed: 0.9 % below the balls themselves.
        assert solid(together(*trio)).volume_mm3 == pytest.approx(inside, rel=0.015)

    def test_one_body_through_itself_is_flagged_and_taken_off(self) -> None:
        """A bar bent into a ring whose ends pass through each other: one skin, a lens counted twice."""
        ring = bent_bar(turns=1.1)
        found = solid(ring)
        assert "self-crossing" in codes(found)
        once = solid(bent_bar(turns=1.0 - 1e-6))
        assert found.volume_mm3 == pytest.approx(once.volume_mm3, rel=0.01)


def bent_bar(turns: float, sections: int = 200) -> Mesh:
    """A square bar of side 6 bent around a circle of radius 20 for *turns* turns, capped at both ends."""
    angle = np.linspace(0, 2 * np.pi * turns, sections)
    corners = [(17, -3), (23, -3), (23, 3), (17, 3)]
    points = [(r * np.cos(a), r * np.sin(a), z) for a in angle for r, z in corners]
    faces = []
    for i in range(sections - 1):
        for k in range(4):
            a, b = 4 * i + k, 4 * i + (k + 1) % 4
            faces += [(a, a + 4, b), (b, a + 4, b + 4)]
    last = 4 * (sections - 1)
    faces += [(0, 1, 2), (0, 2, 3), (last, last + 2, last + 1), (last, last + 3, last + 2)]
    return Mesh.of(points, faces)


class TestNesting:
    def test_an_inward_shell_is_a_void(self) -> None:
        found = solid(together(CUBE, SMALL.flipped()))
        assert found.volume_mm3 == pytest.approx(7000)
        assert found.outer_volume_mm3 == pytest.approx(8000)
        assert "sealed-void" in codes(found)

    def test_a_shell_facing_the_same_way_is_not_added(self) -> None:
        found = solid(together(CUBE, SMALL))
        assert found.volume_mm3 == pytest.approx(8000)
        assert "solid-within-solid" in codes(found)
        assert solid(together(CUBE, SMALL), inner_are_voids=True).volume_mm3 == pytest.approx(7000)

    def test_everything_inside_out(self) -> None:
        found = solid(together(CUBE.flipped(), SMALL))
        assert found.volume_mm3 == pytest.approx(7000)
        assert "inside_out_turned" in mendings(found)

    def test_three_levels(self) -> None:
        found = solid(together(CUBE, box(14, 14, 14).mesh.flipped(), box(8, 8, 8).mesh))
        assert found.volume_mm3 == pytest.approx(8000 - 2744 + 512)

    def test_a_void_touching_the_outside(self) -> None:
        assert solid(together(CUBE, moved(SMALL, (5, 0, 0)).flipped())).volume_mm3 == pytest.approx(7000)

    def test_a_bubble_does_not_make_it_hollow(self) -> None:
        bubble = moved(ball(0.1, 2).mesh, (2, 1, 0)).flipped()
        found = solid(together(CUBE, bubble))
        assert "sealed-void" not in codes(found)
        assert len(found.bodies) == 2

    def test_the_room_in_a_block_taken_as_the_cast(self) -> None:
        found = solid(together(CUBE, SMALL.flipped()), reading=Reading.CAVITY)
        assert found.volume_mm3 == pytest.approx(1000)
        assert found.size_mm == pytest.approx((10, 10, 10))


def _on_top(mesh: Mesh, face: np.ndarray) -> bool:
    return bool((mesh.vertices[face, 2] > 0).all())


class TestOrientation:
    def test_inside_out(self) -> None:
        found = solid(CUBE.flipped())
        assert found.volume_mm3 == pytest.approx(8000)
        assert mendings(found) == {"inside_out_turned"}

    def test_the_inside_of_an_open_tray_is_the_cast_whichever_way_it_faces(self) -> None:
        tray = Mesh(CUBE.vertices * (4, 4, 0.75), np.array([f for f in CUBE.faces if not _on_top(CUBE, f)]))
        outside_in, inside_out = solid(tray), solid(tray.flipped())
        assert outside_in.volume_mm3 == pytest.approx(80 * 80 * 15)
        assert inside_out.volume_mm3 == pytest.approx(outside_in.volume_mm3)
        assert inside_out.volume_error_mm3 == pytest.approx(outside_in.volume_error_mm3)
        assert mendings(inside_out) == {"flat_base_closed", "inside_out_turned"}

    def test_a_height_and_a_scale_together_are_refused(self) -> None:
        assert solid(CUBE, height_mm=40.0).volume_mm3 == pytest.approx(64_000)
        with pytest.raises(RequestError, match="either --height or --scale"):
            solid(CUBE, height_mm=40.0, scale=1.02)

    def test_some_triangles_wrong_way(self) -> None:
        faces = CUBE.faces.copy()
        faces[:6] = faces[:6, ::-1]
        found = solid(Mesh(CUBE.vertices, faces))
        assert found.volume_mm3 == pytest.approx(8000)
        assert "wrong_way_triangles" in mendings(found)

    def test_one_of_two_bodies_wrong_way(self) -> None:
        assert solid(together(CUBE, moved(CUBE, (50, 0, 0)).flipped())).volume_mm3 == pytest.approx(16000)

    def test_a_twisted_band_is_refused(self) -> None:
        angle = np.linspace(0, 2 * np.pi, 40, endpoint=False)
        half = np.column_stack(
            [np.cos(angle / 2) * np.cos(angle), np.cos(angle / 2) * np.sin(angle), np.sin(angle / 2)]
        )
        middle = 10 * np.column_stack([np.cos(angle), np.sin(angle), 0 * angle])
        points = np.concatenate([middle - 3 * half, middle + 3 * half])
        faces = []
        for i in range(40):
            a, b = i, 40 + i
            c, d = ((i + 1), 41 + i) if i < 39 else (40, 0)
            faces += [(a, c, b), (b, c, d)]
        with pytest.raises(UnsoundMesh, match="one side only"):
            solid(Mesh.of(points, faces))


class TestFalseAlarms:
    def test_jittered_corners_are_welded(self) -> None:
        loose = soup(CUBE)
        jitter = np.random.default_rng(3).uniform(-1e-4, 1e-4, loose.vertices.shape)
        found = solid(Mesh(loose.vertices + jitter, loose.faces))
        assert found.volume_mm3 == pytest.approx(8000, rel=1e-4)
        assert not any(mending.what == "hole_closed" for mending in found.mendings)

    def test_a_thin_slit_is_not_welded_shut(self) -> None:
        pair = together(CUBE, moved(CUBE, (20.3, 0, 0)))
        torn = without(pair, np.isin(np.arange(24), [4, 17]))
        assert solid(torn).size_mm[0] == pytest.approx(40.3)

    def test_zero_area_triangles_do_not_open_it(self) -> None:
        extra = np.vstack([CUBE.faces, [[0, 0, 1], [2, 5, 2]]])
        found = solid(Mesh.of(CUBE.vertices, extra))
        assert found.closed and found.volume_mm3 == pytest.approx(8000)

    def test_a_t_junction(self) -> None:
        vertices = np.vstack([CUBE.vertices, (CUBE.vertices[CUBE.faces[0, 0]] + CUBE.vertices[CUBE.faces[0, 1]]) / 2])
        a, b, c = CUBE.faces[0]
        faces = np.vstack([CUBE.faces[1:], [[a, 8, c], [8, b, c]]])
        found = solid(Mesh.of(vertices, faces))
        assert found.volume_mm3 == pytest.approx(8000)
        assert mendings(found) == {"cracks_closed"}

    def test_every_triangle_twice(self) -> None:
        found = solid(Mesh.of(CUBE.vertices, np.vstack([CUBE.faces, CUBE.faces])))
        assert found.volume_mm3 == pytest.approx(8000)
        assert "doubled_triangles" in mendings(found)

    def test_every_triangle_twice_and_opposite_leaves_nothing(self) -> None:
        with pytest.raises(UnsoundMesh, match=r"part\.stl .*encloses nothing"):
            solid(Mesh.of(CUBE.vertices, np.vstack([CUBE.faces, CUBE.faces[:, ::-1]])))

    def test_unused_vertices(self) -> None:
        found = solid(Mesh.of(np.vstack([CUBE.vertices, [[999, 0, 0]]]), CUBE.faces))
        assert found.size_mm == pytest.approx((20, 20, 20))

    def test_a_loose_triangle_is_left_out(self) -> None:
        stray = Mesh.of([(100, 0, 0), (101, 0, 0), (100, 1, 0)], [(0, 1, 2)])
        found = solid(together(CUBE, stray))
        assert found.volume_mm3 == pytest.approx(8000)
        assert mendings(found) == {"loose_triangles"}
        assert found.size_mm == pytest.approx((20, 20, 20))

    def test_a_speck_is_counted_and_named(self) -> None:
        found = solid(together(CUBE, moved(box(0.05, 0.05, 0.05).mesh, (100, 0, 0))))
        assert "specks" in codes(found) and len(found.bodies) == 2


class TestNumbers:
    @pytest.mark.parametrize("bad", [np.nan, np.inf, 3e38])
    def test_a_broken_coordinate_becomes_a_hole(self, bad: float) -> None:
        loose = soup(CUBE)
        loose.vertices[4, 1] = bad
        found = solid(loose)
        assert found.volume_mm3 == pytest.approx(8000)
        assert {"broken_numbers", "hole_closed"} == mendings(found)

    @pytest.mark.parametrize("bad", [np.nan, np.inf, 3e38])
    def test_a_broken_coordinate_of_a_welded_block(self, bad: float) -> None:
        """More than half of a block's coordinates are their own median, so the usual stray from it is nought."""
        loose = soup(CUBE)
        loose.vertices[10, 2] = bad
        found = solid(weld(loose))
        assert found.volume_mm3 == pytest.approx(8000) and "broken_numbers" in mendings(found)

    def test_nothing_but_broken_coordinates(self) -> None:
        with pytest.raises(UnsoundMesh, match="sensible numbers"):
            solid(Mesh.of(np.full((36, 3), np.nan), np.arange(36).reshape(-1, 3)))

    def test_far_from_the_origin(self) -> None:
        assert solid(moved(CUBE, (1e6, 0, 0))).volume_mm3 == pytest.approx(8000, rel=1e-6)
        assert "coarse-coordinates" in codes(solid(moved(ball().mesh, (512345, 5401234, 321))))

    @pytest.mark.parametrize("side", [1e-6, 1e6])
    def test_verdicts_do_not_depend_on_size(self, side: float) -> None:
        found = solid(CUBE.scaled(side / 20))
        assert found.volume_mm3 == pytest.approx(side**3) and found.closed and not found.mendings

    def test_turning_and_mirroring_keep_the_volume(self) -> None:
        shape = together(CUBE, moved(ball(9, 3).mesh, (10, 3, 2)))
        mirrored = shape.transformed(np.diag([-1.0, 1, 1, 1]))
        expected = solid(shape).volume_mm3
        assert solid(mirrored).volume_mm3 == pytest.approx(expected, rel=1e-9)
        assert solid(turned(shape)).volume_mm3 == pytest.approx(expected, rel=1e-9)


class TestUnits:
    def test_inches_by_option(self) -> None:
        found = solid(box(1, 1, 1).mesh, unit="in")
        assert found.volume_mm3 == pytest.approx(25.4**3) and found.unit_source == "option"

    def test_an_unlikely_size_is_pointed_out_with_the_unit_that_fits(self) -> None:
        (notice,) = solid(box(0.7874, 0.7874, 0.7874).mesh).notices
        assert notice.code == "unit-improbable" and "20 mm if drawn in inches" in notice.message
        assert "--unit" in notice.message

    def test_a_size_of_a_few_is_doubted_only_while_the_unit_is_a_guess(self) -> None:
        """A figure of a hand's length drawn in inches reads as 3 to 8 mm; a button that was said to be in mm is one."""
        (notice,) = solid(box(2, 4, 5.2).mesh).notices
        assert notice.code == "unit-improbable" and "--unit cm or in would make sense" in notice.message
        assert "if drawn in mm" not in notice.message
        for said in ({"unit": "mm"}, {"height_mm": 5.2}, {"scale": 1.01}):
            assert solid(box(2, 4, 5.2).mesh, **said).notices == ()
        assert solid(box(2, 4, 10).mesh).notices == ()

    def test_height(self) -> None:
        assert solid(CUBE, height_mm=180).volume_mm3 == pytest.approx(180**3)

    def test_scale(self) -> None:
        assert solid(CUBE, scale=1.02).volume_mm3 == pytest.approx(8000 * 1.02**3)


def test_facets_are_owned_up_to() -> None:
    """A ball of 5,120 triangles lacks 0.22 % of the sphere it stands for."""
    found = solid(ball(10, 4).mesh)
    missing = 4 / 3 * np.pi * 1000 - found.volume_mm3
    assert found.facet_shortfall_mm3 == pytest.approx(missing, rel=0.05)
    assert found.volume_error_mm3 >= found.facet_shortfall_mm3


def test_two_bodies_sharing_edges_stay_two() -> None:
    assert len(solid(together(CUBE, moved(CUBE, (20, 0, 0)))).bodies) == 2
    assert len(solid(together(CUBE, moved(CUBE, (20, 20, 0)))).bodies) == 2

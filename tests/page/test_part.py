import io
import json
import math
import struct

import matplotlib
import numpy as np
import pytest
import trimesh

from moldvol.casting.hollow_part import HollowPart, field_of
from moldvol.errors import RequestError
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading import read_mesh
from moldvol.geometry.solid import Solid
from moldvol.page.colouring import COLOUR_MAP, DARKEST, LIGHTEST, coloured, vertex_normals, wall_at_vertices
from moldvol.page.draft import CURVE_WALLS, curve_walls_mm, draft_of, fill_curve, rough_shell
from moldvol.page.glb import Drawn, glb
from moldvol.page.knobs import Asked
from moldvol.page.part import Part, of_part, reduced
from tests.files import CUBE_CORNERS, binary_stl
from tests.page.hands import SAMPLES
from tests.shapes import ball, box, lathe

RADIUS = 20.0
COLOURS = np.array([[255, 0, 0, 255], [0, 255, 0, 255], [0, 0, 255, 255]], dtype=np.uint8)


def stl_of(mesh: Mesh) -> bytes:
    return binary_stl(mesh.corners())


def _arc(middle_mm: float, radius_mm: float, from_mm: float) -> list[tuple[float, float]]:
    """The outline of a ball about (0, 0, *middle_mm*) without its tips, or from where its neck of 3 mm ends."""
    neck = math.asin(3.0 / radius_mm)
    first, last = (0.1, math.pi - neck) if from_mm == 0 else (neck, math.pi - 0.1)
    angles = np.linspace(first, last, 40)
    return [(radius_mm * math.sin(a), middle_mm - radius_mm * math.cos(a)) for a in angles.tolist()]


def part_of(content: bytes, asked: Asked | None = None) -> Part:
    return Part.made(read_mesh(content, name="part.stl"), asked or Asked(), lambda stage, share: None)


def loaded(content: bytes) -> trimesh.Scene:
    scene = trimesh.load(io.BytesIO(content), file_type="glb")
    assert isinstance(scene, trimesh.Scene)
    return scene


def document(content: bytes) -> dict[str, object]:
    length = struct.unpack_from("<I", content, 12)[0]
    found = json.loads(content[20 : 20 + length])
    assert isinstance(found, dict)
    return found


def test_another_reader_finds_what_was_drawn() -> None:
    skin = Drawn("part", np.eye(3), np.array([[0, 1, 2]], dtype=np.int32), (COLOURS,))
    rims = Drawn("rims", np.eye(3), np.array([[0, 1]], dtype=np.int32))
    scene = loaded(glb([skin, rims]))
    mesh = scene.geometry["part"]
    assert mesh.vertices == pytest.approx(np.eye(3))
    assert (mesh.visual.vertex_colors == COLOURS).all()
    assert "rims" in scene.geometry


def test_what_is_empty_is_not_drawn() -> None:
    nothing = Drawn("rims", np.zeros((0, 3)), np.zeros((0, 2), dtype=np.int32))
    skin = Drawn("part", np.eye(3), np.array([[0, 1, 2]], dtype=np.int32))
    assert [mesh["name"] for mesh in document(glb([skin, nothing]))["meshes"]] == ["part"]  # type: ignore[attr-defined]


def test_every_piece_of_a_glb_stands_on_four_bytes() -> None:
    content = glb([Drawn("part", np.eye(3), np.array([[0, 1, 2]], dtype=np.int32), (COLOURS, COLOURS))])
    assert struct.unpack_from("<III", content) == (0x46546C67, 2, len(content))
    assert len(content) % 4 == 0
    assert all(view["byteOffset"] % 4 == 0 for view in document(content)["bufferViews"])  # type: ignore[attr-defined]


def test_the_part_is_drawn_about_its_centre_however_far_it_stands() -> None:
    far = box(20, 20, 20).mesh.transformed([[1, 0, 0, 1000], [0, 1, 0, -500], [0, 0, 1, 300], [0, 0, 0, 1]])
    part = part_of(stl_of(far))
    assert part.summary().centre_mm == pytest.approx((1000, -500, 300))
    assert loaded(part.view().content).bounds == pytest.approx(np.array([[-10, -10, -10], [10, 10, 10]]))


def test_open_rims_are_drawn_where_they_are_in_millimetres() -> None:
    part = part_of(binary_stl(np.delete(CUBE_CORNERS, [5, 11], axis=0) / 25.4), Asked(unit="in", accept_open=True))
    rims = loaded(part.view().content).geometry["rims"]
    assert not part.summary().closed
    assert len(rims.vertices) == 4
    assert np.abs(rims.vertices) == pytest.approx(np.full((4, 3), 10.0), abs=1e-4)


def test_open_rims_grow_with_the_part() -> None:
    part = part_of(binary_stl(np.delete(CUBE_CORNERS, [5, 11], axis=0)), Asked(height_mm=50, accept_open=True))
    rims = loaded(part.view().content).geometry["rims"]
    assert np.abs(rims.vertices) == pytest.approx(np.full((4, 3), 25.0), abs=1e-4)


def test_one_part_of_several_is_taken_by_its_number() -> None:
    file = read_mesh(SAMPLES / "two_figures.3mf")
    assert of_part(file, None) is file
    assert [part.name for part in of_part(file, 2).parts] == ["jester"]
    with pytest.raises(RequestError, match="no part 3, only 2"):
        of_part(file, 3)


def test_a_closed_part_has_no_rims() -> None:
    assert set(loaded(part_of(binary_stl()).view().content).geometry) == {"part"}


def test_a_ball_s_wall_is_its_diameter_seen_from_everywhere() -> None:
    mesh = ball(RADIUS).mesh
    wall = wall_at_vertices(mesh, vertex_normals(mesh))
    assert wall == pytest.approx(np.full(len(wall), 2 * RADIUS), rel=0.01)  # facets shorten it


def test_normals_point_outward() -> None:
    mesh = ball(RADIUS).mesh
    along = (vertex_normals(mesh) * mesh.vertices).sum(axis=1) / RADIUS
    assert along.min() > 0.999


def test_colours_run_by_lightness_alone() -> None:
    values = np.linspace(0, 10, 50)
    for low_is_light in (True, False):
        colours, legend = coloured(values, "wall", low_is_light=low_is_light)
        light = colours[:, :3].astype(float) @ [0.2126, 0.7152, 0.0722]
        steps = np.diff(light) if not low_is_light else -np.diff(light)
        assert steps.min() >= -0.51  # never turns back, but for rounding to bytes
        assert len(legend.stops) == 12
        high, middle = (7.5, 7.5 / 4) if low_is_light else (10.0, 5.0)
        assert (legend.low_mm, legend.middle_mm, legend.high_mm) == (0.0, pytest.approx(middle), pytest.approx(high))


def test_the_middle_of_the_scale_is_where_the_legend_says() -> None:
    for low_is_light in (True, False):
        values = np.append(np.linspace(0, 10, 50), 0.0)
        _, legend = coloured(values, "wall", low_is_light=low_is_light)
        values[-1] = legend.middle_mm
        colours, legend = coloured(values, "wall", low_is_light=low_is_light)
        middle = matplotlib.colormaps[COLOUR_MAP](DARKEST + (LIGHTEST - DARKEST) / 2)[:3]
        seen = colours[-1, :3] / 255
        srgb = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
        assert srgb == pytest.approx(middle, abs=0.03)


def test_a_large_mesh_is_shown_reduced_and_measured_whole() -> None:
    mesh = ball(RADIUS, subdivisions=6).mesh  # 81,920 triangles
    assert reduced(mesh) is mesh
    shown = reduced(mesh, 20_000)
    assert 5_000 < len(shown.faces) <= 20_000


@pytest.fixture(scope="module")
def solid_ball() -> Solid:
    return solid_of(read_mesh(stl_of(ball(RADIUS, subdivisions=5).mesh), name="ball.stl"))


@pytest.fixture(scope="module")
def body(solid_ball: Solid) -> HollowPart:
    found = HollowPart.of(solid_ball, field_of(solid_ball, interior_points=60_000))
    fill_curve(found, lambda: True)
    return found


@pytest.mark.parametrize("wall", [1.3, 2.7, 4.4, 9.1, 15.0])
def test_a_draft_is_what_a_ball_s_shell_takes(body: HollowPart, wall: float) -> None:
    draft = draft_of(body).shell(wall)
    exact = body.solid.volume_mm3 * (1 - (1 - wall / RADIUS) ** 3)
    assert draft.volume_mm3 == pytest.approx(exact, rel=2e-3)
    assert wall not in body._shells or wall in curve_walls_mm(body)


def test_a_draft_keeps_what_is_known(body: HollowPart) -> None:
    wall = curve_walls_mm(body)[3]
    assert draft_of(body).shell(wall) == body.shell(wall)


def test_a_draft_without_a_curve_is_counted_roughly_and_keeps_nothing(solid_ball: Solid) -> None:
    fresh = HollowPart.of(solid_ball, field_of(solid_ball, interior_points=20_000))
    draft = draft_of(fresh).shell(3.0)
    exact = solid_ball.volume_mm3 * (1 - (1 - 3.0 / RADIUS) ** 3)
    assert draft.volume_mm3 == pytest.approx(exact, rel=2e-3)
    assert abs(draft.volume_mm3 - exact) < draft.error_mm3
    assert not fresh._shells


def test_a_rough_count_knows_what_closes_off() -> None:
    """Two balls joined by a neck of 3 mm radius, resin entering at one: the other stays at a wall of 3 mm."""
    profile = [(0.0, 0.0), *_arc(15.0, 15.0, 0.0), (3.0, 40.0), *_arc(55.0, 15.0, 40.0), (0.0, 70.0)]
    part = part_of(stl_of(lathe(profile)))
    part.measure_depth(lambda stage, share: None)
    body = part.hollow("bottom")
    assert body.reach.pockets
    for wall_mm in (2.0, 6.0, 10.0):
        assert rough_shell(body, wall_mm).volume_mm3 == pytest.approx(body.shell(wall_mm).volume_mm3, rel=0.01)


@pytest.mark.parametrize("wall", [0.0, -1.0, float("nan")])
def test_a_wall_that_is_none_is_refused_by_a_rough_count_too(body: HollowPart, wall: float) -> None:
    with pytest.raises(RequestError):
        rough_shell(body, wall)


def test_the_thickest_place_is_found_once_for_all_drafts(body: HollowPart) -> None:
    assert draft_of(body).thickest is draft_of(body).thickest is body.thickest


def test_the_curve_starts_rough_and_can_be_called_off(solid_ball: Solid) -> None:
    fresh = HollowPart.of(solid_ball, field_of(solid_ball, interior_points=20_000))
    left = iter([True] * 8 + [False])
    fill_curve(fresh, lambda: next(left))
    assert len(fresh._shells) == 8
    assert max(fresh._shells) == pytest.approx(max(curve_walls_mm(fresh)))
    assert CURVE_WALLS - 2 <= len(set(curve_walls_mm(fresh))) <= CURVE_WALLS


def test_the_core_is_the_ball_within_the_wall() -> None:
    part = part_of(stl_of(ball(RADIUS).mesh))
    part.measure_depth(lambda stage, share: None)
    core = part.core(Asked(wall_mm=5.0, opening="top"))
    assert loaded(core.content).bounds == pytest.approx(np.array([[-15.0] * 3, [15.0] * 3]), abs=0.3)
    assert core.enters_at_mm == pytest.approx((0, 0, RADIUS), abs=0.1)
    assert part.core(Asked(wall_mm=25.0)).content == b""

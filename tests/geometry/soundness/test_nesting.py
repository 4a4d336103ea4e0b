"""Unions of bodies with rooms inside, by hand-worked boxes."""

from __future__ import annotations

import pytest

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness import nesting
from moldvol.geometry.soundness.nesting import Nest, Role, Shell, nest
from tests.shapes import ball, box, moved

CUBE, ROOM = box(20, 20, 20).mesh, box(10, 10, 10).mesh


def nested(*meshes: Mesh, **how: bool) -> Nest:
    return nest([Shell.of(mesh) for mesh in meshes], **how)


def material(found: Nest) -> float:
    return sum(shell.signed_volume_mm3 for shell in found.shells if shell.role is not Role.BURIED)


class TestUnionsWithRooms:
    def test_a_room_away_from_the_overlap_stays(self) -> None:
        found = nested(CUBE, moved(ROOM, (-4, 0, 0)).flipped(), moved(CUBE, (15, 0, 0)))
        assert material(found) == pytest.approx(8000 + 8000 - 5 * 400 - 1000)
        assert found.counted_twice_mm3 == pytest.approx(2000)

    def test_a_second_body_fills_the_room_that_it_reaches_into(self) -> None:
        """Positive fill: what is solid in one body is solid, whatever room another has there."""
        found = nested(CUBE, ROOM.flipped(), moved(CUBE, (10, 0, 0)))
        assert material(found) == pytest.approx(30 * 400 - 5 * 100)

    def test_two_hollow_bodies_that_meet_wall_to_room(self) -> None:
        one, other = (CUBE, ROOM.flipped()), (moved(CUBE, (16, 0, 0)), moved(ROOM, (16, 0, 0)).flipped())
        found = nested(*one, *other)
        assert material(found) == pytest.approx(36 * 400 - 2000)
        assert [shell.role for shell in found.shells].count(Role.VOID) == 2

    def test_a_body_in_a_room_is_a_solid_of_its_own(self) -> None:
        found = nested(CUBE, box(14, 14, 14).mesh.flipped(), box(8, 8, 8).mesh, moved(box(8, 8, 8).mesh, (2, 0, 0)))
        assert material(found) == pytest.approx(8000 - 2744 + 8 * 8 * 10)

    def test_a_chain_of_three_is_one(self) -> None:
        found = nested(CUBE, moved(CUBE, (15, 0, 0)), moved(CUBE, (30, 0, 0)))
        assert len(found.shells) == 1 and material(found) == pytest.approx(50 * 400)

    def test_two_pairs_are_two(self) -> None:
        pair = [CUBE, moved(CUBE, (10, 0, 0))]
        found = nested(*pair, *[moved(mesh, (100, 0, 0)) for mesh in pair])
        assert len(found.shells) == 2 and found.counted_twice_mm3 == pytest.approx(8000)


class TestFacing:
    def test_a_mirrored_file_is_turned_as_a_whole(self) -> None:
        found = nested(CUBE.flipped(), ROOM)
        assert material(found) == pytest.approx(7000) and found.inside_out == 1
        assert {shell.role for shell in found.shells} == {Role.SOLID, Role.VOID}

    def test_overlapping_bodies_one_of_them_inside_out(self) -> None:
        found = nested(CUBE, moved(CUBE, (10, 0, 0)).flipped())
        assert material(found) == pytest.approx(12000)

    def test_depth_decides_where_facing_is_lost(self) -> None:
        skins = [CUBE, box(14, 14, 14).mesh, box(8, 8, 8).mesh]
        assert material(nested(*skins)) == pytest.approx(8000)
        assert material(nested(*skins, inner_are_voids=True)) == pytest.approx(8000 - 2744 + 512)


def test_a_body_the_kernel_refuses_is_placed_by_winding_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nesting, "to_kernel", lambda mesh, about: None)
    found = nested(CUBE, ROOM.flipped(), moved(ball(3, 2).mesh, (40, 0, 0)))
    assert [shell.parent for shell in found.shells] == [None, 0, None]


def test_an_overlap_the_kernel_refuses_is_left_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nesting, "to_kernel", lambda mesh, about: None)
    assert nested(CUBE, moved(CUBE, (10, 3, 2))).unresolved

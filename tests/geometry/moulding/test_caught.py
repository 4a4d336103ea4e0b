"""Where the net and the surface tell of the same pocket, and where only one of them can be right."""

from __future__ import annotations

from math import pi, sin

from pytest import approx

from moldvol.geometry.mesh import Mesh, join
from moldvol.geometry.moulding.caught import caught_in, outermost_in, raised
from moldvol.geometry.moulding.open_space import OpenSpace
from moldvol.geometry.moulding.room import Room, net_grid
from tests import shapes

CELLS = 200_000
UP = (0.0, 1.0, 0.0)


def room(mesh: Mesh, up=UP) -> Room:
    return Room.of(mesh, OpenSpace.inside(mesh, net_grid(mesh, CELLS), axis=1), up)


def comb() -> Mesh:
    """Chimneys of 50, 40 and 30 over a floor of 5, the last two joined up to 20."""
    return shapes.prism(
        [
            (0, 0),
            (50, 0),
            (50, 30),
            (40, 30),
            (40, 20),
            (30, 20),
            (30, 40),
            (20, 40),
            (20, 5),
            (10, 5),
            (10, 50),
            (0, 50),
        ],
        10,
    )


def test_the_surface_gives_the_exact_level_and_volume():
    (outer,) = caught_in(room(comb()), smallest_mm3=10)
    assert outer.exact
    assert outer.level_mm == approx(5)
    assert outer.top_height_mm == approx(40)
    assert outer.volume_mm3 == approx(7500)
    assert outer.area_mm2 == approx(300)
    (inner,) = outer.within
    assert (inner.level_mm, inner.volume_mm3) == approx((20, 1000))
    assert outer.own_mm3 == approx(6500)
    assert len(list(outer.all_tops())) == 2


def test_the_place_where_it_leaves_lies_at_the_level():
    (outer,) = caught_in(room(comb()), smallest_mm3=10)
    assert outer.leaves_at_mm[1] == approx(5)
    assert outer.leaves_at_mm[0] in (approx(10), approx(20))


def test_a_raised_level_leaves_what_lies_above_it():
    space = room(comb())
    (outer,) = caught_in(space, smallest_mm3=10)
    higher = raised(space, outer, 17)  # from 5 to 22: two of the chimneys, 18 and 8 high
    assert higher.volume_mm3 == approx((18 + 8) * 100)
    assert raised(space, outer, 40).volume_mm3 == 0


def test_openings_cap_the_level():
    found = caught_in(room(comb()), openings_mm=[(5, 45, 5)], smallest_mm3=10)
    assert [caught.level_mm for caught in found] == approx([5, 45])
    assert found[1].volume_mm3 == approx(500)


def test_bodies_closed_on_each_other_leave_the_word_to_the_net():
    # A tray and a lid with a hole: their rims touch all round, so their skins hang together where nothing can pass.
    tray = shapes.lathe([(0, -20), (30, -20), (30, 0), (20, 0), (20, -15), (0, -15)], 64)
    lid = shapes.lathe([(20, 0), (30, 0), (30, 20), (3, 20), (3, 15), (20, 15)], 64)
    pair = join([tray, lid])
    space = OpenSpace.outside(pair, net_grid(pair, CELLS))
    (held,) = caught_in(Room.of(pair, space, (0.0, 0.0, -1.0)), smallest_mm3=50)
    sixty_four_sides = 64 / (2 * pi) * sin(2 * pi / 64)
    exact = sixty_four_sides * pi * (400 * 30 + 9 * 5)
    assert not held.exact
    assert held.volume_mm3 == approx(exact, rel=3e-3)  # by 66 lines across
    assert abs(held.volume_mm3 - exact) <= held.volume_error_mm3
    assert held.leaves_at_mm[2] == approx(20, abs=space.grid.spacing_mm)


def test_the_outermost_are_the_same_without_what_is_within():
    (outer,), (alone,) = caught_in(room(comb()), smallest_mm3=10), outermost_in(room(comb()), smallest_mm3=10)
    assert outer.within and not alone.within
    assert alone.volume_mm3 == approx(outer.volume_mm3)
    assert alone.level_mm == approx(outer.level_mm)

"""What held liquid and trapped air refuse, leave out and count once."""

from __future__ import annotations

import pytest
from pytest import approx

from moldvol.errors import RequestError
from moldvol.geometry.mesh import join
from moldvol.geometry.moulding.levels import StandingMould, held_liquid, trapped_air
from tests import shapes

CELLS = 100_000
EXACT_REL = 1e-6


def tray(*holes: tuple[float, float, float], height: float = 30.0):
    """A block 100 long with rectangular pits (start, stop, floor) across a width of 20, closed at both ends by 5."""
    outline = [(0.0, 0.0), (100.0, 0.0), (100.0, height)]
    for start, stop, floor in sorted(holes, reverse=True):
        outline += [(stop, height), (stop, floor), (start, floor), (start, height)]
    middle = shapes.prism([*outline, (0.0, height)], 20)
    lid = shapes.prism([(0, 0), (100, 0), (100, height), (0, height)], 5)
    return union(middle, shapes.moved(lid, (0, 0, -5)), shapes.moved(lid, (0, 0, 20)))


def union(*meshes):
    import trimesh

    made = trimesh.boolean.union([trimesh.Trimesh(mesh.vertices, mesh.faces) for mesh in meshes], engine="manifold")
    return shapes.from_trimesh(made)


def test_two_pits_are_two_basins_largest_first():
    held = held_liquid(tray((10, 30, 5), (40, 90, 10)), (0, 1, 0), cells=CELLS)
    assert [basin.volume_mm3 for basin in held.basins] == approx([50 * 20 * 20, 20 * 25 * 20], rel=EXACT_REL)
    assert held.volume_mm3 == approx(30_000, rel=EXACT_REL)
    assert [basin.lowest_mm[1] for basin in held.basins] == approx([10, 5])


def test_a_drop_is_taken_in_every_basin_and_empties_the_shallow_one():
    held = held_liquid(tray((10, 30, 5), (40, 90, 10)), (0, 1, 0), drop_mm=22, cells=CELLS)
    assert [basin.volume_mm3 for basin in held.basins] == approx([20 * 3 * 20], rel=EXACT_REL)
    assert held.basins[0].level_mm == approx(8)


def test_scratches_are_left_out():
    held = held_liquid(tray((10, 60, 5), (80, 82, 29.7)), (0, 1, 0), cells=CELLS)
    assert len(held.basins) == 1


def test_a_sealed_void_holds_nothing():
    hollow = join([shapes.box(40, 40, 40).mesh, shapes.box(20, 20, 20).mesh.flipped()])
    assert held_liquid(hollow, cells=CELLS).basins == ()


def test_an_island_displaces_what_it_stands_in():
    pit = tray((10, 90, 5))
    post = shapes.moved(shapes.box(10, 10, 10).mesh, (50, 15, 10))
    held = held_liquid(join([pit, post]), (0, 1, 0), cells=CELLS)
    assert held.volume_mm3 == approx(80 * 25 * 20 - 1000, rel=EXACT_REL)


def test_drops_that_make_no_sense_are_refused():
    mould = StandingMould.of(tray((10, 90, 5)), (0, 1, 0), cells=CELLS)
    with pytest.raises(RequestError, match=r"^-2 mm below the rim is above it; give a drop of 0 mm or more\.$"):
        mould.held(-2)
    with pytest.raises(
        RequestError, match=r"^25 mm below the rim is below the floor of the mould; give a smaller drop\.$"
    ):
        mould.held(25)


def test_each_body_of_a_part_has_its_own_opening():
    two = join([shapes.box(10, 10, 10).mesh, shapes.moved(shapes.box(10, 10, 30).mesh, (20, 0, 0))])
    assert trapped_air(two, cells=CELLS).pockets == ()


def test_small_pockets_are_left_out_and_the_limit_is_told():
    comb = shapes.prism([(0, 0), (30, 0), (30, 12), (20, 12), (20, 10), (10, 10), (10, 20), (0, 20)], 10)
    assert trapped_air(comb, (0, 1, 0), cells=CELLS).volume_mm3 == approx(200, rel=EXACT_REL)
    assert trapped_air(comb, (0, 1, 0), smallest_mm3=250, cells=CELLS).pockets == ()
    assert trapped_air(comb, (0, 1, 0), smallest_mm3=250, cells=CELLS).smallest_mm3 == 250


def test_the_vent_of_a_level_ceiling_stands_in_its_middle():
    comb = shapes.prism([(0, 0), (30, 0), (30, 12), (20, 12), (20, 10), (10, 10), (10, 20), (0, 20)], 10)
    (pocket,) = trapped_air(comb, (0, 1, 0), cells=CELLS).pockets
    assert pocket.at_mm == approx((25, 12, 5), abs=0.5)

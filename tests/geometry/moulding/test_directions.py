"""Pour directions in the order a caster would choose them."""

from __future__ import annotations

import numpy as np
import trimesh
from pytest import approx

from moldvol.geometry.moulding.directions import Nets, held_roughly, rank_directions, rank_standings
from tests import shapes

CELLS = 100_000
EXACT_REL = 1e-6
NET_REL = 0.02  # walls askew to a coarse net


def tray():
    """A block 100 × 30 × 30 with a pit of 80 × 20 and 25 deep along y."""
    made = trimesh.boolean.difference(
        [
            trimesh.creation.box(bounds=[(0, 0, -5), (100, 30, 25)]),
            trimesh.creation.box(bounds=[(10, 5, 0), (90, 31, 20)]),
        ],
        engine="manifold",
    )
    return shapes.from_trimesh(made)


def test_directions_are_ranked_by_air_then_vents():
    u = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    ranks = rank_directions(u, interior_points=40_000)
    assert len(ranks) == 26
    assert ranks[0].trapped_air_mm3 == 0
    assert [rank.exact for rank in ranks] == [True] * 3 + [False] * 23
    assert ranks[-1].up == (0, -1, 0)
    assert ranks[-1].trapped_air_mm3 == approx(4000, rel=0.02)
    assert ranks[-1].vents == 1


def test_given_directions_are_the_only_ones_tried():
    u = shapes.prism([(0, 0), (10, 0), (10, 40), (30, 40), (30, 0), (40, 0), (40, 50), (0, 50)], 10)
    ranks = rank_directions(u, [(0, -2, 0), (0, 3, 0)], interior_points=40_000)
    assert [rank.up for rank in ranks] == [(0, 3, 0), (0, -2, 0)]
    assert ranks[1].trapped_air_mm3 == approx(4000, rel=EXACT_REL)


def test_an_open_mould_stands_best_with_its_mouth_up():
    ranks = rank_standings(tray(), np.vstack([np.eye(3), -np.eye(3)]), cells=CELLS)
    assert ranks[0].up == (0, 1, 0)
    assert ranks[0].held_volume_mm3 == approx(80 * 25 * 20, rel=EXACT_REL)
    assert all(rank.held_volume_mm3 == 0 for rank in ranks[1:])


def test_the_nets_alone_say_roughly_what_is_held():
    nets = Nets.outside(tray(), CELLS)
    assert held_roughly(nets, (0, 1, 0)) == approx(80 * 25 * 20, rel=NET_REL)
    assert held_roughly(nets, (0, -1, 0)) == 0


def test_every_direction_gets_the_net_it_runs_along():
    nets = Nets.inside(shapes.box(20, 20, 20).mesh, interior_points=5000)
    for up in np.eye(3):
        space, direction = nets.along(up)
        assert abs(direction[space.axis]) == np.abs(direction).max()

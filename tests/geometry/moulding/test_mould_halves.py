"""Halves of a mould told by their parting faces."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from pytest import approx

from moldvol.geometry.mesh import Mesh, join
from moldvol.geometry.moulding.mould_halves import bodies_of, matched_halves
from tests import shapes

EXACT_REL = 1e-6


def half(pit=(30.0, 20.0, 8.0), block=(60.0, 40.0, 20.0), knob: float = 0.0, hole: float = 0.0) -> Mesh:
    """A block with its parting face at z = 0, a pit in its middle, and a square knob or hole 3 high beside it."""
    made = trimesh.creation.box(bounds=[(-block[0] / 2, -block[1] / 2, -block[2]), (block[0] / 2, block[1] / 2, 0)])
    cuts = [trimesh.creation.box(bounds=[(-pit[0] / 2, -pit[1] / 2, -pit[2]), (pit[0] / 2, pit[1] / 2, 1)])]
    if hole:
        cuts.append(trimesh.creation.box(bounds=[(20, -hole / 2, -3), (20 + hole, hole / 2, 1)]))
    made = trimesh.boolean.difference([made, *cuts], engine="manifold")
    if knob:
        peg = trimesh.creation.box(bounds=[(20, -knob / 2, -1), (20 + knob, knob / 2, 3)])
        made = trimesh.boolean.union([made, peg], engine="manifold")
    return shapes.from_trimesh(made)


def beside(mesh: Mesh) -> Mesh:
    return shapes.moved(mesh, (90, 7, 4))


def test_two_plain_halves():
    found = matched_halves(join([half(), beside(half(pit=(30, 20, 5)))]))
    assert found.volume_mm3 == approx(30 * 20 * (8 + 5), rel=EXACT_REL)
    assert found.error_mm3 == approx(0, abs=1e-6)


def test_knobs_fill_the_holes_of_the_other_half():
    found = matched_halves(join([half(knob=5), beside(half(hole=5))]))
    assert found.volume_mm3 == approx(30 * 20 * 16, rel=EXACT_REL)


@pytest.mark.parametrize("seed", [3, 4])
def test_it_does_not_matter_how_they_lie(seed):
    one, other = half(knob=5), beside(shapes.turned(half(hole=5), seed))
    assert matched_halves(shapes.turned(join([one, other]), seed + 1)).volume_mm3 == approx(9600, rel=1e-5)


def test_blocks_of_different_size_are_no_halves():
    assert matched_halves(join([half(), beside(half(block=(70, 40, 20)))])) is None


def test_one_body_or_three_are_no_halves():
    assert matched_halves(half()) is None
    assert matched_halves(join([half(), beside(half()), shapes.moved(half(), (0, 90, 0))])) is None


def test_solid_blocks_are_no_halves():
    block = shapes.box(60, 40, 20).mesh
    assert matched_halves(join([block, shapes.moved(block, (90, 0, 0))])) is None


def test_bodies_come_apart_whole():
    parts = bodies_of(join([half(), beside(shapes.ball().mesh)]))
    assert sorted(len(part.faces) for part in parts) == sorted([len(half().faces), len(shapes.ball().mesh.faces)])
    assert all(np.array_equal(np.unique(part.faces), np.arange(len(part.vertices))) for part in parts)

"""The cut through a standing mould: areas of trays that can be worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.moulding.levels import StandingMould
from moldvol.geometry.moulding.mould_cut import MouldCut, mould_cut
from tests.casting.test_fill import box, carved, tray

PIXEL_REL = 0.02  # outlines to a pixel in a cut of 200


def areas_mm2(cut: MouldCut) -> tuple[float, float]:
    pixel = float(np.diff(cut.xs[:2])[0]) ** 2
    return np.count_nonzero(cut.solid) * pixel, np.count_nonzero(cut.liquid) * pixel


def test_a_tray_cut_through_its_middle():
    cut = mould_cut(StandingMould.of(tray()), pixels=200)
    solid, liquid = areas_mm2(cut)
    assert liquid == approx(50 * 20, rel=PIXEL_REL)
    assert solid == approx(60 * 30 - 50 * 20, rel=PIXEL_REL)
    assert cut.at_y_mm == approx(20, abs=0.5)


def test_below_the_rim_there_is_less_liquid():
    _, liquid = areas_mm2(mould_cut(StandingMould.of(tray()), 5.0, pixels=200))
    assert liquid == approx(50 * 15, rel=PIXEL_REL)


@pytest.mark.parametrize("up", [(1, 0, 0), (0, -1, 0)])
def test_the_cut_stands_as_the_mould_does(up):
    turned = {(1, 0, 0): [2, 0, 1], (0, -1, 0): [0, 2, 1]}[up]
    lying = tray().vertices[:, turned] * np.where(np.array(up) < 0, -1, 1)
    cut = mould_cut(StandingMould.of(Mesh(lying, tray().faces), up), pixels=200)
    assert cut.turn @ np.array(up) == approx([0, 0, 1])
    # Whichever side faces the eye, the liquid stands 20 high over one of the tray's sides.
    assert areas_mm2(cut)[1] in (approx(50 * 20, rel=PIXEL_REL), approx(30 * 20, rel=PIXEL_REL))


def test_a_hole_below_the_level_that_holds_nothing_stays_dry():
    """A tray on two legs: the room between them is open to the front and the back."""
    legs = carved(box((60, 40, 50), (0, 0, 0)), box((50, 30, 20.5), (5, 5, 30)), box((40, 42, 15), (10, -1, 5)))
    _, liquid = areas_mm2(mould_cut(StandingMould.of(legs), pixels=200))
    assert liquid == approx(50 * 20, rel=PIXEL_REL)


def test_rooms_that_meet_in_front_of_the_cut_are_both_wet():
    """A tray with a rib across its floor that ends short of one wall."""
    ribbed = carved(box((60, 40, 30), (0, 0, 0)), box((20, 30, 20.5), (5, 5, 10)), box((20, 30, 20.5), (35, 5, 10)),
                    box((50, 4, 20.5), (5, 5, 10)))  # fmt: skip
    _, liquid = areas_mm2(mould_cut(StandingMould.of(ribbed), pixels=200))
    assert liquid == approx(40 * 20, rel=PIXEL_REL)

"""What may be asked of a mould, and what the trade's habits fill in."""

from __future__ import annotations

import pytest
from pytest import approx

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.request import MouldRequest
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf

RUBBER = load_shelf().resins["tin-silicone"]


def request(**asked) -> MouldRequest:
    return MouldRequest(mix=MixRequest(resin=RUBBER), **asked)


def test_a_block_closes_round_the_master_and_a_skin_stands_on_the_board():
    assert not request().on_board
    assert request(open_face=True).on_board
    assert request(style="glove").on_board
    assert not request(style="glove", open_face=False).on_board


def test_room_is_left_all_round_but_under_what_stands_on_the_board():
    closed, open_ = request(clearance_mm=10).clearance, request(clearance_mm=10, open_face=True).clearance
    assert (closed.sides_mm, closed.above_mm, closed.below_mm) == (10, 10, 10)
    assert (open_.sides_mm, open_.above_mm, open_.below_mm) == (10, 10, 0)
    assert request(style="poured-over", thickness_mm=6).clearance.sides_mm == 6


def test_keys_go_by_the_rubber_they_stand_on():
    assert request(clearance_mm=12).key_size_mm == approx(4)
    assert request(style="glove", thickness_mm=7).key_size_mm == approx(7)
    assert request(key_radius_mm=5).key_size_mm == 5


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"parts": 3}, "A mould of 3 parts cannot be planned here; ask for 1 or 2."),
        ({"clearance_mm": 0}, "A clearance of 0 mm leaves no rubber; give one above 0 mm."),
        ({"style": "glove", "thickness_mm": -1}, "A skin of -1 mm is none; give a thickness above 0 mm."),
        ({"parts": 2, "open_face": True}, "A block in two parts has no open face; leave out one of the two."),
        (
            {"style": "glove", "parts": 2},
            "A skin of rubber comes in one part; leave out the parts, or plan a block in two.",
        ),
        ({"style": "glove", "coats": 0}, "The number of coats is 0; give a whole number of 1 or more."),
        ({"style": "glove", "coats": 2.5}, "The number of coats is 2.5; give a whole number of 1 or more."),
        ({"keys": -1}, "The number of keys is -1; give a whole number of 0 or more."),
        ({"key_radius_mm": 0}, "The radius of a key in mm is 0; give a number above 0."),
        ({"style": "gauntlet"}, "The style of the mould is 'gauntlet'; give block, glove or poured-over."),
        ({"stand": "upright"}, "The way to stand the master is 'upright'; give filed or smallest."),
        ({"thickener_percent": 50}, "50 % of thickener is out of reach; give 0 to 20 %."),
    ],
)
def test_moulds_that_make_no_sense_are_refused(asked, sentence):
    with pytest.raises(RequestError) as refused:
        request(**asked)
    assert str(refused.value) == sentence

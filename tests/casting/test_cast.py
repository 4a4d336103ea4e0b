"""What a solid cast may be asked for; its grams are held by the command's tests and the verification."""

from __future__ import annotations

import math

import pytest

from moldvol.casting.cast import CastRequest
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf

MIX = MixRequest(resin=load_shelf().resin("slow-urethane"))


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"copies": 0}, "The number of copies is 0; give a whole number of 1 or more."),
        ({"copies": 1.5}, "The number of copies is 1.5; give a whole number of 1 or more."),
        ({"sprues": ((20, -30),)}, "The length of a sprue in mm is -30; give a number above 0."),
        ({"sprues": ((8, 30), (math.nan, 30))}, "The diameter of a sprue in mm is nan; give a number above 0."),
        ({"cup_loss_g": -50}, "The loss in the cup in g is -50; give 0 or more."),
    ],
)
def test_casts_that_make_no_sense_are_refused(asked: dict[str, object], sentence: str) -> None:
    with pytest.raises(RequestError) as refused:
        CastRequest(mix=MIX, **asked)  # type: ignore[arg-type]
    assert str(refused.value) == sentence

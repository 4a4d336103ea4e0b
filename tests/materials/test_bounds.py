"""Each bound accepts what it should and refuses the rest in one sentence."""

from __future__ import annotations

import math

import pytest

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, positive


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_positive_refuses(bad: float) -> None:
    with pytest.raises(RequestError) as refusal:
        positive(bad, "density of the foam")
    assert str(refusal.value) == f"The density of the foam is {bad:g}; give a number above 0."


@pytest.mark.parametrize("bad", [-0.1, math.nan, math.inf])
def test_not_negative_refuses(bad: float) -> None:
    with pytest.raises(RequestError) as refusal:
        not_negative(bad, "overpack")
    assert str(refusal.value) == f"The overpack is {bad:g}; give 0 or more."


@pytest.mark.parametrize("bad", [0.9, 5.1, math.nan, math.inf])
def test_between_refuses(bad: float) -> None:
    with pytest.raises(RequestError) as refusal:
        between(bad, 1, 5, "index")
    assert str(refusal.value) == f"The index is {bad:g}; give a number from 1 to 5."


def test_the_value_comes_back() -> None:
    assert (positive(2.5, "x"), not_negative(0.0, "x"), between(1, 1, 5, "x")) == (2.5, 0.0, 1)

"""Each bound accepts what it should and refuses the rest in one sentence."""

from __future__ import annotations

import math

import numpy as np
import pytest

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, one_of, positive, whole_number


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


@pytest.mark.parametrize("bad", [0, -1, 1.5, 2.0, math.nan, math.inf])
def test_whole_number_refuses(bad: float) -> None:
    with pytest.raises(RequestError) as refusal:
        whole_number(bad, 1, "number of copies")  # type: ignore[arg-type]
    assert str(refusal.value) == f"The number of copies is {bad}; give a whole number of 1 or more."


def test_one_of_refuses_and_lists() -> None:
    with pytest.raises(RequestError) as refusal:
        one_of("mitten", ("block", "glove", "poured-over"), "style of the mould")
    assert str(refusal.value) == "The style of the mould is 'mitten'; give block, glove or poured-over."


def test_the_value_comes_back() -> None:
    assert (positive(2.5, "x"), not_negative(0.0, "x"), between(1, 1, 5, "x")) == (2.5, 0.0, 1)
    assert (whole_number(0, 0, "x"), whole_number(np.int64(7), 1, "x")) == (0, 7)

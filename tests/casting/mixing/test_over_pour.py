"""Nothing is taken out of a cup: the rest of the recipe grows."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.casting.mixing.over_pour import fill_up, poured_amounts
from moldvol.errors import RequestError

PAIRS = st.lists(st.tuples(st.floats(0.1, 1e4), st.floats(0, 1e4)), min_size=1, max_size=6)


@given(pairs=PAIRS)
def test_grown_masses_keep_the_ratio_and_what_is_poured(pairs: list[tuple[float, float]]) -> None:
    due, poured = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
    grown, surplus = fill_up(due, poured)
    assert all(mass >= done for mass, done in zip(grown, poured, strict=True))
    assert [mass / grown[0] for mass in grown] == pytest.approx([mass / due[0] for mass in due])
    assert surplus == pytest.approx(math.fsum(grown) - math.fsum(due), abs=1e-6 * math.fsum(grown))
    assert surplus >= 0


def test_names_in_any_case() -> None:
    assert poured_amounts({"a": 3, "catalyst": 1}, ["A", "B", "catalyst"]) == [3, 0, 1]


@pytest.mark.parametrize(
    ("poured", "sentence"),
    [
        ({"harden": 1}, "There is no harden in this mix; did you mean hardener?"),
        ({"C": 1}, "There is no C in this mix; it is mixed from resin, hardener."),
        ({"resin": -2}, "The amount of resin poured in g is -2; give 0 or more."),
        ({"resin": math.nan}, "The amount of resin poured in g is nan; give 0 or more."),
    ],
)
def test_what_cannot_have_been_poured(poured: dict[str, float], sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        poured_amounts(poured, ["resin", "hardener"])
    assert str(refusal.value) == sentence

"""What the book teaches: an allowance that covers, learned from enough pours, or an explanation."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from moldvol.casting.learned_allowance import allowance_from, learned_allowance
from moldvol.casting.pour_book import Pour, PourBook
from moldvol.errors import RequestError

ROUNDING = 1e-12


def poured(need: float, **changes: object) -> Pour:
    figures = {"resin": "fast", "mould": "mask", "net_g": 100.0, "planned_g": 108.0, "actual_g": 100 * (1 + need)}
    return Pour(**{**figures, **changes})


needs = st.floats(-0.05, 0.5)


@given(st.lists(needs, min_size=5, max_size=120))
def test_it_would_have_covered_95_per_cent(shares: list[float]) -> None:
    learned = allowance_from([poured(share) for share in shares], "mould mask")
    covered = sum(share <= learned.allowance + ROUNDING for share in shares)
    assert covered >= 0.95 * len(shares)
    assert learned.allowance >= 0
    assert learned.allowance == 0 or any(abs(share - learned.allowance) < 1e-9 for share in shares)


@given(st.lists(needs, min_size=5, max_size=60), st.floats(0, 0.5))
def test_a_hungrier_pour_never_lowers_it(shares: list[float], more: float) -> None:
    before = allowance_from([poured(share) for share in shares], "x").allowance
    hungrier = [*shares[:-1], shares[-1] + more]
    assert allowance_from([poured(share) for share in hungrier], "x").allowance >= before - ROUNDING


# Order statistics by hand (arithmetic): place ⌈0.95 (n + 1)⌉, at most n; chance place/(n + 1).
@pytest.mark.parametrize(
    ("count", "place", "chance"), [(5, 5, 5 / 6), (18, 18, 18 / 19), (19, 19, 0.95), (20, 20, 20 / 21), (39, 38, 0.95)]
)
def test_which_pour_it_is(count: int, place: int, chance: float) -> None:
    learned = allowance_from([poured(number / 100) for number in range(1, count + 1)], "x")
    assert learned.allowance == pytest.approx(place / 100)
    assert learned.expected_cover == pytest.approx(chance)


def test_the_explanation_says_what_it_is_good_for() -> None:
    learned = allowance_from([poured(need) for need in (0.02, 0.03, 0.05, 0.06, 0.08)], "mould mask")
    assert learned.explanation == (
        "An allowance of 8.0 % would have covered 5 of 5 pours of mould mask; "
        "the next is within it with a chance of about 83 %."
    )


def test_too_few_pours_are_explained(tmp_path: Path) -> None:
    learned = learned_allowance(PourBook(tmp_path / "none"), mould="mask")
    assert learned.allowance is None
    assert learned.explanation == (
        "The book has 0 usable pours of mould mask and 5 are needed to learn from; "
        "log more pours with their net mass, or give an allowance."
    )


def test_a_mould_with_few_pours_learns_from_its_resin(tmp_path: Path) -> None:
    book = PourBook(tmp_path / "pours.sqlite3")
    for number in range(5):
        book.add(poured(0.10, mould=f"mould {number}"))
    book.add(poured(0.30, resin="clear"))
    assert learned_allowance(book, mould="mask", resin="FAST").allowance == pytest.approx(0.10)
    assert learned_allowance(book, mould="mask", resin="clear").allowance is None


def test_spoiled_pours_and_those_without_net_mass_teach_nothing(tmp_path: Path) -> None:
    book = PourBook(tmp_path / "pours.sqlite3")
    for need in (0.01, 0.02, 0.03, 0.04):
        book.add(poured(need))
    book.add(poured(5.0, result="spoiled"))
    book.add(poured(5.0, net_g=None))
    assert learned_allowance(book, mould="mask").pours == 4
    book.add(poured(0.05))
    assert learned_allowance(book, mould="mask").allowance == pytest.approx(0.05)


def test_short_pours_are_said() -> None:
    pours = [poured(0.05)] * 4 + [poured(0.07, result="short")]
    (notice,) = allowance_from(pours, "x").notices
    assert notice.message == "1 of these pours ran short, so they needed even more than is on record."


def test_nothing_named_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RequestError) as refusal:
        learned_allowance(PourBook(tmp_path / "none"))
    assert str(refusal.value) == "An allowance is learned for a mould or a resin; name one of them."

"""The allowance that the pour book teaches: how much more than its net mass a mould or a resin has really taken."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from moldvol.casting.pour_book import Pour, PourBook
from moldvol.errors import RequestError
from moldvol.notices import Notice

COVER = 0.95
FEWEST_POURS = 5
# A full mould cannot have taken less than it holds; this much is left for the scale and the mesh. Common practice, no
# source.
MOST_BELOW_NET = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedAllowance:
    """A suggestion, or why there is none: *allowance* is a share on top of the net mass, ``None`` while too few pours.

    *expected_cover* is the chance that the next pour of the same kind needs no more, if it is like those before;
    *about* names the mould or resin whose pours were counted.
    """

    about: str
    allowance: float | None
    pours: int
    expected_cover: float | None
    explanation: str
    notices: tuple[Notice, ...] = ()


def learned_allowance(book: PourBook, *, mould: str | None = None, resin: str | None = None) -> LearnedAllowance:
    """What the book's pours of *mould* suggest; of *resin*, if the mould has too few of its own.

    Counted are pours that state their net mass, were not spoiled and took about that mass or more. Raises
    `RequestError` if neither is named, and `ShelfError` for a book that cannot be read.

    Method: see `allowance_from`.
    """
    found: list[tuple[str, Sequence[Pour]]] = []
    for kind, name in (("mould", mould), ("resin", resin)):
        if name is not None:
            pours = book.pours(mould=name) if kind == "mould" else book.pours(resin=name)
            found.append((f"{kind} {name}", [pour for pour in pours if _is_measured(pour)]))
    if not found:
        raise RequestError("An allowance is learned for a mould or a resin; name one of them.")
    about, measured = next((pair for pair in found if len(_that_tell(pair[1])) >= FEWEST_POURS), found[0])
    learned = allowance_from(_that_tell(measured), about)
    return replace(learned, notices=(*learned.notices, *_left_out(measured)))


def allowance_from(pours: Sequence[Pour], about: str) -> LearnedAllowance:
    """The allowance that would have covered 95 % of *pours*, which all state their net mass.

    Method: each pour needed actual/net − 1. Of n needs in order, the one at place ⌈0.95 (n + 1)⌉, or the largest if n
    is below that: always a need that occurred, never one interpolated below it. The next pour of the kind stays
    within it with a chance of place/(n + 1), whatever the distribution (Wilks 1941; plotting position of Weibull
    1939). So with 5 pours it is the largest of them, and good for 83 %; 95 % is reached with 19. Never below 0.
    """
    needs = sorted(pour.actual_g / pour.net_g - 1 for pour in pours if pour.net_g is not None)
    count = len(needs)
    if count < FEWEST_POURS:
        noun = "pour" if count == 1 else "pours"
        message = (
            f"The book has {count} usable {noun} of {about} and {FEWEST_POURS} are needed to learn from; "
            "log more pours with their net mass, or give an allowance."
        )
        return LearnedAllowance(about=about, allowance=None, pours=count, expected_cover=None, explanation=message)
    place = min(count, math.ceil(COVER * (count + 1)))
    allowance, cover = max(0.0, needs[place - 1]), place / (count + 1)
    message = (
        f"An allowance of {100 * allowance:.1f} % would have covered {_covered(needs, allowance)} of {count} pours of "
        f"{about}; the next is within it with a chance of about {100 * cover:.0f} %."
    )
    return LearnedAllowance(
        about=about,
        allowance=allowance,
        pours=count,
        expected_cover=cover,
        explanation=message,
        notices=_short_pours(pours),
    )


def below_net(pour: Pour) -> float:
    """The share by which *pour* took less than its mould holds; 0 if it took as much, or states no net mass."""
    return 0.0 if pour.net_g is None else max(0.0, 1 - pour.actual_g / pour.net_g)


def took_too_little(pour: Pour) -> bool:
    """Whether *pour* took so much less than its mould holds that it cannot have filled it: nothing is learned from it.

    >>> took_too_little(Pour(resin="r", mould="m", planned_g=137, net_g=125, actual_g=50))
    True
    """
    return below_net(pour) > MOST_BELOW_NET


def _is_measured(pour: Pour) -> bool:
    return pour.net_g is not None and pour.result != "spoiled"


def _that_tell(measured: Sequence[Pour]) -> list[Pour]:
    return [pour for pour in measured if not took_too_little(pour)]


def _left_out(measured: Sequence[Pour]) -> tuple[Notice, ...]:
    numbers = [str(pour.number) for pour in measured if took_too_little(pour)]
    if not numbers:
        return ()
    which = f"Pour {numbers[0]} is" if len(numbers) == 1 else f"Pours {', '.join(numbers)} are"
    them = "it" if len(numbers) == 1 else "each"
    message = (
        f"{which} not counted: {them} took over {100 * MOST_BELOW_NET:.0f} % less than the mould holds. "
        "'moldvol log remove NUMBER' takes back a pour that was entered wrong."
    )
    return (Notice("pours-not-counted", message),)


def _covered(needs: Sequence[float], allowance: float) -> int:
    return sum(need <= allowance for need in needs)


def _short_pours(pours: Sequence[Pour]) -> tuple[Notice, ...]:
    short = sum(pour.result == "short" for pour in pours)
    if not short:
        return ()
    return (
        Notice("learned-from-short", f"{short} of these pours ran short, so they needed even more than is on record."),
    )

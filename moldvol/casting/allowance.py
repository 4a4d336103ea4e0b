"""The share added for waste: the user's own, the one the pour book teaches, or the usual one. Masses in g."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from moldvol.materials.bounds import not_negative
from moldvol.notices import Notice

if TYPE_CHECKING:
    from moldvol.casting.learned_allowance import LearnedAllowance

# Waste in cups and on sticks when nobody says otherwise: common practice, no source.
SMALL_BATCH_G, SMALL_BATCH_ALLOWANCE = 100.0, 0.10
LARGE_BATCH_G, LARGE_BATCH_ALLOWANCE = 500.0, 0.05

AllowanceSource = Literal["usual", "stated", "learned"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """``share`` on top of the net mass; ``origin`` says in a few words where it is from, for the sheet."""

    share: float
    source: AllowanceSource
    origin: str
    notices: tuple[Notice, ...] = ()


def allowance_for(
    net_mass_g: float, *, stated: float | None = None, learned: LearnedAllowance | None = None
) -> Allowance:
    """The allowance on *net_mass_g*: what was *learned* if the book was asked and knows, *stated*, or else the usual.

    Where the book was asked and knows too little, a notice says so and the usual one is taken. Raises `RequestError`
    for a share below nothing, with which less would be mixed than the casts take.
    """
    if stated is not None:
        not_negative(stated, "allowance as a share")
    if learned is not None and learned.allowance is not None:
        origin = f"learned from {learned.pours} pours of {learned.about}"
        said = Notice("allowance-learned", learned.explanation)
        return Allowance(share=learned.allowance, source="learned", origin=origin, notices=(said, *learned.notices))
    if stated is not None:
        return Allowance(share=stated, source="stated", origin="as you said")
    usual = usual_allowance(net_mass_g)
    notices = () if learned is None else (_too_few(learned, usual),)
    return Allowance(share=usual, source="usual", origin="usual for this much, common practice", notices=notices)


def usual_allowance(net_mass_g: float) -> float:
    """The share added for waste when nobody says: 10 % up to 100 g, 5 % from 500 g, between them in proportion.

    Source: common practice, no source.

    >>> usual_allowance(50), round(usual_allowance(300), 3), usual_allowance(2000)
    (0.1, 0.075, 0.05)
    """
    if net_mass_g <= SMALL_BATCH_G:
        return SMALL_BATCH_ALLOWANCE
    if net_mass_g >= LARGE_BATCH_G:
        return LARGE_BATCH_ALLOWANCE
    way = (net_mass_g - SMALL_BATCH_G) / (LARGE_BATCH_G - SMALL_BATCH_G)
    return SMALL_BATCH_ALLOWANCE + way * (LARGE_BATCH_ALLOWANCE - SMALL_BATCH_ALLOWANCE)


def _too_few(learned: LearnedAllowance, usual: float) -> Notice:
    return Notice(
        "allowance-not-learned",
        f"{learned.explanation} Until then the usual {100 * usual:.2g} % are taken.",
    )

"""The share added for waste: the user's own, the one the pour book teaches, or the usual one. Masses in g."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from moldvol.materials.bounds import not_negative
from moldvol.materials.weighing.wetting import usual_loss_share
from moldvol.notices import Notice

if TYPE_CHECKING:
    from moldvol.casting.learned_allowance import LearnedAllowance

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
    usual = usual_loss_share(net_mass_g)  # waste is what stays in cups, so the practice is the same
    notices = () if learned is None else (_too_few(learned, usual),)
    return Allowance(share=usual, source="usual", origin="usual for this much, common practice", notices=notices)


def _too_few(learned: LearnedAllowance, usual: float) -> Notice:
    return Notice(
        "allowance-not-learned",
        f"{learned.explanation} Until then the usual {100 * usual:.2g} % are taken.",
    )

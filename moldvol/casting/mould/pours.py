"""The pours that a mould is made in: halves or coats, each mixed by itself. Volumes in mm³, masses in g."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from moldvol.casting.mixing.mix import plan_measured
from moldvol.casting.mixing.recipe import MixPlan
from moldvol.casting.mould.request import MouldRequest
from moldvol.casting.mould.rubber import Rubber
from moldvol.casting.needed import Needed
from moldvol.notices import Notice
from moldvol.quantities import MM3_PER_ML


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """Rubber that is mixed at one time: ``volume_mm3`` stays in the mould, ``mix`` has its share of the waste on top.

    ``skin_mm`` is how thick a glove is afterwards, None for what is poured; ``thickener_g`` is stirred in on top.
    """

    name: str
    volume_mm3: float
    mix: MixPlan
    skin_mm: float | None = None
    thickener_g: float = 0.0


def pours_of(rubber: Rubber, needed: Needed, request: MouldRequest) -> tuple[Pour, ...]:
    """The coats of a glove, else the halves or the whole of the rubber; together they are what is *needed*.

    Keys on a glove are made of the same mix as its last coat.
    """
    return tuple(_brushed(rubber, needed, request)) if rubber.coats else tuple(_poured(rubber, needed))


def mix_notices_of(pours: tuple[Pour, ...]) -> tuple[Notice, ...]:
    """What the recipes want said, each thing once: of the smallest pour, which is the hardest to weigh."""
    said: dict[str, Notice] = {}
    for pour in sorted(pours, key=lambda pour: pour.mix.total_mass_g):
        for notice in pour.mix.notices:
            said.setdefault(notice.code, notice)
    return tuple(said.values())


def _poured(rubber: Rubber, needed: Needed) -> Iterator[Pour]:
    for name, volume in rubber.pieces:
        yield Pour(name=name, volume_mm3=volume, mix=_mixed(volume, needed))


def _brushed(rubber: Rubber, needed: Needed, request: MouldRequest) -> Iterator[Pour]:
    last = len(rubber.coats)
    for number, coat in enumerate(rubber.coats, start=1):
        keys = rubber.keys.volume_mm3 if rubber.keys and number == last else 0.0
        mix = _mixed(coat.volume_mm3 + keys, needed)
        percent = request.thickener_percent if coat.thickened else 0.0
        yield Pour(
            name=f"coat {number}",
            volume_mm3=coat.volume_mm3 + keys,
            mix=mix,
            skin_mm=coat.skin_mm,
            thickener_g=mix.total_mass_g * percent / 100,
        )


def _mixed(volume_mm3: float, needed: Needed) -> MixPlan:
    volume_ml = volume_mm3 * (1 + needed.allowed.share) / MM3_PER_ML
    return plan_measured(replace(needed.mix.request, volume_ml=volume_ml))

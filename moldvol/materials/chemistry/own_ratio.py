"""A resin of the shelf with its ratio replaced by one worked out from the user's own data sheet."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from moldvol.errors import RequestError
from moldvol.materials.chemistry.stoichiometry import WeightParts, epoxy_parts, urethane_parts
from moldvol.materials.grade import Grade
from moldvol.materials.resin import Kind, Part, Resin

PART_NAMES = {"epoxy": ("resin", "hardener"), "polyurethane": ("polyol", "isocyanate")}
_WITH_ARTICLE = {"epoxy": "an epoxy", "polyurethane": "a polyurethane"}
SUITS: dict[str, tuple[Kind, ...]] = {"epoxy": ("epoxy",), "polyurethane": ("polyurethane", "foam")}


def with_parts(resin: Resin, parts: WeightParts) -> Resin:
    """*resin* mixed in the ratio *parts*; everything else, pot life above all, is still that of the shelf's entry.

    Its parts are then called resin and hardener, or polyol and isocyanate, and their densities are unknown.
    Raises `RequestError` if the figures belong to another kind of resin.
    """
    if resin.kind not in SUITS[parts.kind]:
        raise RequestError(
            f"{resin.name} is {resin.kind}, and {parts.basis} belongs to {_WITH_ARTICLE[parts.kind]}; "
            "choose another resin.",
            value=parts.basis,
        )
    first, second = PART_NAMES[parts.kind]
    return replace(
        resin,
        parts=(Part(name=first, by_weight=100.0), Part(name=second, by_weight=parts.hardener_per_100)),
        grades=MappingProxyType({**resin.grades, "parts": Grade("own figure", parts.basis)}),
    )


def parts_from_figures(
    *,
    eew: float | None = None,
    ahew: float | None = None,
    oh_value: float | None = None,
    nco_percent: float | None = None,
    index: float | None = None,
) -> WeightParts | None:
    """The ratio by whichever figures were given: EEW with AHEW, or OH value with NCO (and an index); ``None`` for none.

    Raises `RequestError` for half a pair, for both pairs, or an index without its pair.

    >>> round(parts_from_figures(eew=190, ahew=43).hardener_per_100, 1)
    22.6
    """
    epoxy = _pair("EEW", eew, "AHEW", ahew)
    urethane = _pair("OH value", oh_value, "NCO content", nco_percent)
    if epoxy and urethane:
        raise RequestError("EEW and AHEW are for an epoxy, OH value and NCO for a polyurethane; give one pair.")
    if index is not None and not urethane:
        raise RequestError(f"An index of {index:g} needs an OH value and an NCO content; give both.")
    if epoxy:
        return epoxy_parts(eew=epoxy[0], ahew=epoxy[1])
    if urethane:
        return urethane_parts(oh_value=urethane[0], nco_percent=urethane[1], index=1.0 if index is None else index)
    return None


def _pair(name: str, value: float | None, other: str, other_value: float | None) -> tuple[float, float] | None:
    if value is not None and other_value is not None:
        return value, other_value
    if value is not None or other_value is not None:
        given, missing = (name, other) if value is not None else (other, name)
        raise RequestError(f"The {given} alone makes no ratio; give the {missing} too.")
    return None

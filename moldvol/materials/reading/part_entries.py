"""The parts and the catalyst of a resin in a shelf file: a ratio as printed on the cans, or worked out from figures."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from moldvol.errors import RequestError, ShelfError
from moldvol.materials import kinds
from moldvol.materials.chemistry.own_ratio import PART_NAMES, SUITS, parts_from_figures
from moldvol.materials.chemistry.stoichiometry import WeightParts
from moldvol.materials.reading.entry_types import Above0, Density, NotNegative, Percent, Text
from moldvol.materials.reading.shelf_file import Place, listed, plain
from moldvol.materials.resin import Catalyst, Kind, Part


class PartEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """One part of a resin, as written."""

    name: Text
    by_weight: Above0 | None = None
    by_volume: Above0 | None = None
    density_g_ml: Density | None = None


class CatalystEntry(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """The catalyst of a polyester, as written."""

    name: Text = "catalyst"
    percent_low: Percent = 1.0
    percent_usual: Percent = 1.5
    percent_high: Percent = 2.0
    density_g_ml: Density = kinds.PEROXIDE_DENSITY_G_ML
    price_per_kg: NotNegative | None = None


def parts_of(entries: Sequence[PartEntry], kind: Kind, own: WeightParts | None, place: Place) -> tuple[Part, ...]:
    """The parts with their ratio, which *own* figures may give instead of the parts themselves.

    Raises `ShelfError` for parts that make no ratio, or two.
    """
    if own is not None:
        return _parts_of_figures(entries, own, place)
    if not entries:
        raise place.wrong("parts", "this key is missing; add it.")
    if len(entries) == 1:
        _check_lone_part(entries[0], kind, place)
        alone = entries[0]
        return (Part(name=alone.name, by_weight=alone.by_weight or 100.0, density_g_ml=alone.density_g_ml),)
    _check_ratio(entries, place)
    _check_names(entries, place)
    return tuple(
        Part(name=part.name, by_weight=part.by_weight, by_volume=part.by_volume, density_g_ml=part.density_g_ml)
        for part in entries
    )


def own_ratio_of(figures: dict[str, float | None], kind: Kind, place: Place) -> WeightParts | None:
    """The ratio by the *figures* of a data sheet (``eew``, ``ahew``, ``oh_value``, ``nco_percent``, ``index``).

    ``None`` where none is given. Raises `ShelfError` for half a pair, both pairs, or another kind's.
    """
    given = [key for key, value in figures.items() if value is not None]
    if not given:
        return None
    try:
        own = parts_from_figures(**figures)
    except RequestError as error:
        raise _in_place(error, given[0], place) from None
    if own is None or kind in SUITS[own.kind]:
        return own
    right = " or a ".join(SUITS[own.kind])
    raise place.wrong(given[0], f"only for a resin of the kind {right}, not {kind}; give its parts instead.")


def catalyst_of(given: CatalystEntry | None, parts: int, kind: Kind, place: Place) -> Catalyst | None:
    """The catalyst of a polyester of one part, the usual one if not *given*. Raises `ShelfError` for one too many."""
    if kind != "polyester":
        if given is not None:
            raise place.wrong("catalyst", f"only a polyester has a catalyst, not a {kind}; write it as a part.")
        return None
    if parts > 1:
        if given is not None:
            raise place.wrong("catalyst", "the catalyst is among the parts already; remove one of the two.")
        return None
    wanted = given or CatalystEntry()
    if not wanted.percent_low <= wanted.percent_usual <= wanted.percent_high:
        raise place.wrong(
            "catalyst, percent_usual",
            f"a number from {wanted.percent_low:g} to {wanted.percent_high:g} is expected, "
            f"not {wanted.percent_usual:g}; correct it.",
        )
    return Catalyst(**msgspec.structs.asdict(wanted))


def _parts_of_figures(entries: Sequence[PartEntry], own: WeightParts, place: Place) -> tuple[Part, ...]:
    names = PART_NAMES[own.kind]
    named = entries or tuple(PartEntry(name=name) for name in names)
    if len(named) != 2:
        raise place.wrong(
            "parts", f"two parts are expected with {own.basis}, not {len(named)}; name {' and '.join(names)}."
        )
    for number, part in enumerate(named, start=1):
        if part.by_weight is not None or part.by_volume is not None:
            raise place.wrong(f"parts {number}", f"the ratio follows from {own.basis} already; remove one of the two.")
    _check_names(named, place)
    return tuple(
        Part(name=part.name, by_weight=share, density_g_ml=part.density_g_ml)
        for part, share in zip(named, own.parts, strict=True)
    )


def _in_place(error: RequestError, key: str, place: Place) -> ShelfError:
    sentence = error.message
    if sentence[1:2].islower() or sentence[1:2] == " ":  # not of an abbreviation such as EEW
        sentence = sentence[:1].lower() + sentence[1:]
    return place.wrong(key, sentence)


def _check_names(parts: Sequence[PartEntry], place: Place) -> None:
    names = [part.name.casefold() for part in parts]
    if len(set(names)) < len(names):
        raise place.wrong("parts", f"every part needs a name of its own, not {listed(names)}; rename one.")


def _check_lone_part(part: PartEntry, kind: Kind, place: Place) -> None:
    if kind != "polyester":
        raise place.wrong("parts", f"two parts are expected in a {kind}, not one; add the other part.")
    if part.by_volume is not None:
        raise place.wrong("parts 1, by_volume", "a polyester takes its catalyst by weight; write by_weight instead.")


def _check_ratio(parts: Sequence[PartEntry], place: Place) -> None:
    numbered = [(f"parts {number}", part) for number, part in enumerate(parts, start=1)]
    for key, part in numbered:
        if part.by_weight is None and part.by_volume is None:
            raise place.wrong(key, f"by_weight or by_volume is missing for the part {plain(part.name)}; add one.")
    if all(part.by_weight is not None for part in parts):
        return
    for key, part in numbered:
        if part.by_volume is None:
            raise place.wrong(key, "the parts must all be by_weight or all by_volume, not mixed; add by_volume here.")
        if part.density_g_ml is None:
            raise place.wrong(f"{key}, density_g_ml", "a ratio by volume can be weighed only with densities; add it.")

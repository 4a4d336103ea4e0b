"""What a heat estimate must say beside its numbers: every threshold is told with the band, none as a licence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from moldvol.notices import Notice

# All three: common practice, no source worth citing.
CRACK_C = 120.0
CHAR_C = 180.0
BURN_C = 60.0
DOUBTFUL_GRID_K = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HotSpots:
    """The temperatures that cautions hang on."""

    peak_low_c: float
    peak_high_c: float
    face_low_c: float
    face_high_c: float
    mould: str
    face_limit_c: float | None
    boils_c: float | None
    grid_error_k: float


def heat_notices(spots: HotSpots) -> tuple[Notice, ...]:
    """The remarks that go with a heat plan; the first always does."""
    return (_estimate(spots), *_of_mould(spots), *_of_resin(spots))


def _estimate(spots: HotSpots) -> Notice:
    return Notice(
        "heat-estimate",
        f"The peak is an estimate between {spots.peak_low_c:.0f} and {spots.peak_high_c:.0f} °C from one cup on the "
        "data sheet and figures of the whole class: it is no promise that a pour is safe, so try a small one first, "
        "stay by it and keep it away from anything that burns.",
    )


def _of_mould(spots: HotSpots) -> Iterator[Notice]:
    limit = spots.face_limit_c
    if limit is not None and spots.face_high_c > limit:
        sure = "will probably" if spots.face_low_c > limit else "may"
        yield Notice(
            "mould-limit",
            f"The {spots.mould}'s face {sure} pass the {limit:.0f} °C it bears (estimate "
            f"{spots.face_low_c:.0f} to {spots.face_high_c:.0f} °C): the mould can scorch, stick or crack.",
        )
    if spots.face_high_c > BURN_C:
        yield Notice(
            "hot-surface",
            f"What touches the resin may reach {spots.face_high_c:.0f} °C, enough to burn skin; let it cool first.",
        )


def _of_resin(spots: HotSpots) -> Iterator[Notice]:
    high = spots.peak_high_c
    if spots.boils_c is not None and high > spots.boils_c:
        yield Notice(
            "boiling",
            f"The core may pass {spots.boils_c:.0f} °C, where styrene boils: bubbles, cracks and flammable vapour.",
        )
    if high > CHAR_C:
        sure = "will probably" if spots.peak_low_c > CHAR_C else "may"
        yield Notice(
            "char",
            f"The core {sure} pass {CHAR_C:.0f} °C (estimate up to {high:.0f} °C), where resins smoke, char and can "
            "catch fire: do not pour it as it is; what would help is computed beside this.",
        )
    elif high > CRACK_C:
        yield Notice(
            "crack",
            f"The core may pass {CRACK_C:.0f} °C (estimate up to {high:.0f} °C), where thick casts are often seen to "
            "crack or yellow, and fume more.",
        )
    if spots.grid_error_k > DOUBTFUL_GRID_K:
        yield Notice(
            "coarse-heat",
            f"The grid leaves {spots.grid_error_k:.0f} K open: the cure runs through this resin faster than it can "
            "follow, so read the hot end of the band.",
        )

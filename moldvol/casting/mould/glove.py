"""A glove of rubber brushed on in coats, and the same skin poured into the gap under a jacket.

Lengths in mm, volumes in mm³. The first coat is thin and takes the detail; the others are thickened so
that they stay on the walls.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi

from moldvol.errors import RequestError
from moldvol.geometry.field.parallel import ParallelBodies
from moldvol.geometry.field.volume import Volume

# Common practice, no source.
USUAL_DETAIL_MM = 1.0
THICKEST_COAT_MM = 3.0  # a thickened coat slides down above this
USUAL_FLANGE_MM = 20.0


@dataclass(frozen=True, slots=True)
class Coat:
    """One coat: the skin's thickness when it is on, and what it takes; ``thickened`` unless it is the detail coat."""

    skin_mm: float
    thickness_mm: float
    volume_mm3: float
    thickened: bool


@dataclass(frozen=True, slots=True)
class Flange:
    """The rim of rubber on the board around the glove."""

    width_mm: float
    thickness_mm: float
    area_mm2: float
    volume_mm3: float


def coat_ends_mm(
    thickness_mm: float, detail_mm: float = USUAL_DETAIL_MM, coats: int | None = None
) -> tuple[float, ...]:
    """Thickness of the skin after each coat: the detail coat, then equal ones: *coats* in all, or of at most 3 mm.

    Raises `RequestError` for a skin or a detail coat of nothing, and for more coats than the detail coat leaves room
    for.

    >>> coat_ends_mm(8.0)
    (1.0, 3.3333333333333335, 5.666666666666667, 8.0)
    >>> coat_ends_mm(8.0, coats=3)
    (1.0, 4.5, 8.0)
    """
    if not thickness_mm > 0:
        raise RequestError(f"A glove of {thickness_mm:g} mm is none; give a thickness above 0 mm.")
    if not detail_mm > 0:
        raise RequestError(f"A detail coat of {detail_mm:g} mm is none; give one of about {USUAL_DETAIL_MM:g} mm.")
    if thickness_mm <= detail_mm and (coats or 1) > 1:
        raise RequestError(
            f"A skin of {thickness_mm:g} mm is done with the detail coat of {detail_mm:g} mm; ask for one coat, a "
            "thinner detail coat or a thicker skin."
        )
    if thickness_mm <= detail_mm or coats == 1:
        return (thickness_mm,)
    count = coats - 1 if coats else max(1, ceil(round((thickness_mm - detail_mm) / THICKEST_COAT_MM, 9)))
    step = (thickness_mm - detail_mm) / count
    return (detail_mm, *(detail_mm + step * number for number in range(1, count)), thickness_mm)


def plan_coats(bodies: ParallelBodies, ends_mm: tuple[float, ...], flange: Flange | None) -> tuple[Coat, ...]:
    """The coats that build the skin up to *ends_mm*; the flange grows with them in proportion.

    Method: each coat is the difference of two parallel bodies, so on a small part the later coats take more.
    """
    rim = 0.0 if flange is None else flange.volume_mm3 / ends_mm[-1]
    coats: list[Coat] = []
    below_mm, below_mm3 = 0.0, 0.0
    for end in ends_mm:
        volume = bodies.added(end).volume_mm3 + rim * end
        coat = volume - below_mm3
        coats.append(Coat(end, end - below_mm, coat, thickened=below_mm > 0))
        below_mm, below_mm3 = end, volume
    return tuple(coats)


def plan_flange(bodies: ParallelBodies, skin_mm: float, width_mm: float) -> Flange | None:
    """The rim *width_mm* wide around a glove that stands on a board; none where it does not, or for no width.

    Method: a band of that width around an outline of length g has the area g w + π w².
    """
    if width_mm < 0:
        raise RequestError(f"A flange of {width_mm:g} mm is below nothing; give a width of 0 mm or more.")
    if bodies.foot_mm is None or width_mm == 0:
        return None
    area = bodies.girth_mm(skin_mm) * width_mm + pi * width_mm**2
    return Flange(width_mm, skin_mm, area, area * skin_mm)


def skin_volume(bodies: ParallelBodies, skin_mm: float, flange: Flange | None) -> Volume:
    """Volume of the whole skin with its flange."""
    added = bodies.added(skin_mm)
    return Volume(added.volume_mm3 + (flange.volume_mm3 if flange else 0.0), added.error_mm3)

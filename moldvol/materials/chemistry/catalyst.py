"""Peroxide catalyst for polyester, on top of the resin: per cent by weight as g, ml and drops, by temperature.

The dose by temperature follows open trade guides; it is common practice, and the resin's own data sheet goes before it.
"""

from __future__ import annotations

from dataclasses import dataclass

from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative, positive
from moldvol.materials.resin import Catalyst, Resin
from moldvol.notices import Notice

REFUSED_BELOW_C = 10.0
WARNED_BELOW_C = 15.0
WARNED_ABOVE_C = 30.0
LEAST_PERCENT, MOST_PERCENT = 0.5, 4.0  # thick casts go down to 0.5; above 4 the cure can fail
THICK_PERCENT = (0.5, 1.0)  # common practice, no source: a thick cast heats itself
THICK_MM = 25.0  # common practice, no source
DROPS_PER_ML = 30.0  # common practice, no source: droppers give 20 to 40; ten drops on a scale tell

# An open trade guide: 1 % from 20 °C, 2 % from 16, 3 % from 13; so many per cent more than the usual dose.
_MORE_FROM_C = ((20.0, 0.0), (16.0, 1.0), (REFUSED_BELOW_C, 2.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalystDose:
    """So much catalyst for so much resin. ``drops`` at ``drops_per_ml``, a rough count.

    ``haste`` is how many times as fast the resin gels as with its usual dose; a smaller dose is not counted on.
    """

    percent: float
    mass_g: float
    volume_ml: float
    drops: int
    drops_per_ml: float
    haste: float = 1.0
    notices: tuple[Notice, ...] = ()


def catalyst_dose(
    resin: Resin,
    resin_mass_g: float,
    bench_c: float,
    *,
    percent: float | None = None,
    section_mm: float | None = None,
    drops_per_ml: float = DROPS_PER_ML,
) -> CatalystDose:
    """Catalyst for *resin_mass_g* of a polyester at *bench_c*; *percent* by weight if the user has chosen it.

    *section_mm* is the thickest section of the cast, where it is known. Raises `RequestError` for a bench too cold to
    cure, a dose that cannot cure, or a resin that takes no catalyst.
    """
    catalyst = _catalyst_of(resin)
    if bench_c < REFUSED_BELOW_C:
        raise RequestError(
            f"At {bench_c:g} °C polyester does not cure properly; warm bench, mould and resin to {WARNED_BELOW_C:g} °C "
            "or more.",
            value=bench_c,
        )
    chosen = usual_percent(catalyst, bench_c, section_mm) if percent is None else _possible(percent)
    mass_g = not_negative(resin_mass_g, "mass of resin in g") * chosen / 100
    volume_ml = mass_g / catalyst.density_g_ml
    return CatalystDose(
        percent=chosen,
        mass_g=mass_g,
        volume_ml=volume_ml,
        drops=round(volume_ml * positive(drops_per_ml, "drops to a ml")),
        drops_per_ml=drops_per_ml,
        haste=max(1.0, chosen / catalyst.percent_usual),  # from memory: gel time runs about inversely with the dose
        notices=_halved(catalyst, chosen, bench_c, section_mm) + _notices(catalyst, chosen, bench_c, section_mm),
    )


def usual_percent(catalyst: Catalyst, bench_c: float, section_mm: float | None = None) -> float:
    """The usual dose at a temperature, in per cent by weight, kept within the range of this catalyst.

    Method: the usual dose from 20 °C, 1 % more from 16 °C and 2 % more below (an open trade guide); half of it and at
    most 1 % for a thick cast, yet never below the range.
    """
    by_temperature = catalyst.percent_usual + next(more for from_c, more in _MORE_FROM_C if bench_c >= from_c)
    if section_mm is not None and section_mm >= THICK_MM:
        least = max(THICK_PERCENT[0], catalyst.percent_low)  # below its range a catalyst may never cure the resin
        return max(min(by_temperature / 2, THICK_PERCENT[1]), least)
    return min(max(by_temperature, catalyst.percent_low), catalyst.percent_high)


def _catalyst_of(resin: Resin) -> Catalyst:
    if resin.catalyst is None:
        raise RequestError(f"{resin.name} takes no catalyst: its parts are {', '.join(p.name for p in resin.parts)}.")
    return resin.catalyst


def _possible(percent: float) -> float:
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise RequestError(
            f"{percent:g} % of catalyst does not cure well; give {LEAST_PERCENT:g} to {MOST_PERCENT:g} % by weight.",
            value=percent,
        )
    return percent


def _halved(catalyst: Catalyst, percent: float, bench_c: float, section_mm: float | None) -> tuple[Notice, ...]:
    thin = usual_percent(catalyst, bench_c)
    if section_mm is None or section_mm < THICK_MM or percent >= thin:
        return ()
    told = (
        f"A section of {section_mm:.0f} mm keeps its heat, so it gets {percent:g} % of catalyst in place of {thin:g} %."
    )
    return (Notice("catalyst-less", told),)


def _notices(catalyst: Catalyst, percent: float, bench_c: float, section_mm: float | None) -> tuple[Notice, ...]:
    said = []
    if bench_c < WARNED_BELOW_C:
        said.append(
            Notice("catalyst-cold", f"{bench_c:g} °C is too cold for a sure cure: warm the workshop to 15 °C or more.")
        )
    if bench_c > WARNED_ABOVE_C:
        said.append(Notice("catalyst-hot", f"At {bench_c:g} °C polyester gels very fast: wait for a cooler hour."))
    if section_mm is not None and section_mm >= THICK_MM and percent > THICK_PERCENT[1]:
        said.append(
            Notice(
                "catalyst-thick",
                f"{percent:g} % is a lot for a section of {section_mm:.0f} mm: thick casts take 0.5 to 1 % or crack.",
            )
        )
    elif not THICK_PERCENT[0] <= percent <= catalyst.percent_high:
        said.append(
            Notice(
                "catalyst-dose",
                f"{percent:g} % is outside the usual {catalyst.percent_low:g} to {catalyst.percent_high:g} % here.",
            )
        )
    said.append(
        Notice(
            "catalyst-by-volume",
            f"1 % is not 10 ml to the kilogram but {10 / catalyst.density_g_ml:.1f} ml: this catalyst weighs "
            f"{catalyst.density_g_ml:g} g/ml.",
        )
    )
    return tuple(said)

"""Vacuum and pressure around a pour: the container, the bubbles, whether the mould goes in, whether there is time.

Lengths in mm, volumes in ml, times in s, pressures in Pa.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from moldvol.casting.mixing.mix import haste_of
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.errors import RequestError
from moldvol.materials.bounds import between
from moldvol.materials.cautions import caution, cautions_for
from moldvol.materials.chemistry.pot_life import pot_life
from moldvol.materials.resin import Resin
from moldvol.materials.vessels.pressure import (
    BubbleShrinkage,
    ClosingTime,
    Vessel,
    VesselFit,
    VesselHazard,
    box_in_vessel,
    bubble_shrinkage,
    closing_time,
    marking_notices,
    round_in_vessel,
    vacuum_lid_force_n,
    vessel_hazard,
)
from moldvol.materials.vessels.vacuum import USUAL_AIR_SHARE, Degassing, degas
from moldvol.notices import Notice

# How long each step takes when nobody says: common practice, no source.
USUAL_MIXING_S, USUAL_DEGASSING_S, USUAL_POURING_S = 60.0, 120.0, 30.0
USUAL_CLOSING_S, USUAL_PRESSURISING_S = 30.0, 60.0
_CONTAINER_CLEARANCE_MM = 5.0
# Less of the pot life than that is no time left over: common practice, no source.
_LEAST_SPARE_S, _LEAST_SPARE_SHARE = 30.0, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """What has to be done between the first stir and the closed vessel, and how long each takes, s."""

    mixing_s: float = USUAL_MIXING_S
    degassing_s: float = USUAL_DEGASSING_S
    pouring_s: float = USUAL_POURING_S
    closing_s: float = USUAL_CLOSING_S
    pressurising_s: float = USUAL_PRESSURISING_S


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselRequest:
    """What is at hand. ``absolute_pa`` is the vacuum to pump to, ``gauge_pa`` the pressure to cast under; one or both.

    ``mould_mm`` is (length, width, height) of a box, or (diameter, height) of a round one; ``marked_gauge_pa`` the
    greatest pressure that the maker has marked on the vessel.
    """

    resin: Resin | None = None
    bench_c: float | None = None
    liquid_ml: float | None = None
    absolute_pa: float | None = None
    gauge_pa: float | None = None
    air_share: float = USUAL_AIR_SHARE
    altitude_m: float = 0.0
    inside_mm: tuple[float, float] | None = None
    marked_gauge_pa: float | None = None
    mould_mm: tuple[float, ...] | None = None
    steps: Steps = field(default_factory=Steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselPlan:
    """Everything that could be worked out of the request; None where it does not say enough.

    ``container_mm`` is width and height of one straight container for all of the mix.
    """

    request: VesselRequest
    degassing: Degassing | None
    container_mm: float | None
    container_fit: VesselFit | None
    bubbles: BubbleShrinkage | None
    fit: VesselFit | None
    hazard: VesselHazard | None
    vacuum_lid_n: float | None
    time: ClosingTime | None
    notices: tuple[Notice, ...]
    cautions: tuple[str, ...]


def plan_vessel(request: VesselRequest) -> VesselPlan:
    """The answers to *request*.

    Raises `RequestError` for neither vacuum nor pressure nor a mould with its vessel, and for a vacuum without an
    amount or an amount without it.
    """
    _check(request)
    degassing = _degassing(request)
    container_mm = None if degassing is None else _as_wide_as_high_mm(degassing.container_ml)
    inside = None if request.inside_mm is None else Vessel(*request.inside_mm, request.marked_gauge_pa)
    return VesselPlan(
        request=request,
        degassing=degassing,
        container_mm=container_mm,
        container_fit=_container_fit(container_mm, inside),
        bubbles=None if request.gauge_pa is None else bubble_shrinkage(request.gauge_pa, altitude_m=request.altitude_m),
        fit=_fit(request.mould_mm, inside),
        hazard=None if inside is None or request.gauge_pa is None else vessel_hazard(inside, request.gauge_pa),
        vacuum_lid_n=None
        if inside is None or request.absolute_pa is None
        else vacuum_lid_force_n(inside.inner_diameter_mm, altitude_m=request.altitude_m),
        time=(time := _time(request)),
        notices=_notices(request, degassing, _fit(request.mould_mm, inside), time),
        cautions=_cautions(request),
    )


def _check(request: VesselRequest) -> None:
    between(100 * request.air_share, 0, 100, "air stirred in, in per cent of the liquid,")
    if request.absolute_pa is None and request.liquid_ml is not None:
        raise RequestError("How far is it pumped? Add what the vacuum gauge shows, like 29inhg.")
    fit_asked = request.mould_mm is not None and request.inside_mm is not None
    if request.absolute_pa is None and request.gauge_pa is None and not fit_asked:
        raise RequestError("There is nothing to work out; give a vacuum like 29inhg, a pressure like 60psi, or both.")
    if request.absolute_pa is not None and request.liquid_ml is None:
        raise RequestError("How much is degassed? Add the amount, like 500ml.")


def _degassing(request: VesselRequest) -> Degassing | None:
    if request.absolute_pa is None or request.liquid_ml is None:
        return None
    return degas(
        request.liquid_ml,
        absolute_pa=request.absolute_pa,
        air_share=request.air_share,
        altitude_m=request.altitude_m,
    )


def _as_wide_as_high_mm(volume_ml: float) -> float:
    return math.cbrt(4 * volume_ml * 1000 / math.pi)


def _container_fit(container_mm: float | None, inside: Vessel | None) -> VesselFit | None:
    if container_mm is None or inside is None:
        return None
    return round_in_vessel(container_mm, container_mm, inside, clearance_mm=_CONTAINER_CLEARANCE_MM)


def _fit(mould_mm: tuple[float, ...] | None, inside: Vessel | None) -> VesselFit | None:
    if mould_mm is None or inside is None:
        return None
    if len(mould_mm) == 2:
        return round_in_vessel(mould_mm[0], mould_mm[1], inside)
    length, width, height = mould_mm
    return box_in_vessel((length, width, height), inside)


def _time(request: VesselRequest) -> ClosingTime | None:
    """Pot life against the steps in hand: degassing where a vacuum is drawn, closing where pressure is let in."""
    resin, steps = request.resin, request.steps
    if resin is None:
        return None
    bench_c = resin.pot_life_temperature_c if request.bench_c is None else request.bench_c
    mass_g = None if request.liquid_ml is None else request.liquid_ml * resin.cured_density_g_ml
    haste = haste_of(MixRequest(resin=resin, bench_c=bench_c))
    life_s = pot_life(resin, bench_c, mass_g, faster=haste).pot_s
    pumped_s = steps.degassing_s if request.absolute_pa is not None else 0.0
    if request.gauge_pa is None:
        return _pouring_time(life_s, steps.mixing_s + pumped_s + steps.pouring_s)
    return closing_time(
        life_s,
        mix_s=steps.mixing_s + pumped_s,
        pour_s=steps.pouring_s,
        close_s=steps.closing_s,
        pressurise_s=steps.pressurising_s,
    )


def _pouring_time(life_s: float, needed_s: float) -> ClosingTime:
    late = Notice(
        "pours-late",
        f"It is poured {needed_s - life_s:.0f} s after the pot life: skip the vacuum, pump for less long, or take a "
        "slower resin.",
    )
    return ClosingTime(pot_life_s=life_s, needed_s=needed_s, notices=(late,) * (needed_s > life_s))


def _notices(
    request: VesselRequest, degassing: Degassing | None, fit: VesselFit | None, time: ClosingTime | None
) -> tuple[Notice, ...]:
    pumped = () if degassing is None else degassing.notices
    if request.resin is not None and request.resin.kind != "polyester":
        pumped = tuple(notice for notice in pumped if notice.code != "styrene-boils")
    marked = () if request.gauge_pa is None else marking_notices(request.marked_gauge_pa, request.gauge_pa)
    timed = () if time is None else (*time.notices, *_tight(time))
    return (*marked, *(fit.notices if fit else ()), *timed, *pumped)


def _tight(time: ClosingTime) -> tuple[Notice, ...]:
    if not 0 <= time.spare_s < max(_LEAST_SPARE_S, _LEAST_SPARE_SHARE * time.pot_life_s):
        return ()
    message = (
        f"With {time.spare_s:.0f} s of the pot life left over the time is too tight: a warm day or a slip takes more. "
        "Rehearse it dry, cool the parts, or take a slower resin."
    )
    return (Notice("time-tight", message),)


def _cautions(request: VesselRequest) -> tuple[str, ...]:
    vessel = (caution("pressure"),) * (request.gauge_pa is not None)
    vessel += (caution("vacuum"),) * (request.absolute_pa is not None)
    if request.resin is None:
        return (*vessel, caution("sheet"))
    *most, last = cautions_for(request.resin)
    return (*vessel, *most, last)

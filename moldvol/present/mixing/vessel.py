"""How a vacuum and a pressure vessel are told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from moldvol.casting.vessel import VesselPlan
from moldvol.materials.vessels.pressure import ClosingTime, VesselFit
from moldvol.materials.vessels.vacuum import Degassing
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.mixing.figures import grade_name
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, grave, messages

_STANDARD_GRAVITY_M_S2 = 9.80665


def report(plan: VesselPlan, units: Units) -> Report:
    """The sheet: whether it can be done, then vacuum, pressure, vessel and time."""
    sections = (
        *([_vacuum(plan, plan.degassing, units)] if plan.degassing else []),
        *_pressure(plan, units),
        *_vessel(plan, units),
        *([_time(plan, plan.time)] if plan.time else []),
    )
    neither = plan.degassing is None and plan.bubbles is None
    return Report(
        "Mould and vessel" if neither else "Vacuum and pressure",
        _verdict(plan),
        sections,
        messages(plan.notices),
        plan.cautions,
        line=" ".join([*_air(plan, units), _verdict(plan)]).strip(),
        grave=grave(plan.notices),
    )


def _air(plan: VesselPlan, units: Units) -> Iterator[str]:
    if plan.degassing is not None:
        container = numbers.volume(plan.degassing.container_ml * 1000, units)
        yield f"Under vacuum it froths up {numbers.significant(plan.degassing.rise, 3)} ×: take {container}."
    if plan.bubbles is not None:
        yield f"Under pressure bubbles keep {numbers.per_cent(plan.bubbles.volume_ratio)} of their volume."


def _verdict(plan: VesselPlan) -> str:
    # A vessel above its mark is told even where remarks are not wanted.
    said = [notice.message for notice in plan.notices if notice.code == "vessel-overpressure"]
    if plan.fit is not None:
        said.append("The mould fits." if plan.fit.fits else "The mould does not fit.")
    if plan.time is not None:
        spare = numbers.duration(abs(plan.time.spare_s))
        tight = any(notice.code == "time-tight" for notice in plan.notices)
        left = f"Time left over: {spare}{', too tight' if tight else ''}."
        said.append(left if plan.time.enough else f"It is {spare} too late.")
    return " ".join(said)


def _vacuum(plan: VesselPlan, air: Degassing, units: Units) -> Section:
    share = numbers.per_cent(plan.request.air_share)
    rows = [
        Row("Pumped to", numbers.pressure(air.absolute_pa, units), f"absolute, air outside {_outside(air, units)}"),
        Row("Gauge shows", f"{numbers.inches_of_mercury(air.gauge_pa)}", "below the air outside"),
        Row("Froth rises to", f"{numbers.significant(air.rise, 3)} ×", f"the liquid, if {share} of air is stirred in"),
        Row("Container", numbers.volume(air.container_ml * 1000, units), "a fifth of it is free above the froth"),
    ]
    if plan.container_mm is not None:
        rows.append(Row("as wide as high", numbers.length(plan.container_mm, units), _container(plan.container_fit)))
    tip = "Too large? Pump it in several smaller ones, or let air in now and then: the froth falls each time."
    return Section("Under vacuum", tuple(rows), remarks=(tip,))


def _outside(air: Degassing, units: Units) -> str:
    return numbers.pressure(air.atmosphere_pa, units)


def _container(fit: VesselFit | None) -> str:
    if fit is None:
        return ""
    return "goes into the vessel" if fit.fits else "does not go into the vessel"


def _pressure(plan: VesselPlan, units: Units) -> tuple[Section, ...]:
    if plan.bubbles is None:
        return ()
    bubbles = plan.bubbles
    rows = (
        Row("Gauge shows", numbers.pressure(bubbles.gauge_pa, units)),
        Row("Bubbles keep", numbers.per_cent(bubbles.volume_ratio), "of their volume"),
        Row("across", numbers.per_cent(bubbles.diameter_ratio), "of what they were"),
    )
    return (Section("Under pressure", rows),)


def _vessel(plan: VesselPlan, units: Units) -> tuple[Section, ...]:
    rows = []
    if plan.request.inside_mm is not None:
        diameter, height = (numbers.length(side, units) for side in plan.request.inside_mm)
        rows.append(Row("Inside", f"{diameter} across, {height} high"))
    if plan.request.mould_mm is not None:
        sides = " × ".join(numbers.length(side, units) for side in plan.request.mould_mm)
        rows.append(Row("Mould", sides, _room(plan.fit, units)))
    if plan.hazard is not None:
        rows.append(Row("Lid, pressure", _force(plan.hazard.lid_force_n), _as_weight(plan.hazard.lid_force_n, units)))
        energy = f"{numbers.significant(plan.hazard.stored_energy_j / 1000, 3)} kJ"
        rows.append(Row("Air inside", energy, f"set free if it bursts, like {plan.hazard.tnt_g:.2g} g of TNT"))
    if plan.vacuum_lid_n is not None:
        rows.append(Row("Lid, vacuum", _force(plan.vacuum_lid_n), _as_weight(plan.vacuum_lid_n, units)))
    return (Section("The vessel", tuple(rows)),) if rows else ()


def _room(fit: VesselFit | None, units: Units) -> str:
    if fit is None:
        return "no vessel given to try it in (--inside)"
    if not fit.fits:
        return "does not go in upright"
    wide, high = numbers.length(fit.spare_diameter_mm, units), numbers.length(fit.spare_height_mm, units)
    return f"goes in upright, {wide} to spare across and {high} above"


def _force(newton: float) -> str:
    return f"{numbers.significant(newton / 1000, 3)} kN"


def _as_weight(newton: float, units: Units) -> str:
    return f"as if {numbers.heavy(1000 * newton / _STANDARD_GRAVITY_M_S2, units)} stood on it"


def _time(plan: VesselPlan, time: ClosingTime) -> Section:
    steps = plan.request.steps
    done = [("Mix", steps.mixing_s)]
    if plan.request.absolute_pa is not None:
        done.append(("Degas", steps.degassing_s))
    done.append(("Pour", steps.pouring_s))
    if plan.request.gauge_pa is not None:
        done += [("Close the lid", steps.closing_s), ("Let pressure in", steps.pressurising_s)]
    rows, elapsed = [], 0.0
    for what, takes in done:
        elapsed += takes
        rows.append(Row(what, numbers.duration(takes), f"done at {numbers.clock(elapsed)}"))
    over = f"over at {numbers.clock(time.pot_life_s)}"
    if plan.request.resin is not None:
        over += f"; {grade_name(plan.request.resin, 'pot_life_s')}"
    rows.append(Row("Pot life", numbers.duration(time.pot_life_s), over))
    return Section("The time", tuple(rows))


def document(plan: VesselPlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    request = plan.request
    return {
        "vessel": {
            "resin": None if request.resin is None else request.resin.key,
            "inside_mm": request.inside_mm,
            "mould_mm": request.mould_mm,
            "vacuum": None if plan.degassing is None else _vacuum_json(plan, plan.degassing),
            "pressure": None
            if plan.bubbles is None
            else {
                "gauge_pa": plan.bubbles.gauge_pa,
                "bubble_volume_ratio": plan.bubbles.volume_ratio,
                "bubble_diameter_ratio": plan.bubbles.diameter_ratio,
            },
            "fits": None if plan.fit is None else plan.fit.fits,
            "spare_height_mm": None if plan.fit is None else plan.fit.spare_height_mm,
            "spare_diameter_mm": None if plan.fit is None else plan.fit.spare_diameter_mm,
            "lid_force_n": None if plan.hazard is None else plan.hazard.lid_force_n,
            "stored_energy_j": None if plan.hazard is None else plan.hazard.stored_energy_j,
            "vacuum_lid_force_n": plan.vacuum_lid_n,
            "time": None if plan.time is None else _time_json(plan, plan.time),
        },
        "warnings": warnings(plan.notices),
        "cautions": list(plan.cautions),
    }


def _vacuum_json(plan: VesselPlan, air: Degassing) -> dict[str, Any]:
    return {
        "absolute_pa": air.absolute_pa,
        "gauge_pa": air.gauge_pa,
        "atmosphere_pa": air.atmosphere_pa,
        "rise": air.rise,
        "liquid_volume_ml": air.liquid_volume_ml,
        "container_ml": air.container_ml,
        "container_mm": plan.container_mm,
        "container_fits": None if plan.container_fit is None else plan.container_fit.fits,
    }


def _time_json(plan: VesselPlan, time: ClosingTime) -> dict[str, Any]:
    return {
        **asdict(plan.request.steps),
        "pot_life_s": time.pot_life_s,
        "needed_s": time.needed_s,
        "spare_s": time.spare_s,
        "enough": time.enough,
    }

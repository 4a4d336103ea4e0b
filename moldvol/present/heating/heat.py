"""How heat is told: what to do first, then how hot, what the mould bears and what helps; always with its band."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from moldvol.casting.heat.cautions import BURN_C, CHAR_C
from moldvol.casting.heat.cup import Figure
from moldvol.casting.heat.plan import HeatPlan
from moldvol.casting.heat.remedies import Remedy
from moldvol.casting.heat.sections import LargestSection
from moldvol.casting.heat_of_cast import CastHeat, PotHeat
from moldvol.casting.mixing.pots import USUAL_SHARE
from moldvol.present import numbers
from moldvol.present.heating.heat_json import document as document
from moldvol.present.heating.heat_pictures import hottest_cut, over_time
from moldvol.present.measure import line_about, solid_report
from moldvol.present.numbers import Units
from moldvol.present.pictures import Drawing
from moldvol.present.report import Report, Row, Section, Table, grave, messages

MOST_NAMED = 3  # remedies in the verdict
ORIGINS = {"fitted": "Fitted to the cup", "shelf": "From the shelf", "class": "Of the class"}


def report(plan: CastHeat, units: Units) -> Report:
    """The sheet of a cast's heat: the mesh comes last, for who stands at the bench knows the part."""
    heat = plan.heat
    cast = "a solid cast" if heat.wall_mm is None else "a hollow cast"
    head = solid_report(plan.solid, units, f"Heat of {cast}")
    sections = (*_sections(plan, units), *head.sections)
    verdict = " ".join(_verdict(heat, units))
    return replace(head, verdict=verdict, sections=sections, line=line_about(plan.solid, verdict)).followed_by(
        warnings=messages(plan.notices),
        grave=grave(plan.notices),
        cautions=plan.cautions,
        about=(Row("Resin", heat.resin, plan.request.resin.key), Row("Mould", _mould(heat, units))),
    )


def pictures(plan: CastHeat, units: Units = Units.METRIC) -> tuple[Drawing, ...]:
    """Temperature over time, and the hottest cut."""
    return (over_time(plan.heat, units), hottest_cut(plan.heat, units))


def _sections(plan: CastHeat, units: Units) -> Iterator[Section]:
    yield _peak_section(plan.heat, units)
    if _worth_helping(plan.heat):
        yield _helps_section(plan.heat, units)
    yield _limits_section(plan.heat, units)
    if plan.pot is not None:
        yield _pot_section(plan.pot, units)
    yield _grounds_section(plan.heat, units)


def _worth_helping(heat: HeatPlan) -> bool:
    """A cast that burns nobody and harms no mould needs no advice."""
    harms = heat.face_limit_c is not None and heat.face.high_c > heat.face_limit_c
    return bool(heat.remedies) and (harms or heat.peak.high_c > min(heat.section_limit_c, BURN_C))


def _verdict(heat: HeatPlan, units: Units) -> Iterator[str]:
    """What someone with gloves on wants to hear."""
    yield _level(heat, units)
    yield (
        f"About {_degrees(heat.peak.usual_c, units)} ({_span(heat.peak.low_c, heat.peak.high_c, units)}) at "
        f"{numbers.place(heat.peak_at_mm)}, {_when(heat.hot_from_s)} after the pour."
    )
    if heat.face_limit_c is not None:
        yield f"The {heat.mould} {_bears(heat, heat.face_limit_c)}: its face sees {_face(heat, units)}."
    if heat.peak.high_c > heat.section_limit_c and heat.remedies:
        yield _advice(heat, units)


def _level(heat: HeatPlan, units: Units) -> str:
    low, high = heat.peak.low_c, heat.peak.high_c
    limit = _degrees(heat.section_limit_c, units)
    if high > CHAR_C:
        return f"Do not pour it as it is: it {'will probably' if low > CHAR_C else 'may'} smoke and char."
    if high > heat.section_limit_c:
        return f"It {'will probably' if heat.peak.usual_c > heat.section_limit_c else 'may'} pass {limit}."
    burns = ", yet be hot enough to burn skin" if high > BURN_C else ""
    return f"It should stay below {limit}{burns}."


def _bears(heat: HeatPlan, limit_c: float) -> str:
    if heat.face.low_c > limit_c:
        return "will probably suffer"
    return "may suffer" if heat.face.high_c > limit_c else "should bear it"


def _face(heat: HeatPlan, units: Units) -> str:
    bears = "" if heat.face_limit_c is None else f", it bears {_degrees(heat.face_limit_c, units)}"
    return f"{_span(heat.face.low_c, heat.face.high_c, units)}{bears}"


def _advice(heat: HeatPlan, units: Units) -> str:
    limit = _degrees(heat.section_limit_c, units)
    sure = [remedy for remedy in heat.remedies if _kept_below(remedy, heat.section_limit_c) == "yes"]
    if sure:
        return f"Below {limit}, even at the hot end: {_named(sure, units)}."
    return f"Nothing reckoned here keeps it below {limit} for sure; the coolest: {_named(heat.remedies, units, 1)}."


def _named(remedies: Sequence[Remedy], units: Units, most: int = MOST_NAMED) -> str:
    coolest = sorted(remedies, key=lambda remedy: remedy.peak_c)[:most]
    return "; or ".join(f"{remedy.what} ({_about(remedy, units)})" for remedy in coolest)


def _about(remedy: Remedy, units: Units) -> str:
    most = "" if remedy.peak_high_c is None else f", at most {_degrees(remedy.peak_high_c, units)}"
    return f"about {_degrees(remedy.peak_c, units)}{most}"


def _degrees(celsius: float, units: Units) -> str:
    """A temperature to the whole degree: no estimate of heat knows more."""
    degrees, unit = (celsius, "°C") if units is Units.METRIC else (celsius * 1.8 + 32, "°F")
    return f"{degrees:.0f} {unit}"


def _span(low_c: float, high_c: float, units: Units) -> str:
    low, high = _degrees(low_c, units), _degrees(high_c, units)
    return high if low == high else f"{low[:-3]} to {high}"


def _when(seconds: float) -> str:
    return numbers.duration(seconds) if math.isfinite(seconds) else "never in this run"


def _mould(heat: HeatPlan, units: Units) -> str:
    if heat.face_limit_c is None and heat.mould_thickness_mm == 0:
        return "none: the cast stands in the air"
    return f"{numbers.length(heat.mould_thickness_mm, units)} of {heat.mould}"


def _peak_section(heat: HeatPlan, units: Units) -> Section:
    cast = "solid" if heat.wall_mm is None else f"hollow, wall {numbers.length(heat.wall_mm, units)}"
    warm = "" if heat.resin_c == heat.room_c else f", poured at {numbers.temperature(heat.resin_c, units)}"
    band = _span(heat.peak.low_c, heat.peak.high_c, units)
    deep = f"{numbers.length(heat.peak_depth_mm, units)} below the surface"
    rows = [
        Row("Cast", cast, f"in {heat.resin}{warm}, room at {numbers.temperature(heat.room_c, units)}"),
        Row("Hottest", _degrees(heat.peak.usual_c, units), f"{band}, {deep}", "amount"),
        Row("Hot after", _when(heat.hot_from_s), f"{numbers.place(heat.peak_at_mm)} is hottest"),
        Row("Gels", f"{_when(heat.gel.core_s)} inside", f"at the skin {_when(heat.gel.skin_s)}, all of it "
            f"{_when(heat.gel.last_s)}"),
        Row("Ceiling", _degrees(heat.adiabatic_c, units), "for this resin, if no heat at all got away"),
        Row("Mould", _mould(heat, units)),
    ]  # fmt: skip
    face = Row("Its face", _degrees(heat.face.usual_c, units), _face(heat, units), "strong")
    if heat.face_limit_c is None:
        face = replace(face, label="Skin", remark=_span(heat.face.low_c, heat.face.high_c, units))
    return Section("How hot", (*rows, face))


def _helps_section(heat: HeatPlan, units: Units) -> Section:
    rows = tuple(
        (
            remedy.what,
            _peak_and_most(remedy, units),
            _degrees(remedy.face_peak_c, units)[:-3],
            _when(remedy.core_gel_s),
            _kept_below(remedy, heat.section_limit_c),
        )
        for remedy in heat.remedies
    )
    unit = _degrees(0.0, units)[-2:]
    columns = (
        "instead",
        f"peak {unit}",
        f"face {unit}",
        "gels",
        f"< {_degrees(heat.section_limit_c, units)}",
    )
    remarks = [
        "Each reckoned alone, for the usual resin; in brackets the hot end of the band that it would be told with, and "
        "'likely' where that passes the limit or is not known.",
    ]
    if any(remedy.code.startswith("lifts") for remedy in heat.remedies):
        remarks.append(
            "More lifts are not always cooler: the thickest of them decides, and where the cuts fall it may hold more "
            "of the thickest place. A lift poured on one that is still hot gets hotter than this."
        )
    table = Table(columns, rows, frozenset({1, 2, 3}), leads=True)
    return Section("What helps", table=table, remarks=tuple(remarks))


def _peak_and_most(remedy: Remedy, units: Units) -> str:
    most = "" if remedy.peak_high_c is None else f" ({_degrees(remedy.peak_high_c, units)[:-3]})"
    return f"{_degrees(remedy.peak_c, units)[:-3]}{most}"


def _kept_below(remedy: Remedy, limit_c: float) -> str:
    if remedy.peak_c > limit_c:
        return "no"
    return "yes" if remedy.peak_high_c is not None and remedy.peak_high_c <= limit_c else "likely"


def _limits_section(heat: HeatPlan, units: Units) -> Section:
    """What the hottest resin that fits the sheet allows; what the usual one would stands beside it."""
    rows = tuple(_limit_row(one, units) for one in heat.sections)
    limit = _degrees(heat.section_limit_c, units)
    return Section(f"How thick stays below {limit} even at the hot end, in this resin and mould", rows)


def _limit_row(one: LargestSection, units: Units) -> Row:
    usual = "" if one.usual_across_mm == one.across_mm else f"the usual resin {_across(one.usual_across_mm, units)}"
    return Row(one.form.capitalize(), _across(one.across_mm, units), usual)


def _across(mm: float | None, units: Units) -> str:
    if mm is None:
        return "any thickness"
    return f"up to {numbers.length(mm, units)}" if mm > 0 else "not even a thin one"


def _pot_section(pot: PotHeat, units: Units) -> Section:
    life, left = pot.life, pot.left_c
    rows = [
        Row("Holds", numbers.mass(pot.mass_g, units, 3), f"{numbers.per_cent(USUAL_SHARE)} full"),
        Row(
            "Lives",
            numbers.duration(life.usual_s),
            f"{numbers.duration(life.low_s)} to {numbers.duration(life.high_s)}, from the moment its parts meet",
        ),
    ]
    if pot.even_s is not None:
        rows.append(
            Row("as 'mix' has it", numbers.duration(pot.even_s), "quicker reckoning, the whole pot equally warm")
        )
    span = f"{_span(left.low, left.high, units)}: never leave it full"
    rows.append(Row("Left standing", _degrees(left.usual, units), span, "strong"))
    return Section(f"A pot of {numbers.volume(pot.pot_ml * 1000, units)} in this room", tuple(rows))


def _grounds_section(heat: HeatPlan, units: Units) -> Section:
    """Three lines on the figures and one quiet sentence on the arithmetic."""
    rows = tuple(
        Row(label, "; ".join(_written(figure) for figure in heat.figures if figure.origin == origin))
        for origin, label in ORIGINS.items()
        if any(figure.origin == origin for figure in heat.figures)
    )
    account = heat.account
    remark = (
        f"Of {_joules(account.released_j)} released {_joules(account.stored_j)} are still in it and "
        f"{_joules(account.lost_j)} in the air, balanced to {numbers.per_cent(account.error)}; {heat.cells:,} cells of "
        f"{numbers.length(heat.spacing_mm, units)} leave {heat.peak.grid_error_k:.1f} K open in the peak and "
        f"{heat.face.grid_error_k:.1f} K at the face."
    )
    return Section("What it rests on", rows, remarks=(remark,))


def _joules(joules: float) -> str:
    return f"{numbers.significant(joules / 1000, 3)} kJ"


def _written(figure: Figure) -> str:
    """The figure with its unit; a pure number, whose unit is 1, stands alone."""
    told = f"{figure.name} {numbers.significant(figure.value, 3)} {figure.unit}".removesuffix(" 1")
    return f"{told} ({figure.grade.name})" if figure.grade else told

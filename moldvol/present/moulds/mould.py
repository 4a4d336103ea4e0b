"""How a mould is told: its rubber, pour by pour, its box or jacket, and how it is cast in afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from moldvol.casting.mixing.pots import PotPlan
from moldvol.casting.mould.plan import MouldPlan
from moldvol.casting.mould.pours import Pour
from moldvol.geometry.moulding.levels import TrappedAir
from moldvol.geometry.moulding.orientation import BoxedPose
from moldvol.notices import Notice
from moldvol.present import numbers
from moldvol.present.measure import line_about, solid_report
from moldvol.present.mixing import pots, weigh_out
from moldvol.present.moulds import jacket, mould_box, vents
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table, grave, messages

STANDING = "Which way up takes least rubber"
WORTH_A_ROW = 0.01  # share of rubber saved from which other ways up are listed
STYLES = {"block": "Block mould", "glove": "Glove mould", "poured-over": "Poured-over mould"}


@dataclass(frozen=True, slots=True)
class Told:
    """A mould with the air it keeps when it is cast in, and the pots of each pour, if pots were named."""

    plan: MouldPlan
    air: TrappedAir
    pots: tuple[PotPlan, ...] = ()

    @property
    def notices(self) -> tuple[Notice, ...]:
        """With pots, what is said of one cup with everything in it does not matter."""
        if not self.pots:
            return self.plan.notices
        of_cups = {notice for pour in self.plan.pours for notice in pour.mix.notices}
        own = tuple(notice for notice in self.plan.notices if notice not in of_cups)
        return own + tuple(dict.fromkeys(notice for split in self.pots for notice in split.notices))


def report(told: Told, units: Units) -> Report:
    """The sheet of a mould."""
    plan = told.plan
    head = solid_report(plan.solid, units, STYLES[plan.style])
    return replace(head, verdict=f"{head.verdict} {_verdict(plan, units)}", line=_line(told, units)).followed_by(
        *_sections(told, units),
        warnings=messages(told.notices),
        grave=grave(told.notices),
        cautions=plan.cautions,
        about=(Row("Rubber", plan.mix.request.resin.name, plan.mix.request.resin.key),),
    )


def _verdict(plan: MouldPlan, units: Units) -> str:
    return f"{STYLES[plan.style]}: mix {numbers.mass(plan.total_mass_g, units)} of rubber."


def _line(told: Told, units: Units) -> str:
    plan = told.plan
    if told.pots:
        mixed = [pots.portions_of(split) for split in told.pots]
    else:
        mixed = [weigh_out.portions(pour.mix) for pour in plan.pours]
    if len(plan.pours) > 1:
        mixed = [f"{pour.name}: {text}" for pour, text in zip(plan.pours, mixed, strict=True)]
    return line_about(plan.solid, f"{_verdict(plan, units)} {_capital('; '.join(mixed))}.")


def _sections(told: Told, units: Units) -> Iterator[Section]:
    plan = told.plan
    yield _mould_section(plan, units)
    yield from _weigh_out(told, units)
    if plan.box is not None:
        yield mould_box.box_section(plan.box, units)
        yield _standing_section(plan, units)
    if plan.jacket is not None:
        yield from jacket.jacket_sections(plan.jacket, units)
    if plan.degassing is not None:
        yield mould_box.degassing_section(plan.degassing, units)
    yield _release_section(plan, units)
    yield _air_section(told, units)


def _mould_section(plan: MouldPlan, units: Units) -> Section:
    rows = [
        Row("Style", _style(plan)),
        Row("Master stands", _stands(plan), f"{_times(plan.part_mm, units)}, height last"),
        Row("Rubber outside", _times(plan.outside_mm, units), "length × width × height"),
        Row("Rubber in it", numbers.volume(plan.rubber_volume_mm3, units), _doubt(plan, units)),
        Row("That weighs", numbers.mass(plan.rubber_mass_g, units), f"{plan.needed.density_g_ml:.4g} g/ml"),
        *_additions(plan, units),
        Row(
            "Allowance",
            numbers.mass(plan.needed.allowance_g, units),
            f"{numbers.per_cent(plan.needed.allowed.share)}, {plan.needed.allowed.origin}",
        ),
        Row("To mix", numbers.mass(plan.total_mass_g, units), weight="amount"),
    ]
    if plan.cost is not None:
        rows.append(Row("Material cost", numbers.money(plan.cost), f"{_costs(plan)}, in the shelf's currency"))
    return Section("The mould", tuple(rows))


def _style(plan: MouldPlan) -> str:
    board = "open where the master stands" if plan.request.on_board else "rubber all round"
    jacket = "" if plan.jacket is None else f" under a {'plaster' if plan.jacket.plaster else 'glass'} jacket"
    match plan.style:
        case "block":
            parts = "in two parts" if plan.request.parts == 2 else "in one part"
            return f"block {parts}, {board}"
        case "glove":
            coats = "1 coat" if len(plan.coats) == 1 else f"{len(plan.coats)} coats"
            return f"glove of {coats}{jacket}, {board}"
        case _:
            return f"poured into the gap{jacket}, {board}"


def _stands(plan: MouldPlan) -> str:
    filed = plan.rotation == ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    return "as in the file" if filed else f"with {vents.way(plan.rotation[2])} up"


def _doubt(plan: MouldPlan, units: Units) -> str:
    what = "box less master" if plan.style == "block" else "skin, rim and keys"
    if plan.rubber_volume_error_mm3 <= 5e-4 * plan.rubber_volume_mm3:
        return what
    return f"{what}, ± {numbers.volume(plan.rubber_volume_error_mm3, units, 2)}"


def _additions(plan: MouldPlan, units: Units) -> Iterator[Row]:
    if plan.flange is not None:
        wide = f"{numbers.length(plan.flange.width_mm, units)} wide on the board"
        yield Row("Rim", numbers.volume(plan.flange.volume_mm3, units, 3), f"{wide}, counted in")
    if plan.keys is not None:
        balls = "half-ball" if plan.keys.count == 1 else "half-balls"
        yield Row(
            "Keys",
            f"{plan.keys.count} {balls} of {numbers.length(plan.keys.radius_mm, units)} radius",
            f"{numbers.volume(plan.keys.volume_mm3, units, 3)}, {_keys(plan)}",
        )
    if plan.thickener_g > 0:
        share = f"fumed silica, {plan.request.thickener_percent:g} % of every coat but the first, on top"
        yield Row("Thickener", numbers.mass(plan.thickener_g, units, 3), share)


def _keys(plan: MouldPlan) -> str:
    return "pits in the first half" if plan.style == "block" else "counted in"


def _costs(plan: MouldPlan) -> str:
    if plan.jacket is None or plan.jacket.cost is None:
        return "rubber"
    return "rubber and plaster" if plan.jacket.plaster else "rubber, gel coat and resin, without the mat"


def _weigh_out(told: Told, units: Units) -> Iterator[Section]:
    pours = told.plan.pours
    if told.pots:
        for pour, split in zip(pours, told.pots, strict=True):
            section = pots.pots_section(split, units)
            yield section if len(pours) == 1 else replace(section, heading=f"{_named(pour)}: {_lowered(section)}")
    elif told.plan.coats:
        yield _coats_section(pours, units)
    elif len(pours) == 1:
        yield weigh_out.weigh_out_section(pours[0].mix, units)
    else:
        for pour in pours:
            yield weigh_out.weigh_out_section(pour.mix, units, f"{_named(pour)}: weigh out into one cup")


def _named(pour: Pour) -> str:
    return _capital(pour.name)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lowered(section: Section) -> str:
    return section.heading[:1].lower() + section.heading[1:]


def _coats_section(pours: tuple[Pour, ...], units: Units) -> Section:
    mixes = [pour.mix for pour in pours]
    step = mixes[0].request.scale.readability_g
    thickened = any(pour.thickener_g for pour in pours)
    names = [component.name for component in mixes[0].components]
    columns = ("coat", "skin then", *names, *(["thickener"] if thickened else []), "ml")
    rows = tuple(
        (
            str(number),
            "" if pour.skin_mm is None else numbers.length(pour.skin_mm, units),
            *(weigh_out.reading(component.reading_g, step) for component in pour.mix.components),
            *([f"{numbers.significant(pour.thickener_g, 2)} g" if pour.thickener_g else "–"] if thickened else []),
            numbers.significant(pour.mix.total_volume_ml, 3),
        )
        for number, pour in enumerate(pours, start=1)
    )
    hardest = max(mixes, key=lambda mix: mix.ratio_error_percent)
    shortest = min(mixes, key=lambda mix: mix.one_cup_life_s)
    lines = (
        Row("Brush within", numbers.duration(shortest.one_cup_life_s), "of the first stir of each coat"),
        Row(
            "Ratio",
            f"± {numbers.per_cent(hardest.ratio_error_percent / 100)}",
            f"at worst, in the smallest coat; the rubber forgives {hardest.tolerance_percent:g} %",
        ),
    )
    return Section(
        "Coats, one after the other",
        lines,
        Table(
            columns, rows, frozenset(range(1, len(columns))), ticks=True, large=frozenset(range(2, len(columns) - 1))
        ),
        (
            "Brush the next coat on while the one before still sticks to a glove but leaves nothing on it.",
            "The allowance is in every coat; the keys are made of the last one.",
        ),
    )


def _standing_section(plan: MouldPlan, units: Units) -> Section:
    """The poses worth a thought, with what each takes; a word where they all take the same."""
    least = plan.smallest[0].volume_mm3 - plan.solid.outer_volume_mm3
    if least > (1 - WORTH_A_ROW) * plan.rubber_volume_mm3:
        told = Row("As it stands", "is as good as any", "another way up saves less than 1 %")
        return Section(STANDING, (told,))
    taken = next((pose for pose in plan.smallest if pose.rotation == plan.rotation), None)
    rows = [_pose_row(plan, pose, units) for pose in plan.smallest]
    if taken is None:
        as_taken = ("as it stands", _times(plan.outside_mm, units), numbers.mass(plan.rubber_mass_g, units), "–")
        rows.insert(0, as_taken)
    remarks = [] if plan.request.stand == "smallest" else ["--least-rubber stands it the first of these ways."]
    if plan.request.on_board:
        remarks.append("What lies on the board is not moulded: choose a side without detail.")
    columns = ("master stands", "rubber outside", "weighs", "saves")
    return Section(STANDING, table=Table(columns, tuple(rows), frozenset({2, 3})), remarks=tuple(remarks))


def _pose_row(plan: MouldPlan, pose: BoxedPose, units: Units) -> tuple[str, ...]:
    volume = pose.volume_mm3 - plan.solid.outer_volume_mm3
    mass = volume * plan.needed.density_g_ml / 1000
    saved = 1 - volume / plan.rubber_volume_mm3
    return (
        f"{vents.way(pose.rotation[2])} up",
        _times(pose.box_mm, units),
        numbers.mass(mass, units),
        "taken" if pose.rotation == plan.rotation else f"{100 * saved:.0f} %",
    )


def _release_section(plan: MouldPlan, units: Units) -> Section:
    rows = vents.release_rows(plan.release, plan.best_release, (plan.split, plan.best_split), units)
    if plan.request.parts == 2:
        height = numbers.length(plan.parting_above_foot_mm, units)
        wrong = numbers.per_cent(plan.split.misplaced_share)
        rows += (Row("Flat parting", f"{height} above its foot", f"leaves {wrong} of the surface in the wrong half"),)
    return Section(
        "Will it come off",
        rows,
        remarks=("Rubber gives way where a rigid mould is held; the more is held, the softer it must be.",),
    )


def _air_section(told: Told, units: Units) -> Section:
    air = told.air
    worth = vents.worth_a_vent(air.pockets)
    opened = told.plan.request.on_board
    turned = "open side up" if opened else f"{vents.way(air.up)} up"
    sprue = "" if opened else "the side that keeps least air; the highest place is the sprue"
    return Section(
        "When you cast in it",
        (Row("Pour with it", turned, sprue), vents.air_row(air.volume_mm3, air.volume_error_mm3, air.pockets, units)),
        vents.vents_table(worth, units),
        (*vents.more_pockets(worth), *vents.shallow_pockets(air.pockets, units)),
    )


def _times(sides_mm: tuple[float, ...], units: Units) -> str:
    *most, last = (numbers.length(side, units) for side in sides_mm)
    return " × ".join((*(side.partition(" ")[0] for side in most), last))

"""Solid, hollow and back-filled side by side: what each way weighs, costs and asks of the bench.

Masses in g, times in s, money in the shelf's currency.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from moldvol.casting.allowance import allowance_for
from moldvol.casting.heat.band import Band
from moldvol.casting.heat_of_cast import peak_of
from moldvol.casting.hollow import HollowPlan, HollowRequest, plan_hollow, with_backfill
from moldvol.casting.hollow_part import HollowPart
from moldvol.casting.learned_allowance import LearnedAllowance
from moldvol.casting.mixing.mix import density_of, plan_measured
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mixing.setting import gel_time_s
from moldvol.errors import RequestError
from moldvol.geometry.field.inscribed import InscribedBall
from moldvol.materials.bounds import whole_number
from moldvol.materials.chemistry.thermal import RESIN_CLASSES
from moldvol.materials.resin import Resin
from moldvol.notices import Notice
from moldvol.quantities import MM3_PER_ML


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to cast the part. Masses, cost and ``bench_time_s`` are for one cast, ``run_cost`` for all copies.

    ``mass_g`` is what is mixed, with the allowance; ``finished_mass_g`` what the cast weighs; ``section_mm`` the
    thickest section that sets at once; ``saving`` against the solid cast in the same resin.
    """

    name: str
    resin: Resin
    wall_mm: float | None
    mass_g: float
    finished_mass_g: float
    cost: float | None
    run_cost: float | None
    saving: float | None
    run_saving: float | None
    pours: int
    bench_time_s: float
    section_mm: float
    adiabatic_rise_k: float | None
    closed_off: int
    notices: tuple[Notice, ...]
    peak: Band | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparePlan:
    """All ways of casting ``part``, resin by resin, the solid cast first."""

    part: HollowPart
    copies: int
    ways: tuple[Way, ...]
    notices: tuple[Notice, ...]


def plan_compare(
    part: HollowPart,
    mixes: Sequence[MixRequest],
    walls_mm: Sequence[float],
    *,
    copies: int = 1,
    allowance: float | None = None,
    learned: Mapping[str, LearnedAllowance] | None = None,
    backfill: Resin | None = None,
    mixing_s: float = 60.0,
    pouring_s: float = 30.0,
) -> ComparePlan:
    """The ways of casting *part* in the resin of each of *mixes*: solid, hollow at each wall, and back-filled.

    *learned* is what the pour book says of each resin's allowance, by the resin's key, if it was asked.
    Raises `RequestError` where there is no resin, and as `plan_hollow`.
    """
    if not mixes:
        raise RequestError("There is no resin to compare ways in; name at least one.")
    whole_number(copies, 1, "number of copies")
    ways: list[Way] = []
    for mix in mixes:
        taught = (learned or {}).get(mix.resin.key)
        whole = _solid_way(part, mix, copies, (allowance, taught), mixing_s + pouring_s)
        ways.append(whole)
        for wall in walls_mm:
            request = HollowRequest(
                mix=mix,
                wall_mm=wall,
                copies=copies,
                allowance=allowance,
                learned=taught,
                mixing_s=mixing_s,
                pouring_s=pouring_s,
            )
            plan = plan_hollow(part, request)
            ways.append(_hollow_way(plan, whole))
            if backfill is not None:
                ways.append(_hollow_way(with_backfill(plan, backfill), whole))
    said = dict.fromkeys(notice for way in ways for notice in way.notices)
    return ComparePlan(part=part, copies=copies, ways=tuple(ways), notices=tuple(said))


def with_peaks(plan: ComparePlan, room_c: float) -> ComparePlan:
    """The same comparison with the estimated peak of each way the shelf has figures for; costs seconds each."""
    peaks: dict[tuple[str, float | None], Band | None] = {}
    for way in plan.ways:
        key = (way.resin.key, way.wall_mm)
        if key not in peaks:
            peaks[key] = peak_of(plan.part, way.resin, way.wall_mm, room_c)
    ways = tuple(replace(way, peak=peaks[way.resin.key, way.wall_mm]) for way in plan.ways)
    return replace(plan, ways=ways)


def adiabatic_rise_k(resin: Resin) -> float | None:
    """The temperature rise that no cast of *resin* can exceed, K: heat of reaction over heat capacity, ΔT = H / cp.

    What the shelf does not state is that of its class; None for a rubber or a foam, which have no such class.
    """
    usual = RESIN_CLASSES.get(resin.kind)
    if usual is None:
        return None
    heat_j_g = resin.heat_of_reaction_j_g or usual.heat_of_reaction_j_g
    return heat_j_g / (resin.heat_capacity_j_gk or usual.substance.heat_capacity_j_gk)


def _solid_way(
    part: HollowPart,
    mix: MixRequest,
    copies: int,
    allowance: tuple[float | None, LearnedAllowance | None],
    pour_s: float,
) -> Way:
    density = density_of(mix)
    thickest = part.thickest
    net = part.field.solid_mm3 * density / MM3_PER_ML
    stated, learned = allowance
    allowed = allowance_for(net * copies, stated=stated, learned=learned)
    plan = plan_measured(
        replace(mix, volume_ml=net * copies * (1 + allowed.share) / density, section_mm=thickest.diameter_mm)
    )
    return Way(
        name="solid",
        resin=mix.resin,
        wall_mm=None,
        mass_g=net * (1 + allowed.share),
        finished_mass_g=net,
        cost=None if plan.cost is None else plan.cost / copies,
        run_cost=plan.cost,
        saving=None,
        run_saving=None,
        pours=1,
        bench_time_s=max(pour_s, gel_time_s(mix)),
        section_mm=thickest.diameter_mm,
        adiabatic_rise_k=adiabatic_rise_k(mix.resin),
        closed_off=0,
        notices=_hot(mix.resin, thickest) + allowed.notices,
    )


def _hot(resin: Resin, thickest: InscribedBall) -> tuple[Notice, ...]:
    limit = resin.largest_section_mm
    if limit is None or thickest.diameter_mm <= limit:
        return ()
    rise = adiabatic_rise_k(resin)
    ceiling = f"; it cannot rise by more than {rise:.0f} K, but may come near that" if rise else ""
    return (
        Notice(
            "solid-runs-hot",
            f"Solid in {resin.name} the thickest place, {thickest.diameter_mm:.3g} mm against {limit:g} mm allowed, "
            f"runs hot{ceiling}.",
        ),
    )


def _hollow_way(plan: HollowPlan, whole: Way) -> Way:
    copies = plan.request.copies
    foam = plan.foam
    cost = None if plan.cost is None else plan.cost / copies
    saving = None if cost is None or whole.cost is None else whole.cost - cost
    wall = f"hollow {plan.request.wall_mm:g} mm"
    return Way(
        name=wall if foam is None or plan.request.backfill is None else f"{wall} + foam",
        resin=plan.request.mix.resin,
        wall_mm=plan.request.wall_mm,
        mass_g=plan.shell_mass_g * (1 + plan.allowed.share) + (foam.liquid_mass_g if foam else 0.0),
        finished_mass_g=plan.finished_mass_g,
        cost=cost,
        run_cost=plan.cost,
        saving=saving,
        run_saving=None if saving is None else saving * copies,
        pours=len(plan.coats) + (1 if foam else 0),
        bench_time_s=plan.bench_time_s,
        section_mm=min(plan.request.wall_mm, plan.part.thickest.diameter_mm),
        adiabatic_rise_k=adiabatic_rise_k(plan.request.mix.resin),
        closed_off=len(plan.closed_off),
        notices=(*_closes_off(plan), *(notice for notice in plan.notices if notice.code in _COMPARED)),
    )


def _closes_off(plan: HollowPlan) -> tuple[Notice, ...]:
    if not plan.closed_off:
        return ()
    closes, shut_in = plan.closed_off[0].closes_at_wall_mm, plan.shut_in_mm3 / MM3_PER_ML
    return (
        Notice(
            "closes-off",
            f"With a wall of {plan.request.wall_mm:g} mm a way in closes at {closes:.3g} mm: behind it the wall grows "
            f"no thicker, and {shut_in:.3g} ml stay shut in.",
        ),
    )


# Remarks on a way that matter in a comparison; those on weighing belong to the sheet of the way that is chosen.
_COMPARED = frozenset(
    {
        "nothing-hollow",
        "nothing-to-back-fill",
        "several-bodies",
        "snaps",
        "no-time-to-turn",
        "wall-too-thick",
        "field-disagrees",
    }
)

"""A laminate to make: gel coat and glass mat over an area, resin and catalyst for each session at the bench.

Areas in mm², masses in g. What overlaps and what is cut off comes on top of the area.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from moldvol.casting.mixing.ingredients import Role
from moldvol.casting.mixing.recipe import KITCHEN_SCALE
from moldvol.errors import RequestError
from moldvol.materials.bounds import between
from moldvol.materials.cautions import caution, cautions_for
from moldvol.materials.chemistry.catalyst import catalyst_dose
from moldvol.materials.chemistry.pot_life import pot_life
from moldvol.materials.mixtures.laminate import Laminate, LayUp, laminate, layers_for_thickness
from moldvol.materials.resin import Resin
from moldvol.materials.weighing.ratio import mass_shares
from moldvol.materials.weighing.remedies import Weighing, ratio_notices
from moldvol.materials.weighing.scales import Scale
from moldvol.notices import Notice

GEL_COAT = "gel coat"
MOST_LAYERS = 100  # beyond this somebody has typed the wrong unit
USUAL_OFFCUTS = 0.15  # laps and offcuts, common practice, no source
# Chopped strand mat takes 2 to 2.5 times its weight of resin: common practice, no source. Beyond these it is remarked.
LEAST_RATIO, GREATEST_RATIO = 1.8, 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LaminateRequest:
    """What is to be laid up. ``thickness_mm`` asks for as many mats of one weight as reach it, gel coat included.

    ``lay_up`` gives ratio, gel coat and layers at once; densities and catalyst come from the resins.
    """

    area_mm2: float
    resin: Resin
    gel_coat: Resin
    mats_g_m2: tuple[float, ...]
    thickness_mm: float | None = None
    lay_up: LayUp = field(default_factory=LayUp)
    catalyst_percent: float | None = None
    bench_c: float | None = None
    offcuts: float = USUAL_OFFCUTS
    scale: Scale = KITCHEN_SCALE


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """One part of a resin in a batch; ``reading_g`` is what the scale shows for it alone."""

    name: str
    role: Role
    mass_g: float
    volume_ml: float | None
    reading_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What is mixed for one session: the gel coat first, then mats wet on wet; ``pot_life_s`` of a pot of 100 g or so.

    ``portions`` are the resin's parts, or resin and catalyst, together ``mass_g``.
    """

    what: str
    mats_g_m2: tuple[float, ...]
    mat_g: float
    mass_g: float
    portions: tuple[Portion, ...]
    catalyst_percent: float | None
    pot_life_s: float
    cost: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LaminatePlan:
    """Everything for one laminate. ``laid_mm2`` is the area with laps and offcuts; ``mass_g`` of the finished piece."""

    request: LaminateRequest
    made: Laminate
    laid_mm2: float
    batches: tuple[Batch, ...]
    mass_g: float
    notices: tuple[Notice, ...]
    cautions: tuple[str, ...]

    @property
    def cost(self) -> float | None:
        """Resin and catalyst in the shelf's currency, without the mat; None where a price is missing."""
        costs = [batch.cost for batch in self.batches]
        known = [cost for cost in costs if cost is not None]
        return math.fsum(known) if len(known) == len(costs) else None


def plan_laminate(request: LaminateRequest) -> LaminatePlan:
    """Masses for *request*, batch by batch.

    Raises `RequestError` for no mats, for a thickness with mats of several weights, and for a bench too cold to cure.

    Method: `materials.laminate`, each batch with the catalyst of its own resin at the bench's temperature.
    """
    between(100 * request.offcuts, 0, 200, "share for laps and offcuts in per cent")
    lay_up = replace(
        request.lay_up,
        catalyst_percent=0.0,
        resin_g_ml=request.resin.cured_density_g_ml,
        gel_coat_g_ml=_liquid_g_ml(request.gel_coat),
    )
    laid_mm2 = request.area_mm2 * (1 + request.offcuts)
    made = laminate(laid_mm2, _mats(request, lay_up), lay_up)
    batches = [_batch(GEL_COAT, (), 0.0, made.gel_coat_g, request.gel_coat, request)] if made.gel_coat_g else []
    for number, session in enumerate(made.sessions, start=1):
        mats = session.mats_g_m2
        batches.append(_batch(f"session {number}", mats, session.mat_g, session.resin_g, request.resin, request))
    return LaminatePlan(
        request=request,
        made=made,
        laid_mm2=laid_mm2,
        batches=tuple(batches),
        mass_g=made.mass_g / (1 + request.offcuts),
        notices=(*made.notices, *_ratio_remark(lay_up), *_scale_notices(batches, request), *_bench_notices(request)),
        cautions=_cautions(request),
    )


def _mats(request: LaminateRequest, lay_up: LayUp) -> tuple[float, ...]:
    if request.thickness_mm is None:
        return request.mats_g_m2
    kinds = sorted(set(request.mats_g_m2))
    if len(kinds) != 1:
        raise RequestError("A thickness is reached with mats of one weight; name one mat, or leave out the thickness.")
    layers = layers_for_thickness(request.thickness_mm, kinds[0], lay_up)
    if layers > MOST_LAYERS:
        raise RequestError(f"{request.thickness_mm:g} mm would be {layers} mats, which is no laminate; ask for less.")
    return tuple(kinds) * layers


def _batch(
    what: str, mats_g_m2: tuple[float, ...], mat_g: float, resin_g: float, resin: Resin, request: LaminateRequest
) -> Batch:
    bench_c = _bench_c(request)
    haste, percent = 1.0, None
    if resin.catalyst is None:
        portions = _parts(resin, resin_g, request.scale)
    else:
        dose = catalyst_dose(resin, resin_g, bench_c, percent=request.catalyst_percent)
        haste, percent = dose.haste, dose.percent
        portions = (
            _portion(resin.parts[0].name, "part", resin_g, None, request.scale),
            _portion(resin.catalyst.name, "catalyst", dose.mass_g, dose.volume_ml, request.scale),
        )
    return Batch(
        what=what,
        mats_g_m2=mats_g_m2,
        mat_g=mat_g,
        mass_g=math.fsum(portion.mass_g for portion in portions),
        portions=portions,
        catalyst_percent=percent,
        pot_life_s=pot_life(resin, bench_c, faster=haste).stated_mass_s,
        cost=_cost(resin, portions),
    )


def _parts(resin: Resin, resin_g: float, scale: Scale) -> tuple[Portion, ...]:
    return tuple(
        _portion(
            part.name,
            "part",
            resin_g * share,
            None if part.density_g_ml is None else resin_g * share / part.density_g_ml,
            scale,
        )
        for part, share in zip(resin.parts, mass_shares(resin), strict=True)
    )


def _portion(name: str, role: Role, mass_g: float, volume_ml: float | None, scale: Scale) -> Portion:
    return Portion(name=name, role=role, mass_g=mass_g, volume_ml=volume_ml, reading_g=scale.rounded_g(mass_g))


def _scale_notices(batches: Sequence[Batch], request: LaminateRequest) -> tuple[Notice, ...]:
    """What must be said of the batch that the scale holds least."""
    if not batches:
        return ()
    least = min(batches, key=lambda batch: min(portion.mass_g for portion in batch.portions))
    resin = request.gel_coat if least.what == GEL_COAT else request.resin
    return ratio_notices([_weighing(portion) for portion in least.portions], request.scale, resin.ratio_tolerance)


def _weighing(portion: Portion) -> Weighing:
    volume_ml = portion.volume_ml
    return Weighing(
        name=portion.name,
        due_g=portion.mass_g,
        reading_g=portion.reading_g,
        density_g_ml=None if volume_ml is None else portion.mass_g / volume_ml,
    )


def _ratio_remark(lay_up: LayUp) -> tuple[Notice, ...]:
    ratio = lay_up.resin_ratio
    if LEAST_RATIO <= ratio <= GREATEST_RATIO:
        return ()
    what = "it stays dry and white; woven cloth takes about 1" if ratio < LEAST_RATIO else "it is brittle and gets hot"
    return (
        Notice(
            "unusual-resin-ratio",
            f"Mat takes about 2 to 2.5 times its weight of resin (common practice): at {ratio:g} {what}.",
        ),
    )


def _cost(resin: Resin, portions: Sequence[Portion]) -> float | None:
    if resin.price_per_kg is None:
        return None
    catalyst = resin.catalyst
    own_price = None if catalyst is None else catalyst.price_per_kg
    prices = {catalyst.name: own_price} if catalyst is not None and own_price is not None else {}
    return math.fsum(portion.mass_g / 1000 * prices.get(portion.name, resin.price_per_kg) for portion in portions)


def _liquid_g_ml(gel_coat: Resin) -> float:
    # A film of gel coat is measured wet: its thickness counts in the density of the liquid, where that is known.
    return gel_coat.parts[0].density_g_ml or gel_coat.cured_density_g_ml


def _bench_c(request: LaminateRequest) -> float:
    return request.resin.pot_life_temperature_c if request.bench_c is None else request.bench_c


def _bench_notices(request: LaminateRequest) -> tuple[Notice, ...]:
    bench_c = _bench_c(request)
    doses: list[Notice] = []
    for resin in dict.fromkeys((request.gel_coat, request.resin)):
        if resin.catalyst is not None:
            doses += catalyst_dose(resin, 0.0, bench_c, percent=request.catalyst_percent).notices
    unique = {notice.message: notice for notice in (*doses, *pot_life(request.resin, bench_c).notices)}
    return tuple(unique.values())


def _cautions(request: LaminateRequest) -> tuple[str, ...]:
    *most, last = dict.fromkeys((*cautions_for(request.gel_coat)[:-1], *cautions_for(request.resin)))
    return (*most, caution("dust"), last)

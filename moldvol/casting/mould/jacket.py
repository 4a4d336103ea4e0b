"""The jacket that keeps a glove of rubber in shape: plaster by volume, or gel coat and glass mat by area.

Lengths in mm, areas in mm², volumes in mm³, masses in g.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, get_args

from moldvol.casting.mixing.recipe import KITCHEN_SCALE
from moldvol.casting.mould.lay_up import USUAL_OFFCUTS, LaminatePlan, LaminateRequest, plan_laminate
from moldvol.errors import RequestError
from moldvol.geometry.field.parallel import ParallelBodies
from moldvol.materials.bounds import one_of
from moldvol.materials.cautions import caution
from moldvol.materials.mixtures.laminate import Laminate, LayUp, laminate
from moldvol.materials.mixtures.plaster import HEMIHYDRATE_G_ML, PlasterMix, plaster_for_volume
from moldvol.materials.resin import Resin
from moldvol.materials.sundries import PlasterPowder
from moldvol.materials.weighing.scales import Scale

JacketKind = Literal["plaster", "laminate", "none"]

# Common practice, no source: plaster thinner than this cracks when it is prised off.
USUAL_PLASTER_MM = 15.0
USUAL_CONSISTENCY = 70.0
USUAL_MATS_G_M2 = (450.0, 450.0, 450.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class JacketRequest:
    """What the jacket is made of: plaster so thick, of a *powder* or a consistency, or mats laid up with polyester.

    ``offcuts`` is the share of mat and resin added for laps and waste. With *resin* and *gel_coat* the laminate is
    planned batch by batch, each with its catalyst at ``bench_c`` and weighed on ``scale``; else by the figures of
    ``lay_up`` alone.
    """

    kind: JacketKind = "plaster"
    thickness_mm: float = USUAL_PLASTER_MM
    consistency: float | None = None
    powder: PlasterPowder | None = None
    mats_g_m2: tuple[float, ...] = USUAL_MATS_G_M2
    lay_up: LayUp = field(default_factory=LayUp)
    offcuts: float = USUAL_OFFCUTS
    resin: Resin | None = None
    gel_coat: Resin | None = None
    bench_c: float | None = None
    scale: Scale = KITCHEN_SCALE

    def __post_init__(self) -> None:
        one_of(self.kind, get_args(JacketKind), "kind of jacket")
        if self.kind == "plaster" and not self.thickness_mm > 0:
            raise RequestError(f"A jacket of {self.thickness_mm:g} mm of plaster is none; give a thickness above 0 mm.")
        if not self.offcuts >= 0:
            raise RequestError(f"Offcuts of {self.offcuts:.0%} are below nothing; give a share of 0 % or more.")

    @property
    def reach_mm(self) -> float:
        """How far beyond the rubber the jacket's volume must be known."""
        return self.thickness_mm if self.kind == "plaster" else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Jacket:
    """A jacket over ``area_mm2`` of rubber, flange included; one of ``plaster`` and ``laminate`` says of what.

    ``lay_up`` has the batches of the laminate, if its resins were named; ``cost`` is then without the mat. ``mass_g``
    is of the slurry, or of the finished laminate, without what is cut off; ``laminate`` counts the offcuts in.
    """

    kind: JacketKind
    area_mm2: float
    thickness_mm: float
    mass_g: float
    cost: float | None
    plaster: PlasterMix | None = None
    laminate: Laminate | None = None
    lay_up: LaminatePlan | None = None

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt in what it is made of."""
        if self.plaster is not None:
            return (caution("plaster"), caution("powder"))
        return self.lay_up.cautions if self.lay_up else (caution("styrene"), caution("peroxide"), caution("dust"))


def plan_jacket(request: JacketRequest, bodies: ParallelBodies, rubber_mm: float, flange_mm2: float) -> Jacket | None:
    """The jacket over a skin of *rubber_mm* and its flange; None where none is asked for.

    Error: plaster by its volume as good as the skin's own; mat by the area, to 0.3 %, beside which the offcuts are
    the workshop's own.
    """
    if request.kind == "none":
        return None
    area = bodies.area_mm2(rubber_mm) + flange_mm2
    if request.kind == "laminate":
        return _of_laminate(request, area)
    outer, inner = (bodies.added(offset).volume_mm3 for offset in (rubber_mm + request.thickness_mm, rubber_mm))
    return _of_plaster(request, area, outer - inner + flange_mm2 * request.thickness_mm)


def _of_plaster(request: JacketRequest, area_mm2: float, volume_mm3: float) -> Jacket:
    powder, consistency = request.powder, request.consistency
    if consistency is None:
        consistency = powder.consistency if powder else USUAL_CONSISTENCY
    density = powder.powder_density_g_ml if powder else HEMIHYDRATE_G_ML
    mix = plaster_for_volume(volume_mm3, consistency, plaster_g_ml=density)
    price = powder.price_per_kg if powder else None
    return Jacket(
        kind="plaster",
        area_mm2=area_mm2,
        thickness_mm=request.thickness_mm,
        mass_g=mix.wet_mass_g,
        cost=None if price is None else price * mix.plaster_g / 1000,
        plaster=mix,
    )


def _of_laminate(request: JacketRequest, area_mm2: float) -> Jacket:
    lay_up = _lay_up(request, area_mm2)
    made = lay_up.made if lay_up else laminate(area_mm2 * (1 + request.offcuts), request.mats_g_m2, request.lay_up)
    return Jacket(
        kind="laminate",
        area_mm2=area_mm2,
        thickness_mm=made.total_mm,
        mass_g=made.mass_g / (1 + request.offcuts),
        cost=lay_up.cost if lay_up else None,
        laminate=made,
        lay_up=lay_up,
    )


def _lay_up(request: JacketRequest, area_mm2: float) -> LaminatePlan | None:
    if request.resin is None or request.gel_coat is None:
        return None
    return plan_laminate(
        LaminateRequest(
            area_mm2=area_mm2,
            resin=request.resin,
            gel_coat=request.gel_coat,
            mats_g_m2=request.mats_g_m2,
            lay_up=request.lay_up,
            bench_c=request.bench_c,
            offcuts=request.offcuts,
            scale=request.scale,
        )
    )

"""Gel coat and glass mat with polyester for a jacket: what an area needs, how thick it gets, how it is laid up.

Areas in mm², mats in g/m². Resin is counted by its ratio to the mat, both by weight; the catalyst comes on top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from moldvol.errors import RequestError
from moldvol.materials.bounds import between, not_negative, positive
from moldvol.materials.kinds import PEROXIDE_DENSITY_G_ML
from moldvol.notices import Notice
from moldvol.quantities import G_PER_OUNCE, MM_PER_INCH, parse_mass_g

M2_PER_MM2 = 1e-6
G_M2_PER_OZ_FT2 = G_PER_OUNCE / (12 * MM_PER_INCH / 1000) ** 2
G_M2_PER_OZ_YD2 = G_M2_PER_OZ_FT2 / 9
USUAL_MATS_G_M2 = (225.0, 300.0, 450.0, 600.0, 900.0)

_PER_AREA = {
    "m2": 1.0, "m²": 1.0, "sqm": 1.0,
    "ft2": G_M2_PER_OZ_FT2 / G_PER_OUNCE, "ft²": G_M2_PER_OZ_FT2 / G_PER_OUNCE, "sqft": G_M2_PER_OZ_FT2 / G_PER_OUNCE,
    "yd2": G_M2_PER_OZ_YD2 / G_PER_OUNCE, "yd²": G_M2_PER_OZ_YD2 / G_PER_OUNCE, "sqyd": G_M2_PER_OZ_YD2 / G_PER_OUNCE,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class LayUp:
    """How a workshop laminates. Densities are those of the set resin and of E-glass, as in small-craft rules."""

    resin_ratio: float = 2.5  # resin to mat by weight; 2 to 2.5 in open guides, 2.5 the least of a cladding standard
    gel_coat_mm: float = 0.5  # 0.4 to 0.6 in open guides
    catalyst_percent: float = 2.0  # by weight of gel coat and resin; 0 for a resin that takes none
    layers_at_once: int = 3  # 2 to 4 wet on wet, so that the heat gets out; common practice, no source
    resin_g_ml: float = 1.20
    gel_coat_g_ml: float = 1.20
    glass_g_ml: float = 2.56
    catalyst_g_ml: float = PEROXIDE_DENSITY_G_ML

    def __post_init__(self) -> None:
        between(self.resin_ratio, 0.3, 10, "ratio of resin to mat by weight")
        between(self.gel_coat_mm, 0, 2, "thickness of the gel coat in mm")
        between(self.catalyst_percent, 0, 5, "catalyst in per cent of the resin")
        between(self.layers_at_once, 1, 10, "number of layers laid up at once")
        for density in (self.resin_g_ml, self.gel_coat_g_ml, self.glass_g_ml, self.catalyst_g_ml):
            positive(density, "density of a part of the laminate in g/ml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """What is laid up wet on wet before it must gel and cool: mixed as one batch, or as several small ones."""

    mats_g_m2: tuple[float, ...]
    mat_g: float
    resin_g: float
    catalyst_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Laminate:
    """A laminate over *area_mm2*. *laminate_mm* is without the gel coat, *mass_g* without the catalyst."""

    area_mm2: float
    gel_coat_g: float
    mat_g: float
    resin_g: float
    catalyst_g: float
    catalyst_ml: float
    laminate_mm: float
    total_mm: float
    mass_g: float
    sessions: tuple[Session, ...]
    lay_up: LayUp = field(repr=False)
    notices: tuple[Notice, ...] = ()


def parse_areal_weight_g_m2(text: str) -> float:
    """*text* such as ``450``, ``450 g/m2``, ``1.5oz/ft2`` (mat) or ``10oz/yd2`` (cloth) in g/m²; bare numbers are g/m².

    Raises `RequestError` for anything else, bare ounces above all: mat is sold by the square foot and cloth by the
    square yard, and taking one for the other is wrong by a factor of 9.

    >>> round(parse_areal_weight_g_m2("1.5oz/ft2"), 1)
    457.7
    """
    squeezed = "".join(text.split()).casefold().removesuffix("gsm")
    mass, slash, area = text.rpartition("/")
    factor = _PER_AREA.get("".join(area.replace("^", "").split()).casefold()) if slash else None
    if factor is not None:
        weight = parse_mass_g(mass) * factor
    elif "oz" in squeezed or "ounce" in squeezed:
        raise RequestError(f"'{text}' does not say per what; write oz/ft2 for mat or oz/yd2 for cloth.")
    else:
        weight = _bare_number(squeezed, text)
    if not (math.isfinite(weight) and weight > 0):
        raise RequestError(f"'{text}' weighs nothing; write a mat like 450, 450g/m2 or 1.5oz/ft2.")
    return weight


def layer_thickness_mm(mat_g_m2: float, lay_up: LayUp) -> float:
    """Thickness that one mat adds once it is wetted out and set, in mm.

    Method: volumes add, w/ρ_glass + w × ratio/ρ_resin; small-craft rules (ISO 12215-5, from memory) print the same
    equation as (w/3.072)(2.56/ψ − 1.36) with w in kg/m². Error: trapped air and hard rolling move it by some tenths.

    >>> round(layer_thickness_mm(450, LayUp(resin_ratio=2.5)), 3)
    1.113
    """
    weight = positive(mat_g_m2, "weight of the mat in g/m²")
    return weight / 1000 * (1 / lay_up.glass_g_ml + lay_up.resin_ratio / lay_up.resin_g_ml)


def glass_share(lay_up: LayUp) -> float:
    """Glass content ψ of the laminate by weight, as a share.

    >>> round(glass_share(LayUp(resin_ratio=2.5)), 3)
    0.286
    """
    return 1 / (1 + lay_up.resin_ratio)


def gel_coat_mass_g(area_mm2: float, lay_up: LayUp) -> float:
    """Grams of gel coat over an area.

    >>> gel_coat_mass_g(1e6, LayUp(gel_coat_mm=0.5))
    600.0
    """
    return not_negative(area_mm2, "area in mm²") * lay_up.gel_coat_mm * lay_up.gel_coat_g_ml / 1000


def layers_for_thickness(thickness_mm: float, mat_g_m2: float, lay_up: LayUp) -> int:
    """How many mats of one weight reach *thickness_mm*, gel coat included; never fewer than one.

    >>> layers_for_thickness(4, 450, LayUp())
    4
    """
    without_gel_coat = positive(thickness_mm, "thickness of the jacket in mm") - lay_up.gel_coat_mm
    layers = without_gel_coat / layer_thickness_mm(mat_g_m2, lay_up)
    return max(1, math.ceil(round(layers, 9)))  # rounded so that a thickness reached exactly asks for no further mat


def laminate(area_mm2: float, mats_g_m2: tuple[float, ...], lay_up: LayUp) -> Laminate:
    """Everything for *mats_g_m2*, first to last, over *area_mm2*: cut exactly, so add what overlaps and offcuts take.

    Raises `RequestError` for no mats, or an area that is none.
    """
    if not mats_g_m2:
        raise RequestError("A laminate needs at least one mat; give their weights like 300,450,450.")
    area_m2 = positive(area_mm2, "area in mm²") * M2_PER_MM2
    per_session = lay_up.layers_at_once
    sessions = tuple(
        _session(mats_g_m2[start : start + per_session], area_m2, lay_up)
        for start in range(0, len(mats_g_m2), per_session)
    )
    gel_coat_g = gel_coat_mass_g(area_mm2, lay_up)
    mat_g, resin_g = sum(part.mat_g for part in sessions), sum(part.resin_g for part in sessions)
    catalyst_g = (gel_coat_g + resin_g) * lay_up.catalyst_percent / 100
    thickness_mm = sum(layer_thickness_mm(mat, lay_up) for mat in mats_g_m2)
    return Laminate(
        area_mm2=area_mm2,
        gel_coat_g=gel_coat_g,
        mat_g=mat_g,
        resin_g=resin_g,
        catalyst_g=catalyst_g,
        catalyst_ml=catalyst_g / lay_up.catalyst_g_ml,
        laminate_mm=thickness_mm,
        total_mm=thickness_mm + lay_up.gel_coat_mm,
        mass_g=gel_coat_g + mat_g + resin_g,
        sessions=sessions,
        lay_up=lay_up,
        notices=_heat(len(sessions), per_session),
    )


def _session(mats_g_m2: tuple[float, ...], area_m2: float, lay_up: LayUp) -> Session:
    mat_g = area_m2 * sum(positive(mat, "weight of the mat in g/m²") for mat in mats_g_m2)
    resin_g = mat_g * lay_up.resin_ratio
    return Session(
        mats_g_m2=mats_g_m2, mat_g=mat_g, resin_g=resin_g, catalyst_g=resin_g * lay_up.catalyst_percent / 100
    )


def _heat(sessions: int, layers_at_once: int) -> tuple[Notice, ...]:
    if sessions < 2:
        return ()
    message = (
        f"Lay up at most {layers_at_once} mats wet on wet, then let them set and cool: {sessions} sessions in all."
    )
    return (Notice("laminate-heat", message),)


def _bare_number(squeezed: str, text: str) -> float:
    try:
        return float(squeezed.replace(",", "."))
    except ValueError:
        raise RequestError(
            f"'{text}' is not a mat's weight by area; write it like 450, 450g/m2 or 1.5oz/ft2."
        ) from None

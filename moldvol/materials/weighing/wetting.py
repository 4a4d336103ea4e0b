"""What stays behind: the film on the wall of an emptied cup, and the skin that a poured-out mould keeps.

Lengths in mm, viscosity in Pa·s (1 Pa·s is 1000 cP; honey has about 10), density in g/ml, times in s. For plain
liquids: a thixotropic or gelling resin keeps more than these formulas say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.materials.bounds import between, not_negative, positive
from moldvol.notices import Notice

GRAVITY_M_S2 = 9.80665  # exact by definition

USUAL_DRAIN_S = 30.0  # how long a cup is held over the mould; common practice, no source
# Base, rim and stirrer keep about as much again as the wall; common practice, no source.
BASE_AND_STIRRER = 1.0
# Shares of the batch lost where the viscosity is unknown; common practice, no source.
LOSS_OF_LARGE_BATCH, LARGE_BATCH_G = 0.05, 500.0
LOSS_OF_SMALL_BATCH, SMALL_BATCH_G = 0.10, 100.0
LOSS_OF_SILICONE = 0.125
WORTH_SCRAPING_SHARE = 0.15  # above the usual shares


@dataclass(frozen=True, slots=True)
class DrainingFilm:
    """Film on an upright wall: nothing at the upper edge, *bottom_mm* at the lower one, *mean_mm* on average."""

    bottom_mm: float
    mean_mm: float


@dataclass(frozen=True, slots=True)
class Cup:
    """A straight-walled round mixing cup, wetted from its base up to *wet_height_mm*."""

    diameter_mm: float
    wet_height_mm: float

    def __post_init__(self) -> None:
        positive(self.diameter_mm, "diameter of the cup in mm")
        positive(self.wet_height_mm, "height to which the cup is wetted in mm")

    @property
    def wall_area_mm2(self) -> float:
        """The wall that the mix wets."""
        return math.pi * self.diameter_mm * self.wet_height_mm

    @property
    def content_ml(self) -> float:
        """What the cup holds up to there."""
        return math.pi / 4 * self.diameter_mm**2 * self.wet_height_mm / 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class CupLoss:
    """What an emptied cup keeps, and which share of its content that is."""

    cup: Cup
    film_mm: float
    wall_g: float
    base_and_stirrer_g: float
    share: float
    notices: tuple[Notice, ...] = ()

    @property
    def total_g(self) -> float:
        """All that stays behind."""
        return self.wall_g + self.base_and_stirrer_g


def draining_film(viscosity_pa_s: float, density_g_ml: float, *, length_mm: float, time_s: float) -> DrainingFilm:
    """The film left on an upright wall of *length_mm* after draining for *time_s*.

    Raises `RequestError` for figures of nothing: after no time at all the formula has no answer.

    Method: δ = √(μ z / (ρ g t)), mean over the wall two thirds of that at its foot; H. Jeffreys, Proc. Camb. Phil. Soc.
    26 (1930) 204, and Bird, Stewart & Lightfoot, Transport Phenomena, problem 2D.2. Published.
    Error: holds once the wall has drained for a while, and while the film is thin against the cup.

    >>> round(draining_film(0.8, 1.1, length_mm=100, time_s=60).mean_mm, 4)
    0.2344
    """
    viscosity = positive(viscosity_pa_s, "viscosity in Pa·s")
    kg_m3 = 1000 * positive(density_g_ml, "density of the liquid in g/ml")
    length_m = positive(length_mm, "length of the wall in mm") / 1000
    time = positive(time_s, "time of draining in s")
    bottom_mm = 1000 * math.sqrt(viscosity * length_m / (kg_m3 * GRAVITY_M_S2 * time))
    return DrainingFilm(bottom_mm=bottom_mm, mean_mm=2 / 3 * bottom_mm)


def cup_loss(viscosity_pa_s: float, density_g_ml: float, cup: Cup, *, time_s: float = USUAL_DRAIN_S) -> CupLoss:
    """What *cup* keeps after it is emptied and held for *time_s*; never more than was in it.

    Method: `draining_film` on the wall (published); base and stirrer keep as much again (common practice, no source).
    """
    film_mm = draining_film(viscosity_pa_s, density_g_ml, length_mm=cup.wet_height_mm, time_s=time_s).mean_mm
    content_g = cup.content_ml * density_g_ml
    # Half at most: with as much again on base and stirrer that is the whole content.
    wall_g = min(film_mm * cup.wall_area_mm2 / 1000 * density_g_ml, content_g / (1 + BASE_AND_STIRRER))
    share = wall_g * (1 + BASE_AND_STIRRER) / content_g
    return CupLoss(
        cup=cup,
        film_mm=film_mm,
        wall_g=wall_g,
        base_and_stirrer_g=wall_g * BASE_AND_STIRRER,
        share=share,
        notices=_hardly_drains(share),
    )


def cup_for_content(content_ml: float, *, capacity_ml: float | None = None) -> Cup:
    """The cup that holds *content_ml*, wetted up to it; its size by *capacity_ml*, or just large enough.

    The shape assumed: straight walls, as high as it is wide when full to the brim.
    Raises `RequestError` if the content is more than the capacity.

    >>> cup_for_content(500).diameter_mm == cup_for_content(500).wet_height_mm
    True
    """
    content = positive(content_ml, "content of the cup in ml")
    capacity = content if capacity_ml is None else positive(capacity_ml, "capacity of the cup in ml")
    between(content, 0, capacity, "content of the cup in ml")
    diameter_mm = math.cbrt(4000 * capacity / math.pi)
    return Cup(diameter_mm=diameter_mm, wet_height_mm=diameter_mm * (content / capacity))


def usual_loss_share(batch_g: float) -> float:
    """Share of a resin batch that stays in cups and on sticks where nobody says and the viscosity is unknown.

    Method: 10 % up to 100 g, 5 % from 500 g, between them in proportion; common practice, no source. Silicone keeps 10
    to 15 % (`LOSS_OF_SILICONE` is the middle).

    >>> usual_loss_share(50), round(usual_loss_share(300), 3), usual_loss_share(2000)
    (0.1, 0.075, 0.05)
    """
    batch = min(max(not_negative(batch_g, "mass of the batch in g"), SMALL_BATCH_G), LARGE_BATCH_G)
    way = (batch - SMALL_BATCH_G) / (LARGE_BATCH_G - SMALL_BATCH_G)
    return LOSS_OF_SMALL_BATCH + way * (LOSS_OF_LARGE_BATCH - LOSS_OF_SMALL_BATCH)


def dip_film_mm(viscosity_pa_s: float, density_g_ml: float, *, speed_mm_s: float, surface_tension_n_m: float) -> float:
    """The film that a plate drawn slowly out of the liquid takes along, in mm: another way to the same order of size.

    Method: h = 0.944 l Ca^(2/3), l = √(γ/ρg), Ca = μU/γ; L. Landau & B. Levich, Acta Physicochim. URSS 17 (1942) 42
    (formula from memory). Error: for Ca well below 1; never above √(μU/ρg), which is returned where it is less.

    >>> round(dip_film_mm(0.1, 1.1, speed_mm_s=10, surface_tension_n_m=0.035), 4)
    0.1589
    """
    tension = positive(surface_tension_n_m, "surface tension in N/m")
    weight = 1000 * positive(density_g_ml, "density of the liquid in g/ml") * GRAVITY_M_S2
    drag = positive(viscosity_pa_s, "viscosity in Pa·s") * positive(speed_mm_s, "speed in mm/s") / 1000
    slow_m = 0.944 * math.sqrt(tension / weight) * math.pow(drag / tension, 2 / 3)
    return 1000 * min(slow_m, math.sqrt(drag / weight))


def _hardly_drains(share: float) -> tuple[Notice, ...]:
    if share < WORTH_SCRAPING_SHARE:
        return ()
    message = f"About {100 * share:.0f} % stays in so small a cup of so thick a liquid: scrape it out, and mix more."
    return (Notice("hardly-drains", message),)

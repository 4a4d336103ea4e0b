"""Casting under pressure: how small bubbles get, whether the mould goes into the vessel, whether the time is enough.

Pressures in Pa, over the air outside (gauge). The figures for lid and stored energy are there for the cautions: they
say why only a vessel marked by its maker will do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from moldvol.materials.bounds import not_negative, positive
from moldvol.materials.vessels.vacuum import atmosphere_pa
from moldvol.notices import Notice

HEAT_CAPACITY_RATIO_OF_AIR = 1.4
TNT_J_PER_G = 4184.0  # exact by convention


@dataclass(frozen=True, slots=True)
class BubbleShrinkage:
    """What is left of a bubble's volume and diameter under pressure, as shares of one."""

    gauge_pa: float
    volume_ratio: float
    diameter_ratio: float


@dataclass(frozen=True, slots=True)
class Vessel:
    """Inside of a round pressure or vacuum vessel, and the greatest pressure its maker marked on it (gauge)."""

    inner_diameter_mm: float
    inner_height_mm: float
    marked_gauge_pa: float | None = None

    def __post_init__(self) -> None:
        positive(self.inner_diameter_mm, "inside diameter of the vessel in mm")
        positive(self.inner_height_mm, "inside height of the vessel in mm")
        if self.marked_gauge_pa is not None:
            positive(self.marked_gauge_pa, "pressure marked on the vessel in Pa")

    @property
    def volume_ml(self) -> float:
        """What the vessel holds."""
        return math.pi / 4 * self.inner_diameter_mm**2 * self.inner_height_mm / 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselFit:
    """Does the mould go in standing up? Spare room is negative where it does not."""

    fits: bool
    spare_height_mm: float
    spare_diameter_mm: float
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingTime:
    """Pot life less everything that has to be done before the pressure stands."""

    pot_life_s: float
    needed_s: float
    notices: tuple[Notice, ...] = ()

    @property
    def spare_s(self) -> float:
        """Time left of the pot life, negative when it is too short."""
        return self.pot_life_s - self.needed_s

    @property
    def enough(self) -> bool:
        """Whether the pot life suffices."""
        return self.spare_s >= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselHazard:
    """The force on a lid and the energy in the air below it."""

    lid_force_n: float
    stored_energy_j: float

    @property
    def tnt_g(self) -> float:
        """The stored energy as grams of TNT at 4184 J each."""
        return self.stored_energy_j / TNT_J_PER_G


def bubble_shrinkage(gauge_pa: float, *, altitude_m: float = 0.0) -> BubbleShrinkage:
    """How small a bubble of air becomes at *gauge_pa* above the air outside.

    Method: Boyle, P0/(P0 + P) at one temperature; the diameter is its cube root. None of the air is taken to dissolve.

    >>> at_60_psi = bubble_shrinkage(413_685.4)
    >>> round(at_60_psi.volume_ratio, 5), round(at_60_psi.diameter_ratio, 5)
    (0.19674, 0.58161)
    """
    outside = atmosphere_pa(altitude_m)
    ratio = outside / (outside + not_negative(gauge_pa, "gauge pressure in Pa"))
    return BubbleShrinkage(gauge_pa=gauge_pa, volume_ratio=ratio, diameter_ratio=math.cbrt(ratio))


def box_in_vessel(size_mm: tuple[float, float, float], vessel: Vessel, *, clearance_mm: float = 5.0) -> VesselFit:
    """Whether a mould box (x, y, height) goes upright into *vessel* with *clearance_mm* all round and above.

    Method: its floor fits a circle as wide as the floor's diagonal. Tilting is left out: the mould is full of liquid.

    >>> box_in_vessel((100, 80, 120), Vessel(240, 250)).fits
    True
    """
    length, width, height = (positive(side, "side of the mould in mm") for side in size_mm)
    return round_in_vessel(math.hypot(length, width), height, vessel, clearance_mm=clearance_mm)


def round_in_vessel(diameter_mm: float, height_mm: float, vessel: Vessel, *, clearance_mm: float = 5.0) -> VesselFit:
    """Whether a round mould goes upright into *vessel*, as `box_in_vessel`."""
    clearance = not_negative(clearance_mm, "clearance in mm")
    wide = vessel.inner_diameter_mm - positive(diameter_mm, "diameter of the mould in mm") - 2 * clearance
    high = vessel.inner_height_mm - positive(height_mm, "height of the mould in mm") - clearance
    too_wide = Notice("too-wide", f"The mould is {-wide:.0f} mm too wide for the vessel, with room to grip it.")
    too_high = Notice("too-high", f"The mould is {-high:.0f} mm too high for the vessel.")
    return VesselFit(
        fits=wide >= 0 and high >= 0,
        spare_height_mm=high,
        spare_diameter_mm=wide,
        notices=(too_wide,) * (wide < 0) + (too_high,) * (high < 0),
    )


def closing_time(pot_life_s: float, *, mix_s: float, pour_s: float, close_s: float, pressurise_s: float) -> ClosingTime:
    """Whether the pressure stands before the resin stops flowing; all times in seconds from the first stir."""
    needed = sum(not_negative(step, "time of a step in s") for step in (mix_s, pour_s, close_s, pressurise_s))
    life = positive(pot_life_s, "pot life in s")
    late = Notice(
        "closes-late",
        f"The vessel is closed {needed - life:.0f} s after the pot life; bubbles do not shrink in a set resin.",
    )
    hold = Notice("hold-pressure", "Keep the pressure until the resin has gelled, or the bubbles grow back.")
    return ClosingTime(pot_life_s=life, needed_s=needed, notices=(hold,) + (late,) * (needed > life))


def vessel_hazard(vessel: Vessel, gauge_pa: float) -> VesselHazard:
    """What pushes at the lid, and what would be set free if it gave way.

    Method: force = pressure × area; energy by Brode (1959), P V/(γ − 1), an upper figure among those in use.

    >>> hazard = vessel_hazard(Vessel(250, 204), 413_685)
    >>> round(hazard.lid_force_n, -2), round(hazard.stored_energy_j, -2)
    (20300.0, 10400.0)
    """
    pressure = not_negative(gauge_pa, "gauge pressure in Pa")
    return VesselHazard(
        lid_force_n=pressure * math.pi / 4 * (vessel.inner_diameter_mm / 1000) ** 2,
        stored_energy_j=pressure * vessel.volume_ml * 1e-6 / (HEAT_CAPACITY_RATIO_OF_AIR - 1),
    )


def vacuum_lid_force_n(diameter_mm: float, *, altitude_m: float = 0.0) -> float:
    """The force of the air outside on the lid of an empty vacuum vessel, in N.

    >>> round(vacuum_lid_force_n(300))
    7162
    """
    return atmosphere_pa(altitude_m) * math.pi / 4 * (positive(diameter_mm, "diameter of the lid in mm") / 1000) ** 2


def marking_notices(marked_gauge_pa: float | None, gauge_pa: float) -> tuple[Notice, ...]:
    """What must be said before *gauge_pa* is let into a vessel: never above its mark, and no vessel without one."""
    if marked_gauge_pa is None:
        return (
            Notice(
                "vessel-unmarked", "Use only a vessel marked with its greatest pressure and fitted with a relief valve."
            ),
        )
    if gauge_pa > marked_gauge_pa:
        return (
            Notice(
                "vessel-overpressure",
                f"{gauge_pa / 1e5:.2f} bar is above the {marked_gauge_pa / 1e5:.2f} bar marked on the vessel: "
                "do not do it.",
            ),
        )
    return ()

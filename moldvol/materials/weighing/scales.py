"""What a real scale can show, and how far a mix ratio weighed on it may be off.

Masses in g. d is the step of the display, e the verification interval by which OIML R 76 counts a scale's errors; on
most bench scales they are the same.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, get_args

from moldvol.errors import RequestError
from moldvol.materials.bounds import not_negative, positive
from moldvol.quantities import G_PER_OUNCE

AccuracyClass = Literal["I", "II", "III", "IIII"]
ACCURACY_CLASSES: tuple[AccuracyClass, ...] = get_args(AccuracyClass)

# OIML R 76-1:2006, table 6: up to these loads in e the maximum permissible error is 0.5 e and 1 e, beyond 1.5 e.
_BANDS_E: Mapping[AccuracyClass, tuple[float, float]] = MappingProxyType(
    {"I": (50_000, 200_000), "II": (5_000, 20_000), "III": (500, 2_000), "IIII": (50, 200)}
)
# OIML R 76-1:2006, table 3: lower limit of capacity in e. Class II asks for 50 e from an e of 0.1 g on.
_LEAST_LOAD_E: Mapping[AccuracyClass, float] = MappingProxyType({"I": 100, "II": 20, "III": 20, "IIII": 10})
_COARSE_CLASS_II_G = 0.1
_COARSE_CLASS_II_E = 50.0
# In use the permissible errors are twice those at verification: OIML R 76-1, 3.5.2; Directive 2014/31/EU, annex I, 4.2.
IN_SERVICE = 2.0
LEAST_TOLD_G = 0.001  # an amount below it is told as that


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A weighing scale. Without a class mark nobody vouches for it: counted as class III in service, with d for e."""

    readability_g: float = 1.0
    accuracy_class: AccuracyClass | None = None
    capacity_g: float | None = None
    verification_interval_g: float | None = None
    newly_verified: bool = False

    def __post_init__(self) -> None:
        positive(self.readability_g, "readability of the scale in g")
        if self.accuracy_class is not None and self.accuracy_class not in ACCURACY_CLASSES:
            raise RequestError(
                f"'{self.accuracy_class}' is no class of scale; give I, II, III or IIII, or none for an unmarked scale."
            )
        if self.capacity_g is not None and positive(self.capacity_g, "capacity of the scale in g") < self.readability_g:
            raise RequestError(
                f"The scale's capacity of {self.capacity_g:g} g is less than its step of {self.readability_g:g} g; "
                "check both."
            )
        interval = self.verification_interval_g
        if interval is not None and positive(interval, "verification interval of the scale in g") < self.readability_g:
            raise RequestError(
                f"The verification interval of {interval:g} g is less than the step of "
                f"{self.readability_g:g} g; check both."
            )

    @property
    def interval_g(self) -> float:
        """The verification interval e, in g."""
        return self.verification_interval_g or self.readability_g

    def not_shown(self, total_g: float, remedy: str) -> RequestError:
        """The refusal of *total_g* that this display does not show; *remedy* is what to do."""
        told = f"{total_g:.2g} g" if total_g >= LEAST_TOLD_G else f"Less than {LEAST_TOLD_G:g} g"
        return RequestError(f"{told} in all do not show on a scale of {told_step(self.readability_g)} steps; {remedy}.")

    @property
    def least_load_g(self) -> float | None:
        """The lower limit of capacity, below which the class vouches for nothing useful; ``None`` if unmarked, in g.

        >>> Scale(readability_g=1.0, accuracy_class="III").least_load_g
        20.0
        """
        if self.accuracy_class is None:
            return None
        coarse = self.accuracy_class == "II" and self.interval_g >= _COARSE_CLASS_II_G
        return self.interval_g * (_COARSE_CLASS_II_E if coarse else _LEAST_LOAD_E[self.accuracy_class])

    @property
    def error_steps_g(self) -> tuple[float, float]:
        """The loads above which the permissible error steps up, in g (OIML R 76-1:2006, table 6).

        >>> Scale(readability_g=0.1).error_steps_g
        (50.0, 200.0)
        """
        first, second = _BANDS_E[self.accuracy_class or "III"]
        return first * self.interval_g, second * self.interval_g

    def permissible_error_g(self, load_g: float) -> float:
        """The largest error (±) at a load, in g.

        Method: OIML R 76-1:2006, table 6; doubled unless the scale is newly verified.

        >>> Scale(accuracy_class="III", newly_verified=True).permissible_error_g(2500)
        1.5
        """
        first, second = _BANDS_E[self.accuracy_class or "III"]
        loads_e = not_negative(load_g, "load in g") / self.interval_g
        steps = 0.5 if loads_e <= first else 1.0 if loads_e <= second else 1.5
        known_good = self.newly_verified and self.accuracy_class is not None
        return steps * self.interval_g * (1.0 if known_good else IN_SERVICE)

    def rounded_g(self, mass_g: float) -> float:
        """What the display shows at *mass_g*.

        >>> Scale(readability_g=0.1).rounded_g(137.26)
        137.3
        """
        return self._shown(math.floor(mass_g / self.readability_g + 0.5))

    def rounded_up_g(self, mass_g: float) -> float:
        """The least the display can show that is not less than *mass_g*."""
        return self._shown(math.ceil(round(mass_g / self.readability_g, 6)))

    def readings_g(self, masses_g: Sequence[float]) -> tuple[float, ...]:
        """*masses_g* in steps of the display, so that together they show the rounded total.

        Method: largest remainder.

        >>> Scale(readability_g=1.0).readings_g((33.4, 33.4, 33.4))
        (34.0, 33.0, 33.0)
        """
        steps = [not_negative(mass, "mass to weigh in g") / self.readability_g for mass in masses_g]
        whole = [math.floor(step + _NEARLY) for step in steps]
        left = math.floor(math.fsum(steps) + 0.5) - sum(whole)
        by_remainder = sorted(range(len(steps)), key=lambda index: whole[index] - steps[index])
        for index in by_remainder[: max(left, 0)]:
            whole[index] += 1
        return tuple(self._shown(count) for count in whole)

    def cumulative_g(self, readings_g: Sequence[float], *, start_g: float = 0.0) -> tuple[float, ...]:
        """What the display shows after each of *readings_g* when all go into one cup that showed *start_g*."""
        shown = []
        for reading in readings_g:
            start_g += reading
            shown.append(round(start_g, self._decimals))
        return tuple(shown)

    def _shown(self, steps: int) -> float:
        return round(steps * self.readability_g, self._decimals)

    @property
    def _decimals(self) -> int:
        # Two more than the step needs: 0.3 must not read 0.30000000000000004, and a step of 0.05 keeps its 5.
        return max(0, 2 - math.floor(math.log10(self.readability_g)))


def step_in_ounces(step_g: float) -> float | None:
    """A display's step in ounces if it is one of ounces: a round number there, and none in grams; else ``None``.

    >>> step_in_ounces(0.05 * G_PER_OUNCE), step_in_ounces(1.0)
    (0.05, None)
    """
    ounces = step_g / G_PER_OUNCE
    return float(f"{ounces:.3g}") if _is_round(ounces) and not _is_round(step_g) else None


def told_step(step_g: float) -> str:
    """The step as it stands on the scale's plate.

    >>> told_step(0.1), told_step(0.05 * G_PER_OUNCE)
    ('0.1 g', '0.05 oz')
    """
    ounces = step_in_ounces(step_g)
    return f"{step_g:g} g" if ounces is None else f"{ounces:g} oz"


def told_mass(mass_g: float, step_g: float) -> str:
    """A mass in the unit of the display, in three digits.

    >>> told_mass(68.47, 1.0), told_mass(68.47, 0.05 * G_PER_OUNCE)
    ('68.5 g', '2.42 oz')
    """
    return f"{mass_g:.3g} g" if step_in_ounces(step_g) is None else f"{mass_g / G_PER_OUNCE:.3g} oz"


def _is_round(step: float) -> bool:
    return math.isclose(step, float(f"{step:.3g}"), rel_tol=1e-9)


_NEARLY = 1e-9  # 104.1 g in steps of 0.1 g comes out as 1040.9999999999999 of them

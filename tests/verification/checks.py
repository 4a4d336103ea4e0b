"""One figure of ours beside one from outside: the record that the tests hold and that docs/verification.md shows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Numbers = float | Sequence[float]


class Grade(Enum):
    """What stands behind an expected figure, the strongest first; each is told before its source."""

    PRINTED = "printed"
    PROGRAM = "other program"
    MATHEMATICS = "mathematics"
    CONSTRUCTION = "by construction"
    OWN = "own, another way"
    ARITHMETIC = "arithmetic"
    MEMORY = "from memory"
    PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Tolerance:
    """How far a figure may lie below and above the expected one: a share of it, or an amount in its unit."""

    below: float
    above: float
    is_share: bool

    def scale(self, expected: Floats) -> Floats:
        """What differences are measured in."""
        return np.abs(expected) if self.is_share else np.ones_like(expected)


def rel(both: float = 0.0, *, below: float | None = None, above: float | None = None) -> Tolerance:
    """A share of the expected figure; with one side alone named, the other allows nothing."""
    return Tolerance(both if below is None else below, both if above is None else above, is_share=True)


def within(both: float = 0.0, *, below: float | None = None, above: float | None = None) -> Tolerance:
    """An amount in the unit of the check."""
    return Tolerance(both if below is None else below, both if above is None else above, is_share=False)


@dataclass(frozen=True)
class Stated:
    """Figures of ours and the errors that we state for them."""

    values: tuple[float, ...]
    errors: tuple[float, ...]

    @classmethod
    def of(cls, *pairs: tuple[float, float]) -> Stated:
        values, errors = zip(*pairs, strict=True)
        return cls(values, errors)


@dataclass(frozen=True)
class Need:
    """What a check cannot do without and not every machine has."""

    reason: str
    is_met: Callable[[], bool]


@dataclass(frozen=True, kw_only=True, eq=False)
class Check:
    """What is expected by whom, and how our figure is got.

    ``expected`` may be worked out when asked, by another program for example. It may hold several figures; ``got``
    gives as many, or one for all. A `Stated` error must hold the expected figure and be at most ``most_error`` of it.
    ``got`` is called with each of ``cases``, poses for example, where there are any, and each must do.
    """

    name: str
    source: str
    grade: Grade
    expected: Numbers | Callable[[], Numbers]
    got: Callable[..., Numbers | Stated]
    allowed: Tolerance
    unit: str = ""
    most_error: float = 0.01
    cases: tuple[int | None, ...] = ()
    needs: Need | None = None

    def outcome(self) -> Outcome:
        """Work both figures out; the expected one may take the longer."""
        (expected,) = _rows([self.expected() if callable(self.expected) else self.expected])
        found = [self.got(case) for case in self.cases] if self.cases else [self.got()]
        values = [figure.values if isinstance(figure, Stated) else figure for figure in found]
        errors = [figure.errors for figure in found if isinstance(figure, Stated)]
        return Outcome(self, expected, _rows(values), _rows(errors) if errors else None)


def _rows(figures: Sequence[Numbers]) -> Floats:
    return np.array([np.atleast_1d(figure) for figure in figures], dtype=float)


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a check gave: ``got`` and ``errors`` have one row for each case, one column for each figure."""

    check: Check
    expected: Floats
    got: Floats
    errors: Floats | None

    @property
    def differences(self) -> Floats:
        """Got less expected, in the measure of the tolerance; shape (cases, figures)."""
        return (self.got - self.expected) / self.check.allowed.scale(self.expected)

    @property
    def worst_case(self) -> int:
        return int(np.abs(self.differences).max(axis=1).argmax())

    def objections(self) -> list[str]:
        """What is wrong, in words; empty where everything is as it should be."""
        allowed, off = self.check.allowed, self.differences
        beyond = ~((off >= -allowed.below) & (off <= allowed.above))
        found = [f"off by {amount:.3g}, allowed {allowed}" for amount in off[beyond]]
        if self.errors is not None:
            missed = np.abs(self.got - self.expected) > self.errors
            stated = np.broadcast_to(self.errors, missed.shape)
            found += [f"{error:.6g} is stated and does not hold the truth" for error in stated[missed]]
            lavish = self.errors > self.check.most_error * np.abs(self.got)
            found += [f"a stated error of {error:.3g} is no use" for error in self.errors[lavish]]
        return [f"{self.check.name}: {self.got.tolist()}, expected {self.expected.tolist()}: {what}" for what in found]


@dataclass(frozen=True)
class Group:
    """Checks under one heading, and what is to be said of them all."""

    heading: str
    says: str
    checks: tuple[Check, ...]

    def __post_init__(self) -> None:
        names = [check.name for check in self.checks]
        twice = {name for name in names if names.count(name) > 1}
        if twice:
            raise ValueError(f"two checks of '{self.heading}' bear one name: {', '.join(sorted(twice))}")

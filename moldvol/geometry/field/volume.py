"""A volume and how far off it may be."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Volume:
    """A volume in mm³ and the error within which the truth is expected to lie."""

    volume_mm3: float
    error_mm3: float

    def holds(self, truth_mm3: float) -> bool:
        """Whether *truth_mm3* lies within the error."""
        return abs(self.volume_mm3 - truth_mm3) <= self.error_mm3

"""Resins, scales and powders for tests, each with round figures that can be checked by hand."""

from __future__ import annotations

from typing import Any

from moldvol.materials.filler import Filler
from moldvol.materials.resin import Catalyst, Part, Resin
from moldvol.materials.weighing.scales import Scale

KITCHEN = Scale(readability_g=1.0)
TENTH = Scale(readability_g=0.1)
HUNDREDTH = Scale(readability_g=0.01)


def urethane(**changes: Any) -> Resin:
    """A polyurethane 100:90 by weight of parts of 1.03 and 1.22 g/ml, 1.10 cured, 5 min for 100 g at 20 °C."""
    figures: dict[str, Any] = {
        "key": "test-urethane",
        "name": "test urethane",
        "kind": "polyurethane",
        "parts": (
            Part(name="A", by_weight=100, density_g_ml=1.03),
            Part(name="B", by_weight=90, density_g_ml=1.22),
        ),
        "cured_density_g_ml": 1.10,
        "pot_life_s": 300.0,
        "pot_life_mass_g": 100.0,
        "pot_life_temperature_c": 20.0,
        "ratio_tolerance": 0.05,
        "activation_energy_j_mol": 51_200.0,
        "working_low_c": 15.0,
        "working_high_c": 30.0,
        "price_per_kg": 20.0,
    }
    return Resin(**(figures | changes))


def by_volume(**changes: Any) -> Resin:
    """The same, but 1:1 by volume."""
    parts = (
        Part(name="A", by_volume=1, density_g_ml=1.03),
        Part(name="B", by_volume=1, density_g_ml=1.22),
    )
    return urethane(parts=parts, **changes)


def polyester(**changes: Any) -> Resin:
    """A polyester of 1.10 g/ml, 1.20 cured, with 1 to 2 (usually 1) per cent of a peroxide of 1.15 g/ml."""
    return urethane(
        key="test-polyester",
        name="test polyester",
        kind="polyester",
        parts=(Part(name="resin", by_weight=100, density_g_ml=1.10),),
        cured_density_g_ml=1.20,
        catalyst=Catalyst(percent_low=1.0, percent_usual=1.0, percent_high=3.0),
        ratio_tolerance=0.2,
        **changes,
    )


def silicone(parts: tuple[float, float] = (100, 5), **changes: Any) -> Resin:
    """A rubber of a ratio by weight."""
    base, hardener = parts
    return urethane(
        key="test-silicone",
        name="test silicone",
        kind="silicone",
        parts=(Part(name="base", by_weight=base), Part(name="catalyst", by_weight=hardener)),
        **changes,
    )


def powder(density_g_ml: float = 2.5, **changes: Any) -> Filler:
    """A filler of any density."""
    figures: dict[str, Any] = {"key": "powder", "name": "powder", "kind": "filler", "density_g_ml": density_g_ml}
    return Filler(**(figures | changes))

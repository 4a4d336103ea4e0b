"""What resins of one kind have in common: used where an entry on the shelf does not state the figure itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from moldvol.materials.grade import Grade
from moldvol.materials.resin import Kind

POT_LIFE_MASS_G = 100.0
POT_LIFE_TEMPERATURE_C = 23.0
POT_LIFE_GRADE = Grade("common practice", "sheets quote 100 g at 20 to 25 °C")
PEROXIDE_DENSITY_G_ML = 1.15  # peroxide solutions run from 1.0 to 1.18, from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class KindFigures:
    """Class values: how far the ratio may be off (share), the cure's activation energy, the bench it likes (°C)."""

    ratio_tolerance: float
    activation_energy_j_mol: float
    working_low_c: float
    working_high_c: float
    energy_grade: Grade


_TOLERANCE = "most two-part systems ask for 2 to 5 per cent"
_URETHANE = "35 to 40 kJ/mol after Baser and Khakhar, Polym. Eng. Sci. 34 (1994)"
_REDOX = "40 to 60 kJ/mol with peroxide and cobalt, J. Appl. Polym. Sci. 102 (2006) 1870"
_AMINE = "44 to 57 kJ/mol, J. Appl. Polym. Sci. 56 (1995) 1029; 55 to 60, Thermochim. Acta 447 (2006) 167"
_DOSE = "the dose moves the gel time more than the strength"
_DOUBLING = "the rate doubles from 20 to 30 °C at 51.2 kJ/mol; open tables give 1.5 to 2.5 times"

FIGURES: Mapping[Kind, KindFigures] = MappingProxyType({
    "polyurethane": KindFigures(
        ratio_tolerance=0.03, activation_energy_j_mol=45_000, working_low_c=15, working_high_c=30,
        energy_grade=Grade("published", _URETHANE + "; " + _DOUBLING),
    ),
    "polyester": KindFigures(
        # 1.5 % of catalyst may be 1.2 or 1.8 and still set; what it moves is the gel time.
        ratio_tolerance=0.20, activation_energy_j_mol=50_000, working_low_c=15, working_high_c=30,
        energy_grade=Grade("published", _REDOX),
    ),
    "epoxy": KindFigures(
        ratio_tolerance=0.03, activation_energy_j_mol=55_000, working_low_c=15, working_high_c=30,
        energy_grade=Grade("published", _AMINE),
    ),
    "silicone": KindFigures(
        ratio_tolerance=0.05, activation_energy_j_mol=51_200, working_low_c=15, working_high_c=30,
        energy_grade=Grade("common practice", _DOUBLING),
    ),
    "foam": KindFigures(
        ratio_tolerance=0.05, activation_energy_j_mol=40_000, working_low_c=18, working_high_c=28,
        energy_grade=Grade("published", _URETHANE),
    ),
})  # fmt: skip

TOLERANCE_GRADES: Mapping[Kind, Grade] = MappingProxyType({
    kind: Grade("common practice", _DOSE if kind == "polyester" else _TOLERANCE)
    for kind in FIGURES
})  # fmt: skip
WORKING_GRADE = Grade("common practice", "a warm, dry workshop; below 15 °C cures stall")

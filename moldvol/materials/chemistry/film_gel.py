"""When a thin film gels: it stays as cool as the bench, and so gels later than the cup that times are stated for.

Temperatures in °C, times in s.
"""

from __future__ import annotations

from dataclasses import replace

from moldvol.materials.chemistry.kinetics import CURE_CLASSES, Spread
from moldvol.materials.chemistry.pot_heat import law_of_cup
from moldvol.materials.chemistry.pot_life import pot_life
from moldvol.materials.resin import Resin

EARLIER_GEL = (
    0.7  # of the class's gel conversion: parts with more groups gel earlier, Flory and Stockmayer; from memory
)


def film_gel_s(resin: Resin, bench_c: float, *, faster: float = 1.0) -> Spread:
    """When a film of *resin* gels that never gets warmer than *bench_c*: the usual time and the ends of the class, s.

    *faster* is how many times as fast the chosen catalyst makes it. A rubber hardly warms in the cup either, so its
    film gels when its cup does. Raises `RequestError` for a temperature that no bench has.

    Method: the rate law of the resin's kind (`Kinetics`) at one temperature, as fast as makes the stated cup, which
    warms itself, gel at its pot life. The ends take the class's lowest activation energy with an earlier gel, and its
    highest. No time is below that of the stated cup, for nothing in a film is warmer than there.
    Error: a factor of two and more for polyurethane, most of it doubt about where it gels; measured resins are needed.
    That a fast urethane gels adiabatically in the cup: Richter and Macosko, Polym. Eng. Sci. 20 (1980).
    """
    cup_s = pot_life(resin, bench_c, faster=faster).stated_mass_s
    cup_s *= max(1.0, (resin.gel_time_s or 0.0) / resin.pot_life_s)
    kind = "polyurethane" if resin.kind == "foam" else resin.kind
    if kind not in CURE_CLASSES:
        return Spread(low=cup_s, usual=cup_s, high=cup_s)
    energies = CURE_CLASSES[kind].energy_j_mol

    def seconds(energy_share: float, gel_share: float = 1.0) -> float:
        shape = CURE_CLASSES[kind].law
        energy = resin.activation_energy_j_mol * energy_share
        shape = replace(shape, energy_j_mol=energy, gel_conversion=shape.gel_conversion * gel_share)
        law = law_of_cup(resin, shape, kind, faster=faster)
        return max(cup_s, law.time_to_s(law.gel_conversion, start_c=bench_c))

    usual = seconds(1.0)
    ends = seconds(energies.low / energies.usual, EARLIER_GEL), seconds(energies.high / energies.usual)
    return Spread(low=min(usual, *ends), usual=usual, high=max(usual, *ends))

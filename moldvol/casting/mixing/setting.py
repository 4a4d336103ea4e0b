"""When what was mixed sets: one answer for coats that must stop running, for pots in a row, and for bench time."""

from __future__ import annotations

from moldvol.casting.mixing.mix import haste_of
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.materials.chemistry.pot_life import pot_life

USUAL_GEL_POT_LIVES = 1.5  # common practice, no source


def gel_time_s(mix: MixRequest) -> float:
    """Time from mixing until the resin of *mix* no longer runs, at the bench's temperature and with its catalyst, s.

    Method: the shelf's gel time, else one and a half pot lives (common practice, no source), shifted by Arrhenius and
    the dose as the pot life is.
    """
    resin = mix.resin
    stated = resin.gel_time_s or USUAL_GEL_POT_LIVES * resin.pot_life_s
    bench_c = resin.pot_life_temperature_c if mix.bench_c is None else mix.bench_c
    return stated * pot_life(resin, bench_c, faster=haste_of(mix)).stated_mass_s / resin.pot_life_s

"""A cast's heat as one JSON object: units in the keys, a time that never came is null."""

from __future__ import annotations

import math
from typing import Any

from moldvol.casting.heat.band import Band
from moldvol.casting.heat.plan import HeatPlan
from moldvol.casting.heat.pot_life import PotLife
from moldvol.casting.heat_of_cast import CastHeat, PotHeat
from moldvol.present.as_json import warnings
from moldvol.present.measure import solid_json


def document(plan: CastHeat) -> dict[str, Any]:
    """The plan as one JSON object, every number in it finite."""
    mesh = solid_json(plan.solid)
    return {
        **mesh,
        "heat": {
            "resin": plan.request.resin.key,
            "mould": plan.request.mould,
            **_heat_json(plan.heat),
            "pot_life_s": None if plan.pot is None else _life_json(plan.pot.life),
            "pot": None if plan.pot is None else _pot_json(plan.pot),
        },
        "warnings": [*mesh["warnings"], *warnings(plan.notices)],
        "cautions": list(plan.cautions),
    }


def band_json(band: Band) -> dict[str, float]:
    """A temperature between its ends, °C."""
    return {"low": band.low_c, "usual": band.usual_c, "high": band.high_c}


def _heat_json(heat: HeatPlan) -> dict[str, Any]:
    return {
        "mould_thickness_mm": heat.mould_thickness_mm,
        "wall_mm": heat.wall_mm,
        "room_c": heat.room_c,
        "resin_c": heat.resin_c,
        "limit_c": heat.section_limit_c,
        "peak_c": band_json(heat.peak),
        "peak_grid_error_k": heat.peak.grid_error_k,
        "peak_at_mm": heat.peak_at_mm,
        "peak_depth_mm": heat.peak_depth_mm,
        "peak_from_s": heat.hot_from_s,
        "floor_c": heat.floor_c,
        "adiabatic_c": heat.adiabatic_c,
        "gel_core_s": _finite(heat.gel.core_s),
        "gel_skin_s": _finite(heat.gel.skin_s),
        "gel_last_s": _finite(heat.gel.last_s),
        "face_c": band_json(heat.face),
        "face_grid_error_k": heat.face.grid_error_k,
        "face_limit_c": heat.face_limit_c,
        "released_j": heat.account.released_j,
        "stored_j": heat.account.stored_j,
        "lost_j": heat.account.lost_j,
        "balance_error": heat.account.error,
        "cells": heat.cells,
        "spacing_mm": heat.spacing_mm,
        "sections": [
            {
                "form": one.form,
                "limit_c": one.limit_c,
                "across_mm": one.across_mm,
                "usual_across_mm": one.usual_across_mm,
            }
            for one in heat.sections
        ],
        "remedies": [
            {
                "code": one.code,
                "what": one.what,
                "peak_c": one.peak_c,
                "peak_high_c": one.peak_high_c,
                "face_peak_c": one.face_peak_c,
                "gel_core_s": _finite(one.core_gel_s),
            }
            for one in heat.remedies
        ],
        "figures": [
            {
                "name": one.name,
                "value": one.value,
                "unit": one.unit,
                "origin": one.origin,
                "grade": None if one.grade is None else str(one.grade),
            }
            for one in heat.figures
        ],
        "curve": {
            "time_s": heat.curve.time_s.round(1).tolist(),
            "core_c": heat.curve.core_c.round(2).tolist(),
            "skin_c": heat.curve.skin_c.round(2).tolist(),
            "face_c": heat.curve.face_c.round(2).tolist(),
        },
    }


def _life_json(life: PotLife) -> dict[str, float]:
    return {"low": life.low_s, "usual": life.usual_s, "high": life.high_s}


def _pot_json(pot: PotHeat) -> dict[str, Any]:
    return {
        "pot_ml": pot.pot_ml,
        "mass_g": pot.mass_g,
        "even_pot_life_s": pot.even_s,
        "left_standing_c": {"low": pot.left_c.low, "usual": pot.left_c.usual, "high": pot.left_c.high},
    }


def _finite(seconds: float) -> float | None:
    return seconds if math.isfinite(seconds) else None

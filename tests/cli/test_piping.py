"""What one command's JSON tells the next, beyond what test_log and test_mix play."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.command_line import answered, moldvol

ROOT = Path(__file__).parents[2]
TRAY = ROOT / "sample_meshes" / "tray_mould.stl"
RESIN = ("--resin", "fast-urethane")


def test_what_an_open_mould_holds_is_the_net_of_its_pour(tmp_path: Path) -> None:
    filled = moldvol("fill", TRAY, *RESIN, "--json")
    pour = answered("log", "add", "-", "--actual", "36g", "--book", tmp_path / "book.sqlite3", stdin=filled.out)["pour"]
    assert pour["net_g"] == pytest.approx(filled.document["fill"]["net_mass_g"]) and pour["net_g"] > 30


def test_foam_fills_what_it_can_reach() -> None:
    """A room behind a closed neck stays empty, as `moldvol hollow --backfill` has it."""
    hollow = {"hollow": {"core_volume_mm3": 300_000.0, "shut_in_volume_mm3": 40_000.0, "copies": 2}}
    charge = answered("foam", "-", stdin=json.dumps(hollow))["foam"]
    assert charge["core_volume_mm3"] == pytest.approx(2 * 260_000)

"""What holds for every test: no deadline on a busy machine, and hands off the user's own data."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

from moldvol.casting.heat import grids as heat_grids
from moldvol.geometry.grid import Grid

# Property tests share two cores with the rest of the suite: a slow example is no fault.
settings.register_profile("busy machine", deadline=None)
settings.load_profile("busy machine")


def pytest_configure(config: pytest.Config) -> None:
    """Give the run a data folder of its own, so that no test can write into the pour book of whoever runs it."""
    folder = tempfile.TemporaryDirectory(prefix="moldvol-tests-")
    config.add_cleanup(folder.cleanup)
    os.environ["XDG_DATA_HOME"] = folder.name


@pytest.fixture(scope="module")
def coarse_grids() -> Iterator[None]:
    """Grids of cells twice as large, for tests of what is done with a figure and not of how exact it is: an eighth of
    the cells. Volumes of nets are exact on any grid; those of fields keep within the tolerance stated in the module."""
    over = Grid.over

    def coarse(bounds: object, spacing_mm: float, layers: int = 2) -> Grid:
        return over(bounds, 2 * spacing_mm, layers)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Grid, "over", staticmethod(coarse))
        yield


@pytest.fixture(scope="module")
def coarse_heat() -> Iterator[None]:
    """Heat in cubes half as large again, for tests of what is told of an estimate and not of the estimate."""
    usual = heat_grids.heat_spacing_mm

    def coarse(*asked: Any, **more: Any) -> float:
        return 1.5 * usual(*asked, **more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(heat_grids, "heat_spacing_mm", coarse)
        yield

"""What holds for every test: no deadline on a busy machine, and hands off the user's own data."""

from __future__ import annotations

import os
import tempfile

import pytest
from hypothesis import settings

# Property tests share two cores with the rest of the suite: a slow example is no fault.
settings.register_profile("busy machine", deadline=None)
settings.load_profile("busy machine")


def pytest_configure(config: pytest.Config) -> None:
    """Give the run a data folder of its own, so that no test can write into the pour book of whoever runs it."""
    folder = tempfile.TemporaryDirectory(prefix="moldvol-tests-")
    config.add_cleanup(folder.cleanup)
    os.environ["XDG_DATA_HOME"] = folder.name

"""The examples in this room's docstrings, and in those of the casting modules that go with it, are run."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import moldvol.materials

MODULES = [f"moldvol.materials.{found.name}" for found in pkgutil.iter_modules(moldvol.materials.__path__)]
MODULES += [f"moldvol.casting.{name}" for name in ("mixing.leftover", "learned_allowance", "pour_book")]


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    module = importlib.import_module(name)
    assert doctest.testmod(module).failed == 0

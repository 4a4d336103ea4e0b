"""The page on the library shows what the library does."""

from __future__ import annotations

import contextlib
import doctest

from tests.manual import ROOT


def test_the_page_is_true() -> None:
    with contextlib.chdir(ROOT):
        outcome = doctest.testfile(str(ROOT / "docs" / "library.md"), module_relative=False)
    assert outcome.attempted > 8 and not outcome.failed

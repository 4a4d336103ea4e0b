"""A group of checks as a test for pytest."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.verification.checks import Check, Group
from tests.verification.table import objections_of_page


def each_holds(group: Group) -> Callable[[Check], None]:
    """A test of every check of *group*: that it holds, and that docs/verification.md tells it as it is."""

    @pytest.mark.parametrize("check", group.checks, ids=lambda check: check.name)
    def test_check(check: Check) -> None:
        if check.needs is not None and not check.needs.is_met():
            pytest.skip(check.needs.reason)
        outcome = check.outcome()
        objections = outcome.objections() or objections_of_page(group, outcome)
        if objections:
            pytest.fail("\n".join(objections), pytrace=False)

    return test_check

"""What the manual shows is what the program prints."""

from __future__ import annotations

import pytest

from tests.manual import Transcript, printed, transcripts


@pytest.mark.parametrize("shown", transcripts(), ids=lambda one: f"{one.page.name}: {one.command[:60]}")
def test_a_transcript_is_true(shown: Transcript) -> None:
    assert printed(shown.command) == shown.output

"""Every picture that a page of the documents shows is there, and quick to load."""

from __future__ import annotations

import re

from tests.manual import MANUAL, ROOT

PAGES = [*MANUAL, ROOT / "DEVELOPERS.md"]
MOST_BYTES = 200_000


def test_pictures_shown_are_there() -> None:
    shown = [
        (page.parent / target).resolve()
        for page in PAGES
        for target in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", page.read_text(encoding="utf-8"))
        if "://" not in target
    ]
    assert shown, "the README shows at least one picture"
    assert [path for path in shown if not path.is_file()] == []


def test_pictures_are_quick_to_load() -> None:
    made = sorted((ROOT / "docs" / "pictures").glob("*.png"))
    assert {"owl_views.png", "owl_hollow.png", "hand_hollow.png", "owl_sheet.png"} <= {path.name for path in made}
    assert [path.name for path in made if path.stat().st_size > MOST_BYTES] == []

"""Every link from one page of the documents to another leads somewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.manual import MANUAL, ROOT

PAGES = [*MANUAL, ROOT / "DEVELOPERS.md", ROOT / "sample_meshes" / "README.md"]
LINK = re.compile(r"(?<!!)\[[^\]]+\]\(([^)\s]+)\)")
FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)


def headings(page: Path) -> set[str]:
    """The anchors of a page's headings: small letters, hyphens for blanks, nothing else."""
    prose = FENCE.sub("", page.read_text(encoding="utf-8"))
    titles = re.findall(r"^#+ (.+)$", prose, re.MULTILINE)
    return {re.sub(r"[^\w -]", "", title.lower()).strip().replace(" ", "-") for title in titles}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in LINK.findall(FENCE.sub("", page.read_text(encoding="utf-8"))):
        if "://" in target:
            continue
        name, _, anchor = target.partition("#")
        led_to = (page.parent / name).resolve() if name else page
        assert led_to.exists(), f"{page.name} links to {target}, which is not there"
        assert not anchor or anchor in headings(led_to), f"{page.name} links to {target}, a heading that is not there"


def test_the_readme_leads_to_every_page() -> None:
    """Directly, or by the index of the manual."""
    index = ROOT / "docs" / "commands" / "README.md"
    starts = [ROOT / "README.md", index]
    led_to = {
        (page.parent / target.partition("#")[0]).resolve()
        for page in starts
        for target in LINK.findall(page.read_text(encoding="utf-8"))
        if "://" not in target
    }
    assert index in led_to
    assert [str(page.relative_to(ROOT)) for page in MANUAL if page not in led_to and page not in starts] == []

"""The sheet as a browser lays it out: one or two pages on A4 and Letter, and nothing beside the edge of a phone."""

from __future__ import annotations

import re
import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest

from moldvol.casting.cast import CastRequest, plan_cast
from moldvol.casting.mixing.pots import Pots, plan_pots
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.geometry.judging import read_solid
from moldvol.geometry.solid import SolidRequest
from moldvol.geometry.wall.caliper import feel_wall
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.scales import Scale
from moldvol.present import cast
from moldvol.present.numbers import Units
from moldvol.present.pictures import drawn, three_sides
from moldvol.present.report import Step
from moldvol.present.sheet import sheet_html
from tests.cli.command_line import moldvol

OWL = Path(__file__).parents[2] / "sample_meshes" / "owl_finial.stl"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")
BOX = re.compile(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]")
SIZES_PT = {"A4": (595, 842), "letter": (612, 792)}
# The page around the sheet says how wide its content would like to be.
PHONE = """<!doctype html><iframe src="sheet.html" style="width:{width}px;height:4000px;border:0"></iframe>
<script>onload = () => {{ const html = document.querySelector("iframe").contentDocument.documentElement;
document.body.dataset.wants = html.scrollWidth; document.body.dataset.has = html.clientWidth; }}</script>"""

# How many tables stand out of their section, and how many heads lie over the one to their right, to the pixel.
MEASURED = """<!doctype html><iframe src="sheet.html" style="width:{width}px;height:4000px;border:0"></iframe>
<script>onload = () => {{ const sheet = document.querySelector("iframe").contentDocument;
const over = [...sheet.querySelectorAll("table")].filter(one => one.getBoundingClientRect().right
  > one.closest("section").getBoundingClientRect().right + 1);
const words = head => {{ const range = sheet.createRange(); range.selectNodeContents(head);
  return range.getBoundingClientRect(); }};
const heads = [...sheet.querySelectorAll("th + th")].filter(
  head => head.closest("thead").offsetWidth > 1 && head.textContent.trim());
const onto = heads.filter(head => {{ const before = words(head.previousElementSibling);
  return before.width && before.right > words(head).left; }});
document.body.dataset.measured = `${{over.length}} tables ${{onto.length}} of ${{heads.length}} heads`; }}</script>"""


def browser(folder: Path, *arguments: str) -> str:
    """What a browser without a window prints, given *arguments*."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    assert found, "no chromium on this machine; .ci/run installs it"
    quiet = ("--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-dev-shm-usage")
    ran = subprocess.run(
        [found, "--headless=new", "--no-sandbox", *quiet, f"--user-data-dir={folder / 'profile'}", *arguments],
        capture_output=True,
        text=True,
        timeout=90,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def sheet() -> str:
    """The owl three times, in four pots with chalk stirred in: a full sheet."""
    solid = read_solid(OWL, SolidRequest())
    shelf = load_shelf(())
    mix = MixRequest(resin=shelf.resin("slow-urethane"), scale=Scale(readability_g=0.1))
    plan = plan_cast(solid, CastRequest(mix=mix, copies=3), wall=feel_wall(solid.mesh))
    report = cast.report(plan, plan_pots(plan.mix.request, Pots(pot_ml=200)), Units.METRIC)
    settings = {f"setting {number}": "as typed" for number in range(12)}
    steps = [Step("Let the casts cool", at="30:00", by="60:00")]
    return sheet_html(
        report, pictures=[drawn(three_sides(solid.mesh))], settings=settings, steps=steps, made_on=date(2025, 3, 1)
    )


@pytest.fixture(scope="module")
def two_halves(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A mould in two halves: two weigh-outs, nine steps, a box, vents. Nothing has more on its sheet."""
    path = tmp_path_factory.mktemp("sheet") / "mould.html"
    told = moldvol("mould", OWL.with_name("puppet_hand.stl"), "--rubber", "tin-silicone", "--parts", 2, "--sheet", path)
    assert told.status == 0
    return path.read_text(encoding="utf-8")


@pytest.mark.parametrize("size", ["A4", "letter"])
@pytest.mark.parametrize("job", ["sheet", "two_halves"])
def test_the_sheet_prints_on_two_pages(job: str, size: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    sheet = str(request.getfixturevalue(job))
    printed = sheet.replace("@page {", f"@page {{ size: {size};")
    assert printed != sheet
    (tmp_path / "sheet.html").write_text(printed, encoding="utf-8")
    out = tmp_path / "sheet.pdf"
    browser(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={out}", (tmp_path / "sheet.html").as_uri())
    pdf = out.read_bytes()
    assert len(PAGE.findall(pdf)) in (1, 2)
    width, height = (float(side) for side in BOX.findall(pdf)[0])
    assert (width, height) == pytest.approx(SIZES_PT[size], abs=1.5)


@pytest.fixture(scope="module")
def syringe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Coats whose catalyst no kitchen scale shows, told in grams and millilitres: the widest cells of any sheet."""
    path = tmp_path_factory.mktemp("coats") / "coats.html"
    asked = ("--wall", "3mm", "--resin", "casting-polyester", "--detail", "20k")
    assert moldvol("hollow", OWL, *asked, "--sheet", path).status == 0
    text = path.read_text(encoding="utf-8")
    assert re.search(r"0\.\d+ g<br>= 0\.\d+ ml", text)
    return text


@pytest.fixture(scope="module")
def closing(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Five coats of eight columns, times above two hours among them, and a table of necks that close."""
    path = tmp_path_factory.mktemp("necks") / "necks.html"
    asked = ("--wall", "9mm", "--resin", "casting-polyester", "--detail", "20k")
    assert moldvol("hollow", OWL, *asked, "--sheet", path).status == 0
    text = path.read_text(encoding="utf-8")
    assert "empty behind it" in text and "150:00" in text
    return text


@pytest.mark.parametrize("width", [600, 700, 800])
@pytest.mark.parametrize("job", ["sheet", "syringe", "closing", "two_halves"])
def test_tables_keep_within_the_margins_and_heads_apart(
    job: str, width: int, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    (tmp_path / "sheet.html").write_text(request.getfixturevalue(job), encoding="utf-8")
    (tmp_path / "measured.html").write_text(MEASURED.format(width=width), encoding="utf-8")
    page = browser(tmp_path, "--allow-file-access-from-files", "--dump-dom", (tmp_path / "measured.html").as_uri())
    found = re.search(r'data-measured="(\d+) tables (\d+) of (\d+) heads"', page)
    assert found, page[-500:]
    over, onto, heads = map(int, found.groups())
    assert (over, onto) == (0, 0)
    assert width < 700 or heads > 3  # on a phone the heads of a weigh-out stand in its cells


@pytest.mark.parametrize("width", [360, 800])
@pytest.mark.parametrize("job", ["sheet", "syringe", "closing"])
def test_nothing_runs_over_the_edge_of_a_screen(
    job: str, width: int, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    (tmp_path / "sheet.html").write_text(request.getfixturevalue(job), encoding="utf-8")
    (tmp_path / "phone.html").write_text(PHONE.format(width=width), encoding="utf-8")
    page = browser(tmp_path, "--allow-file-access-from-files", "--dump-dom", (tmp_path / "phone.html").as_uri())
    found = re.search(r'data-wants="(\d+)" data-has="(\d+)"', page)
    assert found, page[-500:]
    wants, has = map(int, found.groups())
    assert wants <= has <= width

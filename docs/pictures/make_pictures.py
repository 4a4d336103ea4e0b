"""Make the pictures of README and manual from the sample meshes: `python docs/pictures/make_pictures.py [folder]`.

Every picture is what a command writes or a browser shows, so that the README shows what a reader will get. Those of the
sheet and the page need a Chromium with its driver on the machine and are left as they were without them.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
import tempfile
from contextlib import redirect_stdout
from datetime import date
from pathlib import Path

from PIL import Image

from moldvol.cli import commands
from moldvol.cli.running import run

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SAMPLES = ROOT / "sample_meshes"
RESIN = ("--resin", "slow-urethane", "--readability", "0.1g")
RUBBER = ("--rubber", "tin-silicone")
OWL = ("hollow", "owl_finial.stl", "--wall", "3mm", *RESIN)  # as in the tutorial
HAND = ("hollow", "puppet_hand.stl", "--wall", "2.5mm", "--coats", "1", *RESIN)
DAY = "2025-03-01"  # on the sheet, so that it is the same on every run
WINDOW = (820, 1130)
GREYS = 32  # a shaded owl needs no more, and the file is a third of the size
COLOURS = 256  # for the page
MOST_BYTES = 200_000
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def main(folder: Path) -> None:
    """Write all pictures into *folder*."""
    folder = folder.resolve()
    os.chdir(SAMPLES)  # the sheet names the file as the reader would type it
    moldvol("cast", "owl_finial.stl", *RESIN, "--picture", folder / "owl_views.png")
    moldvol(*OWL, "--picture", folder / "owl_hollow.png")
    moldvol(*HAND, "--picture", folder / "hand_hollow.png")
    moldvol(
        "mould", "puppet_hand.stl", *RUBBER, "--parts", "2", "--up", "0,1,0", "--picture", folder / "hand_mould.png"
    )
    moldvol("fill", "puppet_hand.stl", "--picture", folder / "hand_vents.png")
    moldvol("heat", "owl_finial.stl", "--resin", "tough-urethane", "--picture", folder / "owl_heat.png")
    browser = next(filter(None, map(shutil.which, BROWSERS)), None)
    if browser is not None:
        photograph_sheet(browser, folder / "owl_sheet.png")
    if browser is not None and shutil.which("chromedriver"):
        photograph_page(folder / "bench_hollow.png", folder / "bench_pour.png")
    for picture in folder.glob("*.png"):
        shrink(picture)


def moldvol(*arguments: object) -> None:
    """Run a command whose files are wanted and whose words are not."""
    with redirect_stdout(io.StringIO()):
        status = run(commands, [*map(str, arguments), "--force", "--quiet"])
    if status:
        raise SystemExit(status)


def photograph_sheet(browser: str, picture: Path) -> None:
    """The upper part of the sheet of a hollow owl, as a browser shows it."""
    with tempfile.TemporaryDirectory() as place:
        sheet = Path(place) / "owl.html"
        moldvol(*OWL, "--sheet", sheet)
        text = sheet.read_text(encoding="utf-8").replace(date.today().isoformat(), DAY)
        sheet.write_text(text, encoding="utf-8")
        quiet = ("--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars")
        look = (f"--window-size={WINDOW[0]},{WINDOW[1]}", f"--screenshot={picture}", f"--user-data-dir={place}/profile")
        command = [browser, *quiet, *look, sheet.as_uri()]
        subprocess.run(command, check=True, capture_output=True, timeout=120)  # noqa: S603  (our own words only)


def photograph_page(hollow: Path, pour: Path) -> None:
    """A hollow owl cut open on the bench, and the second part of its first coat on a phone."""
    sys.path.insert(0, str(ROOT))  # the tests know how to drive the page
    from tests.page.browser.running import running
    from tests.page.browser.screen import PHONE, browser

    with (
        tempfile.TemporaryDirectory() as place,
        running(Path(place)) as bench,
        browser(Path(place) / "profile") as window,
    ):
        window.open(bench.address)
        window.drop(SAMPLES / "owl_finial.stl")
        window.wait_for_part("owl_finial.stl")
        window.tab("hollow")
        window.choose("readability", "0.1 g")
        window.wait_for_text("legend", "resin enters")  # the hollow has come
        window.choose("cut", "from the front")
        window.run("scrollTo(0, 0)")
        window.wait_until_still()
        window.driver.save_screenshot(str(hollow))
        window.touch("to-scale")
        window.touch("tick")
        window.wait_for_text("now", "B")
        window.open(window.driver.current_url, PHONE, dark=True)
        window.tab("pour")
        window.wait_for_text("now", "B")
        window.wait_until_still()
        window.driver.save_screenshot(str(pour))


def shrink(picture: Path) -> None:
    """Fewer greys or colours, to be quick to load."""
    if picture.name.startswith("bench"):
        Image.open(picture).convert("RGB").quantize(COLOURS, Image.Quantize.MAXCOVERAGE).save(picture, optimize=True)
    else:
        Image.open(picture).convert("L").quantize(GREYS).save(picture, optimize=True)
    if picture.stat().st_size > MOST_BYTES:
        raise SystemExit(f"{picture} has more than {MOST_BYTES} bytes")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)

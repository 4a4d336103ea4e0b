"""Dropping files: every sample, and what goes wrong."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.page.browser.running import LIMIT_MB, Running
from tests.page.browser.screen import Screen, browser
from tests.page.hands import SAMPLES

# What the part's sheet must say of each sample, from the list in its folder.
TOLD = {
    "owl_finial.stl": "52.3 × 52.1 × 112 mm",
    "owl_scan.ply": "drawn in m it would make sense",
    "hollow_owl_with_drain.stl": "46.99 ml",
    "carnival_half_mask.stl": "177 × 85.6 × 109 mm",
    "lantern_bracket_inches.obj": "1.57",
    "puppet_hand.stl": "18.17 ml",
    "tray_mould.stl": "145.9 ml",
    "two_figures.3mf": "114.5 ml",
}
NASTY = "<img src=x onerror=alert(1)>.stl"


@pytest.mark.parametrize("name", TOLD)
def test_every_sample_is_read_told_and_drawn(screen: Screen, name: str) -> None:
    screen.drop(SAMPLES / name)
    screen.wait_for_part(name)
    screen.wait_for_text("words", TOLD[name])
    screen.one(".part-view[data-drawn] canvas")


def test_a_broken_file_is_refused_in_a_sentence_and_its_name_is_only_text(screen: Screen, tmp_path: Path) -> None:
    path = tmp_path / NASTY
    path.write_bytes(b"<html>404 not found</html>")
    screen.drop(path)
    assert NASTY in screen.wait_for_text("refused", NASTY)
    assert not screen.all("img[src=x]")
    screen.drop(SAMPLES / "puppet_hand.stl")
    screen.wait_for_part("puppet_hand.stl")


def test_a_good_file_with_a_nasty_name_is_told_under_it(screen: Screen, cube: Path, tmp_path: Path) -> None:
    path = tmp_path / NASTY
    path.write_bytes(cube.read_bytes())
    screen.drop(path)
    screen.wait_for_part(NASTY)
    assert not screen.all("img[src=x]")


def test_an_empty_file_is_refused(screen: Screen, tmp_path: Path) -> None:
    path = tmp_path / "empty.stl"
    path.touch()
    screen.drop(path)
    screen.wait_for_text("refused", "empty.stl")


def test_a_file_over_the_limit_is_refused_before_it_is_sent(screen: Screen, tmp_path: Path) -> None:
    path = tmp_path / "large.stl"
    path.write_bytes(b"x" * (LIMIT_MB * 1_000_000 + 1))
    assert f"up to {LIMIT_MB} MB" in screen.words(".drop-zone")
    screen.drop(path)
    screen.wait(lambda: "large.stl is 3.01 MB; this page takes files up to 3 MB" in screen.words(".drop-zone"))


def test_the_server_refuses_what_is_over_the_limit_too(bench: Running) -> None:
    place = f"{bench.job()}/file"
    headers = {"Origin": bench.address, "X-File-Name": "large.stl"}
    body = b"x" * (LIMIT_MB * 1_000_000 + 1)
    status, _, said = bench.asked(place, method="POST", headers=headers, body=body)
    assert (status, said.split(";")[0]) == (413, "large.stl is 3.01 MB")
    pieces = (b"x" * 500_000 for _ in range(7))  # nobody says beforehand how much it will be
    status, _, said = bench.asked(place, method="POST", headers=headers, body=pieces)
    assert (status, said.split(";")[0]) == (413, "large.stl is larger")
    assert not bench.uploads()


def test_an_upload_can_be_cancelled_and_leaves_nothing(screen: Screen, bench: Running) -> None:
    slow = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 100_000}
    screen.driver.execute_cdp_cmd("Network.enable", {})
    screen.driver.execute_cdp_cmd("Network.emulateNetworkConditions", slow)
    try:
        screen.drop(SAMPLES / "owl_finial.stl")
        screen.one(".drop-zone progress")
        screen.wait(bench.uploads, "the first bytes")
        screen.press("Cancel")
        screen.wait(lambda: not bench.uploads(), "nothing left behind")
    finally:
        screen.driver.execute_cdp_cmd("Network.emulateNetworkConditions", {**slow, "uploadThroughput": -1})
    assert "Drop a mesh here" in screen.words(".drop-zone")


def test_of_several_files_each_gets_a_page(screen: Screen, cube: Path, tmp_path: Path) -> None:
    nasty, large = tmp_path / NASTY, tmp_path / "large.stl"
    nasty.write_bytes(cube.read_bytes())
    large.write_bytes(b"x" * (LIMIT_MB * 1_000_000 + 1))
    screen.drop(SAMPLES / "puppet_hand.stl", nasty, large)
    screen.wait_for_part("puppet_hand.stl")
    (other,) = screen.wait(lambda: screen.all(".others a"))
    assert other.text == NASTY
    assert "large.stl is 3.01 MB" in screen.words(".others")
    screen.open(str(other.get_attribute("href")))
    screen.wait_for_part(NASTY)
    assert not screen.all("img[src=x]")
    screen.driver.back()
    screen.wait_for_part("puppet_hand.stl")


def test_two_files_may_come_at_once(window: Screen, bench: Running, cube: Path) -> None:
    def sent(path: Path) -> tuple[str, int]:
        job = bench.job()
        headers = {"Origin": bench.address, "X-File-Name": path.name}
        return job, bench.asked(f"{job}/file", method="POST", headers=headers, body=path.read_bytes())[0]

    paths = (cube, SAMPLES / "puppet_hand.stl")
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(sent, paths))
    for path, (job, status) in zip(paths, answers, strict=True):
        assert status == 204
        window.open(f"{bench.address}{job}")
        window.wait_for_part(path.name)
    window.driver.refresh()
    window.wait_for_part(paths[-1].name)
    window.wait_until_idle()
    assert not bench.uploads()


def test_one_part_of_a_file_is_taken_alone(screen: Screen) -> None:
    screen.drop(SAMPLES / "two_figures.3mf")
    screen.wait_for_part("two_figures.3mf")
    screen.choose("part", "2 jester")
    screen.wait_for_text("size", "49.3 × 46.9 × 90.3 mm")
    screen.wait_for_text("words", "31.91 ml")
    screen.drop(SAMPLES / "puppet_hand.stl")
    screen.wait_for_part("puppet_hand.stl")
    assert not screen.seen(".knob-part")


def test_work_can_be_stopped_and_begun_anew(screen: Screen, cube: Path) -> None:
    screen.drop(SAMPLES / "tray_mould.stl")
    screen.wait_for_text("stage", "Measuring the depth")
    screen.touch("stop")
    screen.wait(lambda: "Drop a mesh here" in screen.words(".drop-zone"))
    screen.drop(cube)
    screen.wait_for_part("cube.stl")


def test_another_unit_is_taken_at_once(screen: Screen, cube: Path) -> None:
    screen.drop(cube)
    screen.wait_for_part("cube.stl")
    assert "40 × 40 × 40 mm" in screen.text("size")
    screen.type("scale", "2")
    screen.wait_for_text("size", "80 × 80 × 80 mm")
    screen.press("in oz")
    screen.wait_for_text("words", "US fl oz")


def test_the_part_is_shown_from_three_sides_where_there_is_no_3d(bench: Running, cube: Path, tmp_path: Path) -> None:
    with browser(tmp_path / "profile", with_3d=False) as screen:
        screen.open(bench.address)
        screen.drop(cube)
        screen.wait_for_part("cube.stl")
        picture = screen.one(".no-3d img")
        screen.wait(lambda: screen.run("return arguments[0].naturalWidth", picture) > 100)
        assert "64 ml" in screen.text("words")

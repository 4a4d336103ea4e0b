"""Turning knobs, looking, and taking the sheet away."""

import math
import re
from pathlib import Path

import pytest
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

from tests.page.browser.running import Running
from tests.page.browser.screen import DESKTOP, PHONE, Screen

CUBE_G, WITH_WASTE = 64 * 1.08, 1.10  # a 40 mm cube of slow urethane, and the usual allowance for so little
FIELD_OF_VIEW = 18.0  # degrees, of part_view.js
PLACE = re.compile(r"at ([\d.]+),([\d.]+),([\d.]+)")
TABS = ("part", "solid", "hollow", "side", "pour")
# Everything in letters whose colour stands out from what is under it less than WCAG 2.1, 1.4.3 asks for.
PALE = """
  const linear = (x) => (x <= 0.03928 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4);
  const light = (colour) => {
    const [r, g, b] = colour.match(/[\\d.]+/g).map((x) => linear(x / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const under = (one) => {
    for (; one; one = one.parentElement) {
      const colour = getComputedStyle(one).backgroundColor;
      if (!/, 0\\)$/.test(colour)) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const words = "h1, h2, dt, dd .value, .remark, .quiet, .amount-value, .part-name, .size, button, li, th, td";
  return [...document.querySelectorAll(words)]
    .filter((one) => one.offsetParent && one.textContent.trim())
    .map((one) => {
      const [more, less] = [light(getComputedStyle(one).color), light(under(one))].sort((a, b) => b - a);
      return [(more + 0.05) / (less + 0.05), one.className || one.tagName, one.textContent.trim().slice(0, 30)];
    })
    .filter(([ratio]) => ratio < 4.5);
"""
# How much of the part's picture is nearest in hue to its skin, to where it is cut, and to its hollow.
SHARES = """
  const canvas = document.querySelector(".part-view canvas"), copy = document.createElement("canvas");
  [copy.width, copy.height] = [canvas.width, canvas.height];
  const pen = copy.getContext("2d");
  pen.drawImage(canvas, 0, 0);
  const { data } = pen.getImageData(0, 0, copy.width, copy.height);
  const style = getComputedStyle(canvas);
  const hue = (r, g, b) => { const sum = r + g + b || 1; return [r / sum, g / sum, b / sum]; };
  const known = ["--clay", "--cut", "--hollow"].map((name) => {
    const number = parseInt(style.getPropertyValue(name).trim().slice(1), 16);
    return hue(number >> 16, (number >> 8) & 255, number & 255);
  });
  const counts = [0, 0, 0];
  for (let at = 0; at < data.length; at += 4) {
    if (data[at + 3] < 255) continue;
    const seen = hue(data[at], data[at + 1], data[at + 2]);
    const away = known.map((one) => Math.hypot(...one.map((part, number) => part - seen[number])));
    counts[away.indexOf(Math.min(...away))] += 1;
  }
  const all = counts.reduce((a, b) => a + b, 0);
  return counts.map((count) => count / all);
"""
# How many pixels of the page the part is wide.
ACROSS = """
  const canvas = document.querySelector(".part-view canvas"), copy = document.createElement("canvas");
  [copy.width, copy.height] = [canvas.width, canvas.height];
  const pen = copy.getContext("2d");
  pen.drawImage(canvas, 0, 0);
  const { data } = pen.getImageData(0, 0, copy.width, copy.height);
  let first = copy.width, last = 0;
  for (let at = 3; at < data.length; at += 4) {
    if (data[at] < 255) continue;
    const x = ((at - 3) / 4) % copy.width;
    [first, last] = [Math.min(first, x), Math.max(last, x)];
  }
  return ((last - first + 1) / copy.width) * canvas.clientWidth;
"""
# Everything to be pressed that a gloved finger would miss; fields and sliders are as high as their frames.
SMALL = """
  return [...document.querySelectorAll("button, a, input:not([type=file])")]
    .filter((one) => one.offsetParent && !one.closest(".q-field, .q-slider, .q-toggle, .q-radio"))
    .map((one) => [one.textContent, one.getBoundingClientRect().height])
    .filter(([, height]) => 0 < height && height < 40);
"""


@pytest.fixture
def with_cube(screen: Screen, cube: Path) -> Screen:
    screen.drop(cube)
    screen.wait_for_part("cube.stl")
    return screen


def grams(screen: Screen) -> float:
    return float(screen.amount().split()[0])


# Tells afterwards whether the button that takes a mix to the scale could not be pressed for a while.
WATCH = """
  const button = document.querySelector('[data-is="to-scale"]');
  new MutationObserver(() => { window.wasHeldBack ||= button.disabled; }).observe(button, {attributes: true});
"""


def test_a_mix_cannot_be_weighed_out_while_its_figures_are_old(with_cube: Screen) -> None:
    with_cube.tab("mould")
    with_cube.one('[data-is="to-scale"]')
    with_cube.run(WATCH)
    with_cube.choose("style", "brushed glove and jacket")
    with_cube.wait(lambda: with_cube.run("return window.wasHeldBack"), "a button held back")
    with_cube.wait(lambda: with_cube.one('[data-is="to-scale"]').is_enabled(), "a button to press again")


def test_copies_change_the_grams(with_cube: Screen) -> None:
    with_cube.tab("solid")
    once = grams(with_cube)
    assert once == pytest.approx(CUBE_G * WITH_WASTE, abs=0.1)
    with_cube.press("+")
    with_cube.wait(lambda: grams(with_cube) > 1.8 * once)
    with_cube.type("copies", "many")
    with_cube.wait(lambda: "no number of copies" in with_cube.words(".knobs"))


def test_the_wall_changes_the_grams_and_shows_the_core(with_cube: Screen) -> None:
    with_cube.tab("hollow")
    thick = grams(with_cube)  # 4 mm of wall: 64 − 32.77 ml
    assert thick == pytest.approx((64 - 32.768) * 1.08 * WITH_WASTE, rel=0.01)
    with_cube.type("wall", "2mm")
    with_cube.wait(lambda: grams(with_cube) == pytest.approx((64 - 46.656) * 1.08 * WITH_WASTE, rel=0.01))
    slider = with_cube.one('[data-is="wall-slider"] [tabindex]')
    for _ in range(4):
        slider.send_keys(Keys.ARROW_RIGHT)
    with_cube.wait(lambda: grams(with_cube) == pytest.approx(thick, rel=0.005))
    with_cube.wait(
        lambda: [one for one in with_cube.all(".q-toggle") if "See through" in one.text and one.is_displayed()]
    )
    with_cube.wait(lambda: with_cube.all('[data-is="plots"] img'), "the shell curve")


def test_the_opening_is_picked_on_the_part(with_cube: Screen) -> None:
    with_cube.tab("hollow")
    with_cube.amount()
    with_cube.press("Top")
    with_cube.press("Pick on the part")
    with_cube.one(".picking")
    canvas = with_cube.one(".part-view canvas")
    with_cube.run("arguments[0].scrollIntoView({block: 'center'})", canvas)
    ActionChains(with_cube.driver).move_to_element(canvas).click().perform()
    place = with_cube.wait(lambda: PLACE.search(with_cube.words(".knob-opening")), "a place on the part")
    assert [float(x) for x in place.groups()] == pytest.approx([20, 20, 40], abs=0.5)  # the middle of its top


def test_the_opening_is_picked_with_keys(with_cube: Screen) -> None:
    with_cube.tab("hollow")
    with_cube.amount()
    with_cube.press("Front")
    with_cube.press("Pick on the part")
    with_cube.one(".picking")
    with_cube.wait(lambda: with_cube.driver.switch_to.active_element.tag_name == "canvas")
    with_cube.driver.switch_to.active_element.send_keys(Keys.ESCAPE)
    with_cube.wait(lambda: not with_cube.seen(".picking"))
    with_cube.press("Pick on the part")
    with_cube.wait(lambda: with_cube.driver.switch_to.active_element.tag_name == "canvas")
    with_cube.driver.switch_to.active_element.send_keys(Keys.ENTER)
    place = with_cube.wait(lambda: PLACE.search(with_cube.words(".knob-opening")), "a place on the part")
    assert [float(x) for x in place.groups()] == pytest.approx([20, 0, 20], abs=0.5)  # the middle of its front
    assert "resin enters" in with_cube.text("legend")


def test_one_looks_into_the_hollow_where_it_is_cut(with_cube: Screen) -> None:
    with_cube.tab("hollow")
    with_cube.press("plain")
    with_cube.press("Front")
    with_cube.wait_for_text("legend", "resin enters")  # comes with the hollow
    with_cube.wait(lambda: with_cube.run(SHARES)[0] > 0.9, "its front, uncut")
    with_cube.choose("cut", "from the front")
    with_cube.wait(lambda: with_cube.run(SHARES)[1] > 0.2, "the cut wall")
    _, cut, hollow = with_cube.run(SHARES)
    assert cut == pytest.approx(1 - 0.8**2, abs=0.1)  # 40 mm across, 32 of them empty
    assert hollow == pytest.approx(0.8**2, abs=0.1)


def test_the_size_of_the_part_can_be_read_off_its_picture(with_cube: Screen) -> None:
    with_cube.press("Front")
    bar = with_cube.one(".size-bar")
    shown_mm = float(bar.text.split()[0])
    assert bar.text.endswith("mm")
    across = with_cube.run(ACROSS)
    length = with_cube.run("return arguments[0].querySelector('span').getBoundingClientRect().width", bar)
    # The bar holds at the middle of the part; from Front the whole part fits the view, and its face is 20 mm nearer.
    away_mm = 1.02 * 40 * math.sqrt(3) / 2 / math.sin(math.radians(FIELD_OF_VIEW / 2))
    assert across / length * shown_mm == pytest.approx(40 * away_mm / (away_mm - 20), rel=0.03)
    with_cube.press("in oz")
    with_cube.wait(lambda: with_cube.words(".size-bar").endswith("in"))
    assert sorted(
        with_cube.run("return [...document.querySelectorAll('.axes text')].map((one) => one.textContent)")
    ) == [
        "x",
        "y",
        "z",
    ]


def test_the_page_itself_prints_with_the_part_on_white(window: Screen, bench: Running, cube: Path) -> None:
    window.open(bench.address, dark=True)
    window.drop(cube)
    window.wait_for_part("cube.stl")
    window.tab("solid")
    window.amount()
    window.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        assert window.seen(".part-view canvas")
        assert window.seen(".part-name")
        assert window.words(".on-paper").startswith("20")
        assert not window.seen("button, .knobs, .tabs")
        assert window.run("return getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert window.run(PALE) == []
    finally:
        window.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def test_the_part_is_turned_by_keys_and_cut(with_cube: Screen) -> None:
    view = with_cube.one(".part-view[data-drawn]")
    drawn = int(view.get_attribute("data-drawn") or 0)
    with_cube.one(".part-view canvas").send_keys(Keys.ARROW_LEFT, Keys.ARROW_UP, "+")
    with_cube.wait(lambda: int(view.get_attribute("data-drawn") or 0) > drawn)
    with_cube.press("thick")
    with_cube.wait_for_text("legend", "depth below the surface")


def test_two_people_do_not_disturb_each_other(with_cube: Screen, bench: Running, cube: Path) -> None:
    first = with_cube.driver.current_window_handle
    with_cube.driver.switch_to.new_window("window")
    try:
        with_cube.open(bench.address)
        with_cube.drop(Path(__file__).parents[3] / "sample_meshes" / "tray_mould.stl")
        with_cube.wait_for_text("stage", "e")  # whatever it is working on just now
        second = with_cube.driver.current_window_handle
        with_cube.driver.switch_to.window(first)
        with_cube.tab("solid")
        assert grams(with_cube) == pytest.approx(CUBE_G * WITH_WASTE, abs=0.1)
        with_cube.driver.switch_to.window(second)
        with_cube.wait_for_part("tray_mould.stl")
        with_cube.driver.close()
    finally:
        with_cube.driver.switch_to.window(first)
    assert with_cube.text("part-name") == "cube.stl"


def test_the_same_job_on_a_second_screen_follows(with_cube: Screen) -> None:
    with_cube.tab("solid")
    with_cube.amount()
    first, address = with_cube.driver.current_window_handle, with_cube.driver.current_url
    with_cube.driver.switch_to.new_window("window")
    try:
        with_cube.open(address)
        with_cube.tab("solid")
        with_cube.wait(lambda: grams(with_cube))
        with_cube.type("copies", "3")
        with_cube.wait(lambda: grams(with_cube) > 2.5 * CUBE_G)
        with_cube.driver.close()
    finally:
        with_cube.driver.switch_to.window(first)
    with_cube.wait(lambda: grams(with_cube) > 2.5 * CUBE_G)


def test_the_sheet_for_the_workshop_opens_by_itself(with_cube: Screen, bench: Running) -> None:
    path = with_cube.driver.current_url.removeprefix(bench.address)
    status, headers, html = bench.asked(f"{path}/sheet/solid")
    assert status == 200
    assert "cube-solid.html" in headers["content-disposition"]
    assert "slow polyurethane" in html
    assert bench.asked(f"{path}/sheet/nothing")[0] == 404


def test_what_takes_seconds_says_so_and_fits_a_phone_too(window: Screen, bench: Running, cube: Path) -> None:
    window.open(bench.address, PHONE)
    window.drop(cube)
    window.wait_for_part("cube.stl")
    window.wait_until_idle()
    for tab, words in (("holds", "What it holds"), ("mould", "Block mould"), ("heat", "How hot")):
        window.tab(tab)
        window.wait_for_text("words", words)
        assert window.run("return document.documentElement.scrollWidth") <= PHONE[0], tab
        assert window.run(PALE) == [], tab


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_every_tab_fits_and_can_be_read(
    window: Screen, bench: Running, cube: Path, size: tuple[int, int], dark: bool
) -> None:
    window.open(bench.address, size, dark=dark)
    window.drop(cube)
    window.wait_for_part("cube.stl")
    for tab in TABS:
        window.tab(tab)
        window.one(".pour" if tab == "pour" else ".sheet dl, .sheet table")
        assert window.run("return document.documentElement.scrollWidth") <= size[0], tab
        assert window.run(PALE) == [], tab
        assert window.run(SMALL) == [], tab


def test_everything_that_can_be_used_has_a_name_to_be_read_aloud(with_cube: Screen) -> None:
    with_cube.tab("hollow")
    with_cube.amount()
    nodes = with_cube.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    used = {"button", "textbox", "combobox", "slider", "tab", "switch", "radio", "link", "checkbox"}
    nameless = [
        node
        for node in nodes
        if not node.get("ignored") and node["role"]["value"] in used and not node["name"]["value"].strip()
    ]
    assert not nameless


def test_nothing_comes_from_anywhere_else(with_cube: Screen, bench: Running) -> None:
    with_cube.driver.get_log("browser")
    with_cube.driver.refresh()
    with_cube.one(".part-view[data-drawn]")
    loaded = with_cube.run("return performance.getEntriesByType('resource').map((one) => one.name)")
    assert loaded
    assert not [name for name in loaded if not name.startswith((bench.address, "data:", "blob:"))]
    severe = [entry for entry in with_cube.driver.get_log("browser") if entry["level"] == "SEVERE"]
    assert not severe

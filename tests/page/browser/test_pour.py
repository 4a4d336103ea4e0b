"""Weighing out at the bench, on a phone."""

from pathlib import Path

from selenium.webdriver.common.keys import Keys

from moldvol.casting.pour_book import PourBook
from tests.page.browser.running import Running
from tests.page.browser.screen import PHONE, Screen


def begin(window: Screen, bench: Running, amount: str) -> None:
    window.open(bench.address, PHONE)
    window.tab("pour")
    window.type("amount", amount)
    window.press("Begin")
    window.one('[data-is="reading"]')


def test_an_over_pour_corrects_the_rest_and_goes_into_the_book(window: Screen, bench: Running) -> None:
    begin(window, bench, "190g")
    assert "isocyanate" in window.words(".pour-cautions")
    assert window.text("reading") == "100 g"
    window.type("shown", "110")
    window.touch("enter")
    window.wait_for_text("reading", "209 g")
    window.type("shown", "90")
    window.touch("enter")
    window.wait_for_text("pour-fault", "less than the 110 g in the cup")
    window.touch("tick")
    window.wait_for_text("now", "All in the cup")
    assert "left to pour" in window.words(".pot-clock.running")
    window.touch("emptied")
    window.touch("into-book")
    assert "209 g" in window.wait_for_text("entered", "209 g")
    entry = PourBook(bench.book).pours()[-1]
    assert (entry.resin, entry.planned_g, entry.actual_g) == ("slow-urethane", 190.0, 209.0)


def test_a_pour_is_weighed_with_the_keyboard_alone_and_told_aloud(window: Screen, bench: Running) -> None:
    begin(window, bench, "190g")
    assert window.all('[data-is="aloud"]')[0].get_attribute("textContent") == "A: pour until the scale shows 100 g."
    window.one('[data-is="tick"]').send_keys(Keys.ENTER)
    window.wait_for_text("reading", "190 g")
    window.wait(lambda: window.run("return document.activeElement.innerText") == "It shows 190 g")
    window.driver.switch_to.active_element.send_keys(Keys.ENTER)
    window.wait_for_text("now", "All in the cup")
    window.wait(lambda: window.run("return document.activeElement.innerText") == "It is in the mould")
    assert "mix, and pour" in str(window.all('[data-is="aloud"]')[0].get_attribute("textContent"))


def test_an_amount_is_weighed_on_the_scale_at_hand(window: Screen, bench: Running) -> None:
    window.open(bench.address, PHONE)
    window.tab("pour")
    window.choose("readability", "0.1 g")
    window.type("amount", "30g")
    window.press("Begin")
    assert window.text("reading") == "15.8 g"
    assert not window.seen(".knobs")  # they change this pour no more


def test_a_pour_and_its_clock_outlive_a_reload(window: Screen, bench: Running) -> None:
    begin(window, bench, "190g")
    window.touch("tick")
    window.wait_for_text("reading", "190 g")
    window.press("The parts have met: start the clock")
    window.one(".pot-clock.running")
    window.open(window.driver.current_url, PHONE)
    window.tab("pour")
    window.wait_for_text("reading", "190 g")
    assert window.words(".pot-clock.running .clock-time").startswith(("7:", "8:"))


def test_the_figures_can_be_read_at_arm_s_length(window: Screen, bench: Running) -> None:
    begin(window, bench, "190g")
    reading, tick = window.one('[data-is="reading"]'), window.one('[data-is="tick"]')
    assert reading.size["height"] >= 70
    assert tick.size["height"] >= 80
    assert tick.size["width"] >= 300


def test_what_is_no_amount_is_said(window: Screen, bench: Running) -> None:
    window.open(bench.address, PHONE)
    window.tab("pour")
    window.type("amount", "some")
    window.press("Begin")
    window.wait_for_text("pour-fault", "'some' is not")


def test_a_sheet_s_mix_goes_to_the_scale(screen: Screen, cube: Path) -> None:
    screen.drop(cube)
    screen.wait_for_part("cube.stl")
    screen.tab("solid")
    screen.touch("to-scale")
    assert screen.wait_for_text("reading", "g") == "40 g"

"""A real browser on the page, spoken to in the page's own words. Every wait is for something to be there."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from selenium import webdriver
from selenium.common.exceptions import StaleElementReferenceException
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.ui import WebDriverWait

T = TypeVar("T")

PATIENCE_S = 240.0
STILL_S = 1.0
DESKTOP, PHONE = (1280, 900), (360, 740)
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
)
BROWSERS = ("chromium", "google-chrome", "chromium-browser", "chrome")


class Screen:
    """One browser window."""

    def __init__(self, driver: webdriver.Chrome) -> None:
        self.driver = driver

    # ---- seeing

    def all(self, selector: str) -> list[WebElement]:
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    def wait(self, true: Callable[[], T], what: str = "") -> T:
        """What *true* returns as soon as it is true."""

        def seen(driver: object) -> T | bool:
            try:
                return true() or False
            except (StaleElementReferenceException, IndexError):
                return False  # drawn anew just now

        found: Any = WebDriverWait(self.driver, PATIENCE_S, 0.05).until(seen, what)
        return found  # type: ignore[no-any-return]

    def one(self, selector: str) -> WebElement:
        """The first visible element, once it is there."""
        return self.wait(lambda: self.seen(selector)[0], selector)

    def seen(self, selector: str) -> list[WebElement]:
        """All that are visible just now."""
        return [one for one in self.all(selector) if one.is_displayed()]

    def words(self, selector: str) -> str:
        """What stands in the first visible element, once something does."""
        return self.wait(lambda: self.seen(selector)[0].text, selector)

    def text(self, name: str) -> str:
        """What stands in the place called *name* in the page."""
        return self.words(f'[data-is="{name}"]')

    def wait_for_text(self, name: str, words: str) -> str:
        def text() -> str:
            shown = self.all(f'[data-is="{name}"]')[0].text
            return shown if words in shown else ""

        return self.wait(text, f"{words} in {name}")

    def run(self, script: str, *arguments: Any) -> Any:
        return self.driver.execute_script(script, *arguments)

    # ---- doing

    def open(self, address: str, size: tuple[int, int] = DESKTOP, *, dark: bool = False) -> None:
        width, height = size
        scheme = [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]
        self.driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": size == PHONE},
        )
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": scheme})
        self.driver.get(address)
        self.one(".drop-zone, .pour")
        self.wait(lambda: self.run("return window.socket?.connected"), "the connection")

    def drop(self, *paths: Path) -> None:
        """Let files fall on the page, by way of the button's own file field."""
        self.wait(lambda: self.all("input[type=file]")[0]).send_keys("\n".join(map(str, paths)))

    def click(self, element: WebElement) -> None:
        self.run("arguments[0].scrollIntoView({block: 'center'})", element)
        element.click()

    def press(self, text: str) -> None:
        """Click the visible button on which *text* stands."""

        def pressed() -> bool:
            buttons = [one for one in self.seen("button, a") if one.text.strip() == text]
            self.click(buttons[0])
            return True

        self.wait(pressed, text)

    def touch(self, name: str) -> None:
        """Click what is called *name* in the page."""

        def touched() -> bool:
            self.click(self.seen(f'[data-is="{name}"]')[0])
            return True

        self.wait(touched, name)

    def tab(self, key: str) -> None:
        self.run("arguments[0].click()", self.wait(lambda: self.all(f'[data-is="tab-{key}"]')[0]))

    def choose(self, name: str, words: str) -> None:
        """Choose what is called *words* from the list called *name*."""

        def chosen() -> bool:
            offered = [one for one in self.seen(".q-menu .q-item") if one.text.strip() == words]
            if not offered:
                self.click(self.seen(f'.q-select:has([data-is="{name}"]), .q-select[data-is="{name}"]')[0])
                return False
            offered[0].click()
            return True

        self.wait(chosen, f"{words} in {name}")

    def type(self, name: str, text: str) -> None:
        """Put *text* into the field called *name*, in place of what stood there."""
        field = self.one(f'input[data-is="{name}"], [data-is="{name}"] input')
        field.send_keys(Keys.CONTROL, "a")
        field.send_keys(text)

    # ---- after dropping

    def wait_for_part(self, name: str) -> None:
        """Until the sheet of the part called *name* is told."""
        self.wait_for_text("part-name", name)
        self.wait(lambda: self.all(".sheet .verdict, .sheet dl"))

    def wait_until_idle(self) -> None:
        self.wait(lambda: not self.seen('[data-is="stage"]'))

    def wait_until_still(self) -> None:
        """Until nothing moves any more: no slider, no menu, no picture being drawn."""

        def still() -> bool:
            before = self.driver.get_screenshot_as_base64()
            time.sleep(STILL_S)
            return self.driver.get_screenshot_as_base64() == before

        self.wait(still, "a still picture")

    def amount(self) -> str:
        """The large figure."""
        return self.wait(lambda: self.all(".amount-value")[0].text)


@contextmanager
def browser(folder: Path, *, with_3d: bool = True) -> Iterator[Screen]:
    """A browser of its own, with its profile in *folder*."""
    options = webdriver.ChromeOptions()
    options.binary_location = next(filter(None, map(shutil.which, BROWSERS)))
    picture = "--enable-unsafe-swiftshader" if with_3d else "--disable-3d-apis"
    for flag in (*FLAGS, picture, f"--user-data-dir={folder}"):
        options.add_argument(flag)
    service = Service(shutil.which("chromedriver"))
    driver = webdriver.Chrome(options=options, service=service)
    try:
        yield Screen(driver)
    finally:
        driver.quit()

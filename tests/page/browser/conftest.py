from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.files import CUBE_CORNERS, binary_stl
from tests.page.browser.running import Running, running
from tests.page.browser.screen import Screen, browser


@pytest.fixture(scope="session")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running(tmp_path_factory.mktemp("bench")) as started:
        yield started


@pytest.fixture(scope="session")
def window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Screen]:
    with browser(tmp_path_factory.mktemp("profile")) as screen:
        yield screen


@pytest.fixture
def screen(bench: Running, window: Screen) -> Screen:
    """The window on a new job."""
    window.open(bench.address)
    return window


@pytest.fixture(scope="session")
def cube(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A 40 mm cube: quick to measure, and every figure known."""
    path = tmp_path_factory.mktemp("files") / "cube.stl"
    path.write_bytes(binary_stl(2 * CUBE_CORNERS))
    return path


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser on a busy machine may miss a beat: its tests are tried a second time before they count as failed."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.flaky(reruns=1))

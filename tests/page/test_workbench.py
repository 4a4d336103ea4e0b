"""The part at hand is the one asked for last, whichever order comes to its end last."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from moldvol.errors import MoldvolError, RequestError, UnreadableMesh
from moldvol.page.knobs import Asked
from moldvol.page.workbench import Workbench
from tests.files import CUBE_CORNERS, binary_stl

pytestmark = pytest.mark.usefixtures("coarse_grids")


def nothing(stage: str, share: float) -> None:
    """Progress that nobody looks at."""


def meanwhile(act: Callable[[], object]) -> Callable[[str, float], None]:
    """Progress that does *act* when the work it is told of has begun, and only then."""
    left = [act]

    def progress(stage: str, share: float) -> None:
        if left:
            left.pop()()

    return progress


@pytest.fixture
def cube(tmp_path: Path) -> str:
    path = tmp_path / "cube.stl"
    path.write_bytes(binary_stl())
    return str(path)


@pytest.fixture
def bench(cube: str) -> Workbench:
    bench = Workbench()
    bench.read(nothing, 1, cube, "cube.stl", Asked())
    return bench


def side_mm(bench: Workbench) -> float:
    assert bench.part is not None
    return bench.part.solid.size_mm[0]


def test_a_size_asked_for_last_stays_though_an_older_one_ends_last(bench: Workbench) -> None:
    newer = meanwhile(lambda: bench.remake(nothing, 3, Asked()))
    with pytest.raises(RequestError, match="meanwhile"):
        bench.remake(newer, 2, Asked(scale=2))
    assert side_mm(bench) == pytest.approx(20)


def test_an_older_order_that_begins_late_is_not_even_begun(bench: Workbench) -> None:
    bench.remake(nothing, 3, Asked(scale=3))
    with pytest.raises(RequestError, match="meanwhile"):
        bench.remake(meanwhile(pytest.fail), 2, Asked(scale=2))
    assert side_mm(bench) == pytest.approx(60)


def test_a_file_dropped_last_stays_though_an_older_one_is_read_last(bench: Workbench, tmp_path: Path) -> None:
    large = tmp_path / "large.stl"
    large.write_bytes(binary_stl(4 * CUBE_CORNERS))
    newer = meanwhile(lambda: bench.read(nothing, 3, str(large), "large.stl", Asked()))
    with pytest.raises(RequestError, match="meanwhile"):
        bench.read(newer, 2, str(tmp_path / "cube.stl"), "cube.stl", Asked())
    bench.remake(nothing, 4, Asked())
    assert side_mm(bench) == pytest.approx(80)


def test_a_file_that_cannot_be_read_does_not_bring_back_the_one_before(bench: Workbench, tmp_path: Path) -> None:
    bad = tmp_path / "bad.stl"
    bad.write_bytes(b"<html>not found</html>")
    for ask in (
        lambda: bench.read(nothing, 2, str(bad), "bad.stl", Asked()),
        lambda: bench.remake(nothing, 3, Asked(scale=2)),
    ):
        with pytest.raises(UnreadableMesh, match=r"bad\.stl"):
            ask()


@pytest.mark.parametrize(
    ("what", "details"),
    [
        ("tell", ("solid", Asked(scale=2))),
        ("sheet", ("solid", Asked(scale=2), {})),
        ("plots", ("hollow", Asked(scale=2))),
        ("plots_at_once", ("hollow", Asked(scale=2))),
        ("core", (Asked(scale=2),)),
        ("fill_curve", (Asked(scale=2),)),
    ],
)
def test_nothing_is_told_of_a_part_in_another_size_than_asked(
    bench: Workbench, what: str, details: tuple[Any, ...]
) -> None:
    bench.measure_depth(nothing)
    with pytest.raises(MoldvolError, match="being made anew"):
        bench.answer(what, details, nothing)
    bench.remake(nothing, 2, Asked(scale=2))
    bench.measure_depth(nothing)
    bench.answer(what, details, nothing)

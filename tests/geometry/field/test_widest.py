"""The widest way, against a general library's grey-scale reconstruction."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage
from skimage.morphology import reconstruction

from moldvol.geometry.field.widest import Basins

AROUND = np.ones((3, 3, 3), dtype=bool)


def reconstructed(depth: np.ndarray, seeds: list[tuple[int, ...]]) -> np.ndarray:
    mask = np.pad(np.maximum(depth, 0.0), 1)
    marker = np.zeros_like(mask)
    for seed in seeds:
        at = tuple(i + 1 for i in seed)
        marker[at] = mask[at]
    return reconstruction(marker, mask, method="dilation", footprint=AROUND)[1:-1, 1:-1, 1:-1]


def way_on_grid(depth: np.ndarray, seeds: list[tuple[int, ...]]) -> np.ndarray:
    basins = Basins.of(depth)
    return basins.on_grid(basins.widest_way({seed: float(depth[seed]) for seed in seeds}))


@pytest.mark.parametrize("smooth", [0.0, 0.8, 2.0])
@pytest.mark.parametrize("seeds", [1, 3])
def test_random_depths(smooth: float, seeds: int) -> None:
    random = np.random.default_rng(int(10 * smooth) + seeds)
    depth = ndimage.gaussian_filter(random.normal(size=(23, 18, 31)), smooth)
    chosen = [tuple(int(random.integers(n)) for n in depth.shape) for _ in range(seeds)]
    assert (way_on_grid(depth, chosen) == reconstructed(depth, chosen)).all()


def test_plateaus_of_equal_depth() -> None:
    depth = np.random.default_rng(2).integers(-1, 4, size=(20, 20, 20)).astype(float)
    seed = tuple(int(i) for i in np.unravel_index(np.argmax(depth), depth.shape))
    assert (way_on_grid(depth, [seed]) == reconstructed(depth, [seed])).all()


def test_a_neck_holds_back_what_lies_behind() -> None:
    depth = np.full((9, 1, 1), 5.0)
    depth[4] = 2.0
    assert way_on_grid(depth, [(0, 0, 0)]).ravel().tolist() == [5, 5, 5, 5, 2, 2, 2, 2, 2]


def test_what_no_way_leads_to_is_zero() -> None:
    depth = np.array([3.0, -1.0, 4.0]).reshape(3, 1, 1)
    assert way_on_grid(depth, [(0, 0, 0)]).ravel().tolist() == [3, 0, 0]
    assert not way_on_grid(depth, [(1, 0, 0)]).any()


@pytest.mark.parametrize("smooth", [0.0, 0.8, 2.0])
def test_rooms_behind_are_the_labels_of_what_is_deeper_than_the_way(smooth: float) -> None:
    random = np.random.default_rng(int(10 * smooth))
    depth = ndimage.gaussian_filter(random.normal(size=(23, 18, 31)), smooth)
    basins = Basins.of(depth)
    way = basins.widest_way(
        {tuple(int(i) for i in np.unravel_index(np.argmax(depth), depth.shape)): float(depth.max())}
    )
    room = basins.on_grid(basins.rooms_behind(way) + 1)
    behind = depth > np.maximum(basins.on_grid(way), 0.0)
    assert behind.any()
    assert ((room > 0) == behind).all()
    levels = np.unique(basins.on_grid(way)[behind])
    labelled = [ndimage.label(behind & (basins.on_grid(way) == level), structure=AROUND) for level in levels]
    assert sum(count for _, count in labelled) == len(np.unique(room[behind]))
    for labels, count in labelled:
        for number in range(1, count + 1):
            assert len(np.unique(room[labels == number])) == 1


def ridge(*depths: float) -> Basins:
    """Basins of a row of cells."""
    return Basins.of(np.array(depths).reshape(-1, 1, 1))


class TestClimb:
    def test_up_to_the_deepest_cell_within_reach(self) -> None:
        assert ridge(1, 2, 3, 4, 3).climb((0, 0, 0), 0.0) == (3, 0, 0)

    def test_a_ripple_does_not_stop_it_and_a_neck_does(self) -> None:
        row = ridge(1, 4, 3.5, 5, 4.4, 6, 4, 9)
        assert row.climb((0, 0, 0), 0.7) == (5, 0, 0)
        assert row.climb((0, 0, 0), 0.55) == (3, 0, 0)
        assert row.climb((0, 0, 0), 0.1) == (1, 0, 0)
        assert row.climb((0, 0, 0), 2.0) == (7, 0, 0)

    def test_a_neck_is_measured_from_the_deepest_place_passed(self) -> None:
        """Going down in steps is going down all the same."""
        assert ridge(1, 5, 4.6, 4.7, 4.2, 4.3, 3.9, 9).climb((0, 0, 0), 0.5) == (1, 0, 0)

"""What hangs together, against a general library's search of the same graph."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse import csgraph

from moldvol.geometry.linked import linked, linked_blocks


def searched(pairs: np.ndarray, count: int) -> list[int]:
    """The labels that scipy.sparse.csgraph gives, in order of first appearance."""
    graph = sparse.coo_matrix((np.ones(len(pairs)), pairs.T), shape=(count, count))
    labels: list[int] = csgraph.connected_components(graph, directed=False)[1].tolist()
    order = {label: number for number, label in enumerate(dict.fromkeys(labels))}
    return [order[label] for label in labels]


@pytest.mark.parametrize("seed", range(100))
def test_random_links_against_scipy(seed: int) -> None:
    random = np.random.default_rng(seed)
    count = int(random.integers(1, 200))
    pairs = random.integers(0, count, size=(random.integers(0, 2 * count), 2))
    assert linked(pairs, count).tolist() == searched(pairs, count)


@pytest.mark.parametrize("count", [1, 2, 1000])
def test_a_chain_whose_numbers_jump_about_is_one(count: int) -> None:
    chain = np.random.default_rng(3).permutation(count)
    assert not linked(np.column_stack([chain[:-1], chain[1:]]), count).any()


def test_nothing_at_all() -> None:
    assert linked(np.zeros((0, 2), dtype=int), 0).tolist() == []
    assert linked([], 3).tolist() == [0, 1, 2]


def test_blocks_say_the_same_as_all_pairs_at_once() -> None:
    pairs = np.random.default_rng(4).integers(0, 500, size=(400, 2))
    assert linked_blocks(np.array_split(pairs, 7), 500).tolist() == linked(pairs, 500).tolist()

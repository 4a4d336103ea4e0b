"""A few hundred damaged files; the long runs are ``python -m tests.fuzz_reading`` and ``tests.fuzz_guided``."""

from __future__ import annotations

import pytest

from moldvol.errors import UnreadableMesh
from tests.files import good_files
from tests.fuzz_guided import MOST_GROWTH_MB, guided
from tests.fuzz_reading import fuzz
from tests.geometry.reading.results import read


@pytest.mark.parametrize("seed", [20, 21])
def test_damaged_files_give_a_mesh_or_one_sentence(seed, tmp_path):
    report = fuzz(200, seed, tmp_path)
    assert report.faults == []
    # Most damage is felt, some is not (a colour, a title, a digit): both must occur.
    assert report.read > 50
    assert report.refused > 50


def test_files_that_reach_something_new_are_kept_and_damaged_further():
    found = guided(120, 7)
    assert found.report.faults == []
    assert len(found.corpus) > len(good_files()) + 5
    assert found.grown_mb < MOST_GROWTH_MB


@pytest.mark.parametrize("name", good_files())
def test_the_files_are_good_before(name):
    assert read(good_files()[name], name).notices == ()


@pytest.mark.parametrize(
    "name", ["binary.stl", "ascii.stl", "quads.obj", "ascii.ply", "little.ply", "plain.off", "cube.glb"]
)
def test_every_length_of_every_file(name, tmp_path):

    content = good_files()[name]
    for length in range(0, len(content), 13):
        try:
            read(content[:length], name, allow_partial=True)
        except UnreadableMesh as error:
            assert str(error).endswith(".")

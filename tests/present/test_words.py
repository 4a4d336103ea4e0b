"""Every mending has its sentence, and every sentence is one."""

from __future__ import annotations

import ast

import pytest

from moldvol.geometry.soundness.draft import Mending
from moldvol.present import words
from moldvol.present.words import tell
from tests.imports import modules, tree_of


def codes_in_geometry() -> set[str]:
    """The first argument of every ``Mending(…)`` in the geometry room, the two sides of a choice both."""
    calls = [
        node
        for module in modules()
        if module.startswith("moldvol.geometry")
        for node in ast.walk(tree_of(module))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Mending"
    ]
    texts = [leaf.value for call in calls for leaf in ast.walk(call.args[0]) if isinstance(leaf, ast.Constant)]
    return {text for text in texts if isinstance(text, str)}


def test_the_codes_are_found_at_all() -> None:
    assert codes_in_geometry() >= {"hole_closed", "flat_base_closed", "overlap_united", "self_crossing"}


def test_every_code_has_a_sentence_and_no_sentence_waits_for_a_code() -> None:
    assert codes_in_geometry() == set(words._SENTENCES)


@pytest.mark.parametrize("count", [1, 2, 1200])
@pytest.mark.parametrize("code", words._SENTENCES)
def test_a_sentence_is_one_and_counts_well(code: str, count: int) -> None:
    said = tell(Mending(code, count, (1.0, 2.0, 3.0), -1234.5, 56.7, 10.0, 20.0, 5.0))
    assert said[0].isupper() or said[0].isdigit()
    assert said.endswith(".") and "None" not in said and "-" not in said
    assert "bodie " not in said and not said.startswith("1 triangles")


def test_a_mending_without_a_place_is_told_all_the_same() -> None:
    for code in words._SENTENCES:
        assert "None" not in tell(Mending(code))


def test_what_a_hole_leaves_in_doubt() -> None:
    hole = Mending("hole_closed", at_mm=(1, 2, 3), doubt_mm3=1234.5, across_mm=17.36)
    assert tell(hole) == ("A hole 17.4 mm across at (1, 2, 3) mm was closed; had it bulged, up to 1.2 ml more or less.")


def test_one_of_several_is_told_in_the_singular() -> None:
    assert tell(Mending("buried_body_left_out", 1)).startswith("1 body ")
    assert tell(Mending("wrong_way_triangles", 1)).startswith("1 triangle ")

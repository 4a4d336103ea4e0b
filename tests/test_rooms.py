"""One direction of knowledge: which room may know of which, kept by reading the source."""

from __future__ import annotations

import ast
from graphlib import CycleError, TopologicalSorter

import pytest

from tests.imports import all_imports, loading_imports, modules, room_of, tree_of

FLOOR = {"errors", "notices", "quantities", "safe_files"}
BELOW = {
    "geometry": set(),
    "materials": set(),
    "casting": {"geometry", "materials"},
    "present": {"casting", "geometry", "materials"},
    "cli": {"present", "casting", "geometry", "materials", "page"},
    "page": {"cli", "present", "casting", "geometry", "materials"},
}
# The rooms within a room, and which of them each may know. What stands in the hall besides is ground to all of them,
# but for its gallery, which stands on the rooms.
WITHIN = {
    "geometry": {
        "reading": set(),
        "soundness": set(),
        "field": set(),
        "wall": {"soundness"},
        "moulding": {"field", "soundness", "wall"},
    },
    "materials": {
        "chemistry": set(),
        "mixtures": set(),
        "vessels": set(),
        "weighing": {"mixtures"},
        "reading": {"chemistry"},
        "buying": {"reading"},
    },
    "present": {
        "mixing": set(),
        "hollowing": {"mixing"},
        "heating": set(),
        "moulds": {"mixing"},
    },
}
GALLERY = {"geometry": {"solid", "remarks", "judging", "plugging"}, "materials": {"shelf"}, "present": {"cast"}}
HEAVY = {"numpy", "scipy", "trimesh", "igl", "skimage", "manifold3d", "matplotlib"}
SPEAKING_ROOMS = {"present", "cli", "page"}  # the last of these asks and answers in a browser
ROOT = {"", "__main__"}  # the public door and `python -m moldvol` know every room


def ours(names: set[str]) -> set[str]:
    return {name for name in names if name.split(".")[0] == "moldvol"}


def modules_in(rooms: set[str]) -> list[str]:
    return [module for module in modules() if room_of(module) in rooms]


def test_every_module_stands_in_a_room_or_on_the_floor() -> None:
    assert {room_of(module) for module in modules()} <= set(BELOW) | FLOOR | ROOT


@pytest.mark.parametrize("room", BELOW)
def test_a_room_knows_only_what_stands_below_it(room: str) -> None:
    allowed = BELOW[room] | FLOOR | {room}
    version = {"moldvol"} if room in SPEAKING_ROOMS else set()
    strangers = {
        module: found
        for module in modules_in({room})
        if (found := {name for name in ours(all_imports(module)) - version if room_of(name) not in allowed})
    }
    assert not strangers


@pytest.mark.parametrize(("hall", "room"), [(hall, room) for hall, rooms in WITHIN.items() for room in rooms])
def test_a_room_within_a_room_knows_only_what_stands_below_it(hall: str, room: str) -> None:
    above = (set(WITHIN[hall]) | GALLERY[hall]) - WITHIN[hall][room] - {room}
    inner = [module for module in modules() if module.startswith(f"moldvol.{hall}.{room}.")]
    assert inner
    strangers = {
        module: found
        for module in inner
        if (found := {name for name in ours(all_imports(module)) if name.split(".")[1:3] in [[hall, a] for a in above]})
    }
    assert not strangers


@pytest.mark.parametrize("hall", WITHIN)
def test_the_ground_of_a_hall_knows_none_of_the_rooms_on_it(hall: str) -> None:
    in_hall = [module for module in modules_in({hall}) if len(module.split(".")) == 3]
    ground = [module for module in in_hall if module.split(".")[2] not in GALLERY[hall] | set(WITHIN[hall])]
    assert ground
    strangers = {
        module: found
        for module in ground
        if (found := {n for n in ours(all_imports(module)) if n.split(".")[1:3] in [[hall, r] for r in WITHIN[hall]]})
    }
    assert not strangers


@pytest.mark.parametrize("module", sorted(FLOOR))
def test_the_floor_rests_on_nothing_of_ours(module: str) -> None:
    assert {room_of(name) for name in ours(all_imports(f"moldvol.{module}"))} <= FLOOR


def test_materials_know_no_arrays() -> None:
    """Not even inside a function: what the bench asks for must start at once."""
    loading = {
        module: found
        for module in modules_in(FLOOR | {"materials"})
        if (found := {name.split(".")[0] for name in all_imports(module)} & HEAVY)
    }
    assert not loading


def test_no_modules_import_each_other_in_a_ring() -> None:
    graph = {module: ours(loading_imports(module)) & set(modules()) - {module} for module in modules()}
    try:
        list(TopologicalSorter(graph).static_order())
    except CycleError as ring:
        pytest.fail(" → ".join(ring.args[1]))


def test_only_the_rooms_that_speak_print() -> None:
    assert not {module for module in modules() if room_of(module) not in {"present", "cli"} and _speaks(module)}


def _speaks(module: str) -> bool:
    """Whether *module* prints, or touches the standard streams or the exit."""
    nodes = list(ast.walk(tree_of(module)))
    called = {node.func.id for node in nodes if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    of_sys = {
        node.attr
        for node in nodes
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "sys"
    }
    return "print" in called or bool(of_sys & {"stdout", "stderr", "exit"})


def test_nothing_comes_from_the_copyleft_half_of_libigl() -> None:
    for module in modules():
        attributes = {node.attr for node in ast.walk(tree_of(module)) if isinstance(node, ast.Attribute)}
        assert not any("copyleft" in name for name in all_imports(module) | attributes), module

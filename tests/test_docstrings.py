"""What docstrings claim: everything public has one, the parameters they name exist, and their examples hold."""

from __future__ import annotations

import ast
import doctest
import importlib
import re
from collections.abc import Iterator

import pytest

from tests.imports import modules, tree_of

Function = ast.FunctionDef | ast.AsyncFunctionDef
# *name* in a docstring is a parameter; **bold** is none, and neither is a product a * b.
NAMED = re.compile(r"(?<![*\w])\*([a-z_][a-z0-9_]*)\*(?![*\w])")


def public_functions(module: str) -> Iterator[tuple[str, Function, set[str]]]:
    """Each public function and method with its qualified name and the names it may speak of beside its own."""
    for node in tree_of(module).body:
        if isinstance(node, Function) and not node.name.startswith("_"):
            yield node.name, node, set()
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            fields = {
                item.target.id
                for item in node.body
                if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name)
            }
            for item in node.body:
                if isinstance(item, Function) and not item.name.startswith("_"):
                    yield f"{node.name}.{item.name}", item, fields


def parameters(function: Function) -> set[str]:
    taken = function.args
    listed = [*taken.posonlyargs, *taken.args, *taken.kwonlyargs, *filter(None, (taken.vararg, taken.kwarg))]
    return {argument.arg for argument in listed}


def test_every_module_says_what_it_holds() -> None:
    assert not [module for module in modules() if not ast.get_docstring(tree_of(module)) and tree_of(module).body]


def test_everything_public_says_what_it_is() -> None:
    silent = []
    for module in modules():
        silent += [
            f"{module}.{name}" for name, function, _ in public_functions(module) if not ast.get_docstring(function)
        ]
        silent += [
            f"{module}.{node.name}"
            for node in tree_of(module).body
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_") and not ast.get_docstring(node)
        ]
    assert not silent


def test_parameters_named_in_docstrings_exist() -> None:
    gone = [
        f"{module}.{name}: *{word}*"
        for module in modules()
        for name, function, fields in public_functions(module)
        for word in NAMED.findall(ast.get_docstring(function) or "")
        if word not in parameters(function) | fields
    ]
    assert not gone


@pytest.mark.parametrize("module", [name for name, path in modules().items() if ">>>" in path.read_text("utf-8")])
def test_examples_hold(module: str) -> None:
    assert doctest.testmod(importlib.import_module(module)).failed == 0

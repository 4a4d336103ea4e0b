"""The public door: what is promised is there, sorted, documented, and costs nothing until it is asked for."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import re

import pytest

import moldvol
from tests.imports import tree_of


def test_names_are_sorted_whatever_their_case_and_none_is_twice() -> None:
    assert list(moldvol.__all__) == sorted(set(moldvol.__all__), key=str.casefold)


@pytest.mark.parametrize("name", moldvol.__all__)
def test_each_name_is_there_under_its_own_name_with_a_docstring(name: str) -> None:
    found = getattr(moldvol, name)
    assert found.__name__ == name and found.__doc__


def test_the_type_checker_sees_the_same_names() -> None:
    checked = next(node for node in tree_of("moldvol").body if isinstance(node, ast.If))
    seen = {
        (alias.name, statement.module)
        for statement in checked.body
        if isinstance(statement, ast.ImportFrom)
        for alias in statement.names
    }
    assert seen == {(name, moldvol._HOME[name]) for name in moldvol.__all__}


# A resin, a filler and a powder come off the shelf; what the pour book teaches is for the command line alone.
HANDED_OUT = {"Filler", "LearnedAllowance", "PlasterPowder", "Resin"}


@pytest.mark.parametrize("name", [name for name in moldvol.__all__ if name.endswith("Request")])
def test_every_value_a_request_is_filled_in_with_is_public(name: str) -> None:
    request = getattr(moldvol, name)
    words = {word for field in dataclasses.fields(request) for word in re.findall(r"[A-Z]\w+", str(field.type))}
    known = vars(importlib.import_module(request.__module__))
    wanted = {word for word in words - {"None"} if isinstance(known.get(word, type), type)}
    assert wanted - HANDED_OUT <= {*moldvol.__all__, "Mapping"}


def test_everything_shows_up_in_dir() -> None:
    assert set(moldvol.__all__) <= set(dir(moldvol))


def test_an_unknown_name_is_refused_as_python_does() -> None:
    with pytest.raises(AttributeError, match="module 'moldvol' has no attribute 'estimate'"):
        moldvol.estimate  # noqa: B018

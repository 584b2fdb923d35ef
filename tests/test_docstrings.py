"""Docstrings of what is public: every argument has its line, a number its unit; the examples in them are tried."""

from __future__ import annotations

import doctest
import inspect
import re
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import BaseModel

import paddlebar
from paddlebar.units import suffix_of

CLASSES = ("Craft", "Flight", "Flights", "Map", "RecordedFlight", "Scenario")
OF_PYDANTIC = set(dir(BaseModel))


def public() -> Iterator[tuple[str, Any]]:
    """Functions of the list, and methods of its classes that a user calls."""
    for name in paddlebar.NAMES:
        found = getattr(paddlebar, name)
        if inspect.isfunction(found):
            yield name, found
        elif name in CLASSES:
            for method, function in inspect.getmembers(found, inspect.isfunction):
                if not method.startswith("_") and method not in OF_PYDANTIC and method not in INSIDE:
                    yield f"{name}.{method}", function


# of descriptions, for other modules of the package
INSIDE = {
    "bad", "changed_from", "effective_toml", "given", "located", "refuse", "to_json", "with_force", "with_texts", "of",
}  # fmt: skip
EACH = pytest.mark.parametrize(("name", "function"), [pytest.param(*each, id=each[0]) for each in public()])


def arguments(function: Any) -> list[inspect.Parameter]:
    return [each for each in inspect.signature(function).parameters.values() if each.name != "self"]


@EACH
def test_every_argument_is_named(name, function):
    sheet = inspect.getdoc(function) or ""
    assert sheet, name
    assert [each.name for each in arguments(function) if not re.search(rf"\b{each.name}\b", sheet)] == []


@EACH
def test_every_number_has_its_unit(name, function):
    """In the name of the argument, or in brackets behind its words; [1] for a plain number. What only counts is whole."""
    sheet = inspect.getdoc(function) or ""
    bare = []
    for each in arguments(function):
        if re.search(r"\bfloat\b", str(each.annotation)) and not re.search(r"Mapping|Range", str(each.annotation)):
            said = re.search(rf"\b{each.name}\b[^;\n]*\[[^\]]+\]|\b{each.name}\b[^\n]*\[[^\]]+\]", sheet)
            if suffix_of(each.name) is None and not said:
                bare.append(each.name)
    assert bare == []


@EACH
def test_the_examples_hold(name, function):
    finder = doctest.DocTestFinder(recurse=False)
    globs = {each: getattr(paddlebar, each) for each in ("load_craft", "load_scenario", "stand")}
    for test in finder.find(function, name, globs=globs):
        found = doctest.DocTestRunner(verbose=False).run(test)
        assert found.failed == 0


def test_there_are_examples():
    assert sum(">>>" in (inspect.getdoc(function) or "") for _, function in public()) >= 5

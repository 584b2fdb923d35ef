"""The package's public names: one list, from which loading, typing and `from paddlebar import *` are made."""

from __future__ import annotations

import ast
import inspect
import os
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import paddlebar

ROOT = Path(__file__).parents[1]
FUNCTIONS = sorted(name for name in paddlebar.NAMES if name[0].islower())


def test_public_names_are_there_and_nothing_else_is():
    assert all(getattr(paddlebar, name) is not None for name in paddlebar.__all__)
    assert set(paddlebar.__all__) == {"__version__", *paddlebar.NAMES}
    assert set(paddlebar.__all__) <= set(dir(paddlebar))
    with pytest.raises(AttributeError, match="no attribute 'flie'"):
        _ = paddlebar.flie


@pytest.mark.parametrize(("name", "home"), paddlebar.NAMES.items())
def test_each_is_defined_where_the_list_says(name, home):
    assert getattr(paddlebar, name).__module__ == f"paddlebar.{home}"
    assert getattr(paddlebar, name) is getattr(import_module(f"paddlebar.{home}"), name)


def test_what_is_typed_is_what_is_loaded():
    """The imports for type checkers against the list; each name `as` itself, or a strict checker would not pass it on."""
    tree = ast.parse((ROOT / "sim" / "paddlebar" / "__init__.py").read_text(encoding="utf-8"))
    (block,) = [node for node in tree.body if isinstance(node, ast.If)]
    typed = [
        (alias.name, alias.asname, each.module)
        for each in block.body
        if isinstance(each, ast.ImportFrom)
        for alias in each.names
    ]
    assert sorted(typed) == sorted((name, name, f"paddlebar.{home}") for name, home in paddlebar.NAMES.items())


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_argument_has_its_line_and_its_type(name):
    """Of each function of the list: what it takes, gives and raises stands in its docstring."""
    function = getattr(paddlebar, name)
    sheet = inspect.getdoc(function) or ""
    for parameter in inspect.signature(function).parameters.values():
        assert re.search(rf"\b{parameter.name}\b", sheet), parameter.name
        assert parameter.annotation is not inspect.Parameter.empty, parameter.name
        assert parameter.kind is not inspect.Parameter.VAR_KEYWORD, parameter.name
    assert re.search(r"^Returns *:", sheet, re.MULTILINE), sheet


@pytest.mark.parametrize("name", ["margins", "fly_many", "stability_map", "rank", "improve", "match", "yaw", "report"])
def test_long_work_takes_a_progress(name):
    parameter = inspect.signature(getattr(paddlebar, name)).parameters["progress"]
    assert (parameter.annotation, repr(parameter.default)) == ("Progress", "SILENT")


def test_a_package_with_types():
    assert (Path(paddlebar.__file__).parent / "py.typed").is_file()


@pytest.mark.slow
def test_a_users_typed_program_satisfies_a_strict_checker(tmp_path):
    """As with the package installed: what is wrong inside is not told, what cannot be had from it is. CI does it installed, too."""
    pytest.importorskip("mypy")
    user = ROOT / "tests" / "typing_user.py"
    broken = tmp_path / "broken.py"
    broken.write_text("import paddlebar\nx: int = paddlebar.improve\npaddlebar.load_craft(3)\n", encoding="utf-8")
    words = [sys.executable, "-m", "mypy", "--strict", "--follow-imports", "silent", str(user), str(broken)]
    environment = {**os.environ, "MYPYPATH": str(ROOT / "sim")}
    done = subprocess.run(words, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    told = done.stdout.splitlines()
    assert [line for line in told if "typing_user" in line] == [], done.stdout
    assert len([line for line in told if "broken.py" in line and ": error:" in line]) == 2, done.stdout

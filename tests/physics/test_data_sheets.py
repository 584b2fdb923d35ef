"""What a data sheet says is checked, is: the file that it names exists and uses that function, or the right-hand side that contains it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "sim" / "paddlebar"
WHOLE = re.compile(
    r"reference\.rig|still_craft|paddlebar\.(flight|bench)|section_table"
)  # checks that go through the whole craft
NAMED = re.compile(r"(tests/[a-z_/]*)?(test_[a-z0-9_]+\.py)")


def claims() -> list[tuple[str, str, str]]:
    """(module.function, its module, path of a test named after 'Checked') of equations and craft; a bare name lies where the last one did."""
    found = []
    for path in sorted([*(PACKAGE / "physics").glob("*.py"), *(PACKAGE / "craft").glob("*.py")]):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.Module):
                sheet = ast.get_docstring(node) or ""
                at = re.search(r"Checked *:", sheet)
                folder = ""
                for where, name in NAMED.findall(sheet[at.end() :]) if at else []:
                    folder = where or folder
                    found.append((f"{path.stem}.{getattr(node, 'name', '')}", path.stem, folder + name))
    return found


CLAIMS = claims()


@pytest.mark.parametrize(("function", "module", "file"), CLAIMS, ids=[f"{f}-{Path(p).stem}" for f, _, p in CLAIMS])
def test_named_check_exists_and_is_one(function: str, module: str, file: str) -> None:
    path = ROOT / file
    assert path.is_file(), f"{function}: {file} is not there"
    text = path.read_text(encoding="utf-8")
    name = function.split(".")[1]
    assert (name and name in text) or f".{module}" in text or WHOLE.search(text), f"{file} does not use {function}"


def test_sheets_were_found() -> None:
    assert len({function for function, _, _ in CLAIMS}) > 35

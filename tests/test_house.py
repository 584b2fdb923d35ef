"""The house is kept: sizes of modules, data sheets of the equations, direction of imports, names at the top level."""

from __future__ import annotations

import ast
import re
import statistics
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "sim" / "paddlebar"
MODULES = sorted(PACKAGE.rglob("*.py"))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "sim", "models", "scenarios", "tests", "notebooks"}


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_module_is_too_long():
    assert {str(path.relative_to(PACKAGE)): lines(path) for path in MODULES if lines(path) > 400} == {}
    assert statistics.median(lines(path) for path in MODULES) <= 130


def equations() -> list[tuple[str, str, str]]:
    """Public functions of physics/: name, own docstring, the file's docstring."""
    found = []
    for path in sorted((PACKAGE / "physics").glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                found.append((f"{path.stem}.{node.name}", ast.get_docstring(node) or "", ast.get_docstring(tree) or ""))
    return found


@pytest.mark.parametrize(("name", "sheet", "file"), [pytest.param(*each, id=each[0]) for each in equations()])
def test_every_equation_has_a_data_sheet(name, sheet, file):
    """Unit of what goes in and out in brackets, and where the equation comes from: there, or once for the whole file."""
    if name.startswith(("vectors.", "compiled.", "compiling.", "linked.")):
        return  # plain algebra, any unit; no equation
    assert re.search(r"\[[^\]]+\]", sheet), f"{name}: no unit in brackets"
    assert re.search(r"\bSource\b *:", sheet + file), f"{name}: no line 'Source : ...'"


HEAVY = {"load_scenario", "load_craft", "parse_scenario", "parse_craft", "check", "fly", "build", "margins", "stand"}


def built_on_import(path: Path) -> list[str]:
    """Calls that read or build a craft while the module is imported: at its top, in decorators and in defaults, not in lambdas."""
    found: list[str] = []

    class Look(ast.NodeVisitor):
        def visit_Lambda(self, node: ast.Lambda) -> None:
            pass

        def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
            for each in (*node.decorator_list, *node.args.defaults, *(d for d in node.args.kw_defaults if d)):
                self.visit(each)

        def visit_Call(self, node: ast.Call) -> None:
            if isinstance(node.func, ast.Name) and node.func.id in HEAVY:
                found.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.func.id}")
            self.generic_visit(node)

    Look().visit(ast.parse(path.read_text(encoding="utf-8")))
    return found


def test_collecting_builds_no_craft():
    """Who runs one test waits for all modules to be imported."""
    assert [each for path in sorted((ROOT / "tests").rglob("*.py")) for each in built_on_import(path)] == []


def test_the_top_level_holds_only_its_names():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0:
        pytest.skip("not a git checkout")
    names = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in names if not name.startswith(".")} <= TOP


def test_imports_point_one_way(monkeypatch):
    """The contracts of pyproject.toml: a lower storey knows no upper one, and the equations know no library of files."""
    from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

    monkeypatch.chdir(ROOT)
    assert lint_imports(no_cache=True) == EXIT_STATUS_SUCCESS


def test_every_module_says_what_it_is_for():
    silent = [
        str(path.relative_to(PACKAGE))
        for path in MODULES
        if path.read_text(encoding="utf-8").strip()
        and not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert silent == []


def test_nothing_shows_a_window():
    """Pictures are returned or saved; the package never calls show() and never sets matplotlib's global state."""
    guilty = [
        path.name for path in MODULES if re.search(r"\bplt\.|pyplot|\.show\(\)", path.read_text(encoding="utf-8"))
    ]
    assert guilty == []

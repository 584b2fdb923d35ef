"""Nothing that the program reads can make it run anything: no pickle, no eval, no shell anywhere in the package.

Processes of our own hand each other work through multiprocessing, which pickles it; that goes through pipes between parent and worker and
never touches a file, so nobody else's bytes get there.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import h5py
import numpy as np
import pytest
from click.testing import CliRunner

from paddlebar.cli.main import main

PACKAGE = Path(__file__).parents[2] / "sim" / "paddlebar"
MODULES = sorted(PACKAGE.rglob("*.py"))
FORBIDDEN_MODULES = {"pickle", "cPickle", "_pickle", "dill", "cloudpickle", "joblib", "marshal", "shelve", "yaml", "code", "codeop", "runpy", "imp", "ctypes"}  # fmt: skip
FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__", "execfile"}
FORBIDDEN_METHODS = {"system", "popen", "unpickle", "read_pickle"}  # of os, pandas and the like


def dangers(source: str) -> list[str]:
    """What a module's text could run or unpickle."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = [alias.name for alias in node.names]
            if isinstance(node, ast.ImportFrom):  # numba has a pickle of its own
                names = [f"{node.module or ''}.{name}" for name in names]
            found += [f"import {name}" for name in names if FORBIDDEN_MODULES & set(name.split("."))]
        elif isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name) and node.func.id in FORBIDDEN_CALLS:
                found.append(node.func.id)
            if isinstance(node.func, ast.Attribute):
                name = node.func.attr
                if name in FORBIDDEN_METHODS or name.startswith(("spawnl", "spawnv", "execl", "execv")):
                    found.append(f".{name}")
                if name == "import_module" and not (node.args and isinstance(node.args[0], ast.Constant)):
                    found.append("import_module of a name that is not written here")
            for keyword in node.keywords:
                constant = keyword.value.value if isinstance(keyword.value, ast.Constant) else True
                if keyword.arg in ("shell", "allow_pickle") and constant:
                    found.append(f"{keyword.arg}={constant}")
    return found


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("import pickle", 1), ("from shelve import open", 1), ("import yaml.loader", 1), ("eval('1')", 1), ("exec(x)", 1), ("import os\nos.system('x')", 1),
        ("subprocess.run(x, shell=True)", 1), ("subprocess.run(x, shell=flag)", 1), ("np.load(x, allow_pickle=True)", 1), ("np.load(x, allow_pickle=False)", 0),
        ("def f():\n  if x:\n    import marshal", 1), ("import json\njson.loads(x)", 0), ("re.compile(x)", 0), ("importlib.import_module(x)", 1),
    ],
)  # fmt: skip
def test_the_search_finds_what_it_is_for(source, count):
    assert len(dangers(source)) == count


def test_no_module_can_run_what_it_reads():
    assert len(MODULES) > 100
    found = {str(path.relative_to(PACKAGE)): dangers(path.read_text(encoding="utf-8")) for path in MODULES}
    # a name chosen by the program's own lists of what exists, never by a file
    ours = {
        "__init__.py": ["import_module of a name that is not written here"],
        # functions that the user's own program hands over, to the equations and to its workers; none of them comes from a file
        "flight/own.py": ["import ctypes", "import numba.cloudpickle"],
        "flight/own_glue.py": ["import ctypes"],
    }
    assert {name: list(each) for name, each in found.items() if each and each != ours.get(name)} == {}


CODE = "__import__('pathlib').Path('ran').touch()"
TEXTS = (CODE, f"$({CODE})", "$(touch ran)", "`touch ran`", "; touch ran", "| touch ran", "!!python/object/apply:os.system ['touch ran']",
         "{{ ''.__class__.__mro__[1].__subclasses__() }}", "{% include 'x' %}", "cos\nsystem\n(S'touch ran'\ntR.", "<script>alert(1)</script>")  # fmt: skip


@pytest.fixture
def watched(monkeypatch) -> list[str]:
    """Tells of every process, pickle and piece of code that is begun while a file is read."""
    told: list[str] = []
    heard = (
        "subprocess.Popen",
        "os.system",
        "os.exec",
        "os.posix_spawn",
        "os.fork",
        "pickle.find_class",
        "marshal.loads",
    )
    armed = [True]

    def hook(event: str, _: tuple[object, ...]) -> None:
        if armed[0] and event in heard and not _importing():
            told.append(event)

    sys.addaudithook(hook)  # stays for the life of the process, silent once disarmed
    yield told
    armed[0] = False


def _importing() -> bool:
    """Python's own import of a module reads compiled code by marshal; numba's cache of compiled equations is a pickle of ours."""
    frame = sys._getframe()
    while frame is not None:
        if "importlib" in frame.f_code.co_filename or "numba" in frame.f_code.co_filename:
            return True
        frame = frame.f_back  # type: ignore[assignment]
    return False


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_a_hostile_run_file_runs_nothing(tmp_path, run_file, monkeypatch, watched, text):
    """Its texts are put wherever a file holds some; each is shown or refused, none is run."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "run.h5"
    path.write_bytes(run_file.read_bytes())
    with h5py.File(path, "r+") as file:
        group = file["flight/0000"]
        for holder in (file, group):
            for name, value in holder.attrs.items():
                if isinstance(value, str) and name not in (
                    "filetype",
                    "versions",
                    "events",
                    "summary",
                    "solver",
                    "ledger",
                    "effective_toml",
                ):
                    holder.attrs[name] = text
        for key in ("title", "name"):
            effective = str(group.attrs["effective_toml"])
            group.attrs["effective_toml"] = (
                effective.replace(f"{key} = ", f"{key} = {text!a} #", 1) if "'" not in text else effective
            )
        pickled = np.frombuffer(b"cos\nsystem\n(S'touch ran'\ntR.", dtype="u1")
        group.attrs["object"] = np.void(pickled.tobytes())  # h5py gives such bytes back as bytes
    for words in (("replay", "run.h5"), ("fly", "run.h5", "--no-pictures", "--out", "again")):
        result = CliRunner().invoke(main, words, prog_name="paddlebar")
        assert result.exit_code in (0, 1, 2)
        assert result.exception is None or isinstance(result.exception, SystemExit)
    assert not list(tmp_path.rglob("ran"))
    assert watched == []
    page = tmp_path / "replay.html"
    if page.exists() and "<script>" in text:
        assert text not in page.read_text(encoding="utf-8")


def test_the_audit_would_hear_it(tmp_path, watched):
    subprocess.run([sys.executable, "-c", ""], check=True)
    assert "subprocess.Popen" in watched

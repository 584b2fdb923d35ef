"""Lessons: each opens with a question, uses the public API alone, cites its sources, and runs from a clean kernel to what is stored in it.

The first tests read the files. Those marked `notebook` execute them (extra `notebooks`) and compare every text with the stored one: words
exactly, numbers as `differences` says, pictures by number and size.
"""

from __future__ import annotations

import ast
import base64
import json
import os
import re
import struct
from pathlib import Path
from typing import Any

import pytest

import paddlebar

ROOT = Path(__file__).parents[2]
LESSONS = sorted((ROOT / "notebooks").glob("*.ipynb"))
TITLES = [path.stem for path in LESSONS]
EACH = pytest.mark.parametrize("path", LESSONS, ids=TITLES)
ALLOWED_IMPORTS = {"paddlebar", "numpy", "matplotlib.pyplot"}
MOST_BYTES = 4_000_000  # all together: a class passes them on by mail
MOST_SECONDS = 60.0  # each, of processor time: the machine may have other work
PICTURE = 0.1  # of width and height: inline pictures are cut to their labels, and fonts differ from machine to machine
RELATIVE = 0.02  # of a number: other processors round otherwise, and a flight is computed to 1e-5 a step
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def of_children() -> float:
    """Processor time of processes that have ended [s]; 0 where the system does not tell."""
    spent = os.times()
    return spent.children_user + spent.children_system


def cells(path: Path) -> list[dict[str, Any]]:
    return json.loads(path.read_text(encoding="utf-8"))["cells"]


def text(cell: dict[str, Any]) -> str:
    return "".join(cell["source"])


def tagged(path: Path, tag: str) -> list[str]:
    return [text(cell) for cell in cells(path) if tag in cell["metadata"].get("tags", [])]


def code(path: Path) -> ast.Module:
    """All code of a lesson, its one magic line left out."""
    lines = "\n".join(text(cell) for cell in cells(path) if cell["cell_type"] == "code").splitlines()
    return ast.parse("\n".join(line for line in lines if not line.startswith("%matplotlib inline")))


def prose(path: Path) -> str:
    return "\n\n".join(text(cell) for cell in cells(path) if cell["cell_type"] == "markdown")


def printed(cell: dict[str, Any]) -> str:
    """Everything that a cell wrote or showed as text; pictures say only that they are one."""
    parts = []
    for output in cell.get("outputs", []):
        shown = output.get("text") or ("" if "image/png" in output["data"] else output["data"].get("text/plain", ""))
        parts.append("".join(shown))
    return "".join(parts)


def pictures(cell: dict[str, Any]) -> list[tuple[int, int]]:
    """Width and height of every picture, from the header of its PNG."""
    found = []
    for output in cell.get("outputs", []):
        if "image/png" in output.get("data", {}):
            head = base64.b64decode("".join(output["data"]["image/png"]))[16:24]
            found.append(struct.unpack(">II", head))
    return found


def differences(stored: str, fresh: str) -> list[str]:
    """What two texts do not share: words must be equal, numbers within RELATIVE and one unit of their last printed digit."""
    if NUMBER.sub("#", stored).split() != NUMBER.sub("#", fresh).split():
        return [f"words: {stored!r} is now {fresh!r}"]
    found = []
    for old, new in zip(NUMBER.findall(stored), NUMBER.findall(fresh), strict=True):
        decimals = len(old.split("e")[0].partition(".")[2])
        last_digit = 10.0**-decimals * (10.0 ** int(old.partition("e")[2] or 0))
        if abs(float(old) - float(new)) > RELATIVE * abs(float(old)) + 1.001 * last_digit:
            found.append(f"{old} is now {new}")
    return found


@pytest.mark.parametrize(
    ("stored", "fresh", "same"),
    [
        ("held from 80 to 110 deg", "held from 80 to 111 deg", True),
        ("held from 80 to 110 deg", "held from 80 to 115 deg", False),
        ("answers c.", "answers b.", False),
        ("+0.12 /s", "-0.12 /s", False),
        ("1e-03 J", "2e-03 J", True),
        ("1e-03 J", "4e-03 J", False),
        ("lean 5.0 deg", "", False),
        ("rate 25.4\n", "rate  25.5\n", True),
    ],
)
def test_a_stale_text_is_seen(stored, fresh, same):
    assert (differences(stored, fresh) == []) is same


def test_the_lessons_are_numbered_and_not_too_heavy():
    assert [title.split("-")[0] for title in TITLES] == [f"{k:02d}" for k in range(1, len(TITLES) + 1)]
    assert len(TITLES) == 8
    assert sum(path.stat().st_size for path in LESSONS) < MOST_BYTES


@EACH
def test_it_opens_with_a_question_and_says_what_to_know(path):
    first = text(cells(path)[0])
    assert re.match(rf"# {int(path.stem[:2])}\. .+\?\n", first), first[:80]
    assert len(re.findall(r"^- ", first.split("**What you need to know**")[1], re.MULTILINE)) == 3


@EACH
def test_it_opens_with_a_drawing_a_level_a_time_and_its_page(path):
    """The drawing stands right behind the imports, with its picture stored."""
    first = text(cells(path)[0])
    assert re.search(r"\*\*Level\.\*\* .+ \*\*Time\.\*\* \d+ minutes .+ \*\*See it move:\*\* `paddlebar ", first)
    drawn = next(cell for cell in cells(path) if "drawing" in cell["metadata"].get("tags", []))
    assert [cell for cell in cells(path) if cell["cell_type"] == "code"][1] == drawn
    assert "paddlebar.draw_craft(" in text(drawn)
    assert len(pictures(drawn)) == 1


@EACH
def test_the_reader_predicts_before_the_answer(path):
    """One cell takes the reader's letter, left empty, and the answer comes of the flights: its letter is written down nowhere."""
    guesses = tagged(path, "predict")
    assert guesses
    for guess in guesses:
        assert re.fullmatch(r'my_\w+ = ""  # "a", "b".+', guess)
    tree = code(path)
    asked = [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Name) and node.id == "my_prediction"]
    answered = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "answer" for t in node.targets)
    ]
    assert answered
    assert all(node.lineno > min(asked) for node in answered)
    assert len(answered) > 1 or not isinstance(answered[0].value, ast.Constant)


@EACH
def test_it_uses_the_public_api_alone(path):
    imported, strangers = set(), set()
    for node in ast.walk(code(path)):
        if isinstance(node, ast.Import):
            imported |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported.add(str(node.module))
        elif isinstance(node, ast.Attribute):
            of_package = isinstance(node.value, ast.Name) and node.value.id == "paddlebar"
            if node.attr.startswith("_") or (of_package and node.attr not in paddlebar.__all__):
                strangers.add(node.attr)
    assert imported <= ALLOWED_IMPORTS
    assert strangers == set()


@EACH
def test_every_exercise_has_an_answer_that_is_checked(path):
    exercises = prose(path).split("## Exercises")[1].split("## ")[0]
    answers = tagged(path, "answer")
    count = len(re.findall(r"^\d+\. ", exercises, re.MULTILINE))
    assert 2 <= count <= 4
    assert len(answers) == count
    for number, answer in enumerate(answers, 1):
        assert f'"{number}. ' in answer
        assert any(isinstance(node, ast.Assert) for node in ast.walk(ast.parse(answer)))


@EACH
def test_it_cites_its_sources(path):
    """Under a heading of its own, with marks, each number a row of the table of sources."""
    sources = prose(path).split("## Sources")[1]
    assert re.search(r"\*\*\[[PTACM]\]\*\*", sources.split("- Marks:")[0])
    table = (ROOT / "sim" / "paddlebar" / "docs" / "inside" / "sources.md").read_text("utf-8")
    rows = {number for row in re.findall(r"^\| ([\d., ]+) \|", table, re.MULTILINE) for number in row.split(", ")}
    # section 4 as a whole is the literature on bars
    named = set(re.findall(r"references (\d+(?:\.\d)?)", prose(path))) - {"4"}
    assert named
    assert named <= rows


@pytest.mark.parametrize("title", ["05-rubber", "08-design"])
def test_lessons_that_wind_rubber_say_the_cautions_first(title):
    first = text(cells(ROOT / "notebooks" / f"{title}.ipynb")[0])
    for caution in ("**Cautions", "eye protection", "at arm's length", "never over another person", "adult"):
        assert caution in first, caution


@EACH
def test_what_is_stored_comes_of_one_run_without_errors(path):
    ran = [cell for cell in cells(path) if cell["cell_type"] == "code"]
    assert [cell["execution_count"] for cell in ran] == list(range(1, len(ran) + 1))
    kinds = {(output["output_type"], output.get("name", "")) for cell in ran for output in cell["outputs"]}
    assert kinds <= {("stream", "stdout"), ("display_data", "")}  # no error, nothing on standard error
    assert sum(len(pictures(cell)) for cell in ran) >= 1


@pytest.mark.notebook
@EACH
def test_a_clean_kernel_comes_to_what_is_stored(path, monkeypatch):
    """Within a minute, once the equations are compiled; the asserts of the answers run on the way."""
    nbclient, nbformat = pytest.importorskip("nbclient"), pytest.importorskip("nbformat")
    pytest.importorskip("ipykernel")
    short = {"run.duration_s": 0.1}
    scenario = paddlebar.load_scenario(ROOT / "scenarios" / "tilted-launch.toml", short)
    paddlebar.fly(scenario)
    paddlebar.fly_many([scenario], workers=1)
    monkeypatch.setenv("PYTHONPATH", str(Path(paddlebar.__file__).parents[1]))  # the kernel takes the same package
    monkeypatch.delenv("MPLBACKEND", raising=False)
    book = nbformat.read(path, as_version=4)
    for cell in book.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    start = of_children()
    nbclient.NotebookClient(
        book, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(path.parent)}}
    ).execute()
    seconds = of_children() - start
    stale = []
    for number, (old, new) in enumerate(zip(cells(path), book.cells, strict=True)):
        stale += [f"cell {number}: {each}" for each in differences(printed(old), printed(new))]
        if [len(pictures(old))] != [len(pictures(new))] or any(
            abs(a - b) > PICTURE * a
            for then, now in zip(pictures(old), pictures(new), strict=True)
            for a, b in zip(then, now, strict=True)
        ):
            stale.append(f"cell {number}: pictures {pictures(old)} are now {pictures(new)}")
    assert stale == []
    assert seconds < MOST_SECONDS

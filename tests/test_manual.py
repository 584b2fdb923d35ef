"""The manual: README is a door, every page has its place, what pages say of files and keys is so, and what they tell to type can be typed."""

from __future__ import annotations

import ast
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import click
import pytest

import paddlebar
from paddlebar.cli.main import main
from paddlebar.cli.manual import GROUPS, pages
from paddlebar.files.keys import number_at
from paddlebar.files.load import load_craft, load_scenario

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "sim" / "paddlebar" / "docs"
README, DEVELOPERS = ROOT / "README.md", ROOT / "DEVELOPERS.md"
MANUAL = pages()
TEXTS = [README, DEVELOPERS, *(page.path for page in MANUAL.values())]
EACH_TEXT = pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
EACH_PAGE = pytest.mark.parametrize("page", MANUAL.values(), ids=list(MANUAL))
DOOR, PAGE, WIDE = 150, 120, 78


def read(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def page(topic: str) -> str:
    return MANUAL[topic].text


# ---- the door


def test_the_readme_holds_two_commands_and_the_cautions():
    """What CI types is what the reader types."""
    text = read(README)
    blocks = re.findall(r"^```sh\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    assert [len(block.splitlines()) for block in blocks] == [2]
    for caution in ("eye protection", "arm's", "adult", "rules", "carries a"):
        assert caution in text, caution
        assert caution in page("cautions").lower(), caution


@pytest.mark.parametrize("path", [README, DEVELOPERS], ids=lambda path: path.stem)
def test_the_doors_are_short(path):
    assert len(read(path).splitlines()) <= DOOR


def test_the_readme_lists_every_page_as_help_does():
    wanted = []
    for group in GROUPS:
        inside = [page for page in MANUAL.values() if page.group == group]
        wanted += [f"**{group}**", "", *(f"- [{p.topic}]({p.path.relative_to(ROOT)}): {p.title}" for p in inside), ""]
    assert "\n".join(wanted) in read(README)


def test_developers_names_every_storey_of_the_house():
    storeys = [path.name for path in (ROOT / "sim" / "paddlebar").iterdir() if not path.name.startswith(("_", "."))]
    assert [name for name in storeys if name not in read(DEVELOPERS)] == []


# ---- each page


@EACH_PAGE
def test_a_page_begins_with_its_title_and_a_summary(page):
    first, blank, summary, after = page.text.splitlines()[:4]
    assert first == f"# {page.title}"
    assert blank == after == ""
    assert summary == page.summary
    assert summary.endswith(".")
    assert len(summary) <= DOOR
    assert re.fullmatch(r"[a-z]{2,9}", page.topic)
    assert len(page.text.splitlines()) <= PAGE


@EACH_TEXT
def test_relative_links_lead_somewhere(path):
    found = re.findall(r"\]\(([^)\s]+)\)", read(path))
    assert [link for link in found if "://" not in link and not (path.parent / link).is_file()] == []


@EACH_PAGE
def test_blocks_fit_a_terminal(page):
    inside = [line for block in blocks_of(page.text) for line in block.lines]
    assert [line for line in inside if len(line) > WIDE] == []


def test_the_picture_is_small():
    pictures = list(DOCS.rglob("*.png"))
    assert pictures
    assert [path.name for path in pictures if path.stat().st_size > 120_000] == []


# ---- what they say is so


def test_every_verb_and_every_word_of_its_answer_has_its_row():
    from paddlebar.flight.figures import SUMMARY

    assert [verb for verb in main.commands if f"| `paddlebar {verb} " not in page("commands")] == []
    assert [each.name for each in SUMMARY if f"`{each.name}`" not in page("json")] == []


def test_the_run_file_is_described_as_it_is_written():
    from paddlebar.flight.labelled import RECORDED
    from paddlebar.record.layout import FORMAT

    text = page("run")
    assert [row.name for row in RECORDED if f"`{row.name}`" not in text] == []
    assert f"format {FORMAT}," in text


def test_every_source_named_in_the_code_stands_in_the_table():
    """ "references 3.4" in a docstring is a row of the page on sources."""
    rows = {n for row in re.findall(r"^\| ([\d., ]+) \|", page("sources"), re.MULTILINE) for n in row.split(", ")}
    code = [*(ROOT / "sim").rglob("*.py"), *(ROOT / "tests").rglob("*.py"), *(ROOT / "sim").rglob("section_data/*.csv")]
    named = set()
    for text in [*map(read, code), *(page.text for page in MANUAL.values())]:
        found = re.findall(r"references(?:\.md)?,? (?:sections? )?((?:\d+(?:\.\d)?(?:, | and )?)+)", text)
        named |= {number for each in found for number in re.findall(r"\d+(?:\.\d)?", each)}
    assert sorted(named - rows) == []


def test_every_unit_of_a_key_stands_on_its_page():
    from paddlebar.units import SUFFIXES

    assert [suffix for suffix in SUFFIXES if f"`{suffix}`" not in page("units")] == []


def test_every_table_and_every_scenario_is_named():
    from paddlebar.files.craft import SECTIONS, Craft
    from paddlebar.files.scenario import MishapKind, Scenario

    tables = [name for model in (Craft, Scenario) for name in model.model_fields]
    words = [*tables, *SECTIONS, *MishapKind.__args__]
    assert [word for word in words if word not in page("keys")] == []
    flights = [path.stem for path in (ROOT / "scenarios").glob("*.toml")]
    lessons = [path.stem for path in (ROOT / "notebooks").glob("*.ipynb")]
    assert [name for name in flights if f"`{name}`" not in page("fleet")] == []
    assert [name for name in lessons if f"`{name}`" not in page("lessons")] == []


# ---- what they tell to type can be typed


class Block(NamedTuple):
    kind: str
    lines: list[str]


def blocks_of(text: str) -> Iterator[Block]:
    """Blocks of code: between fences, with their language, or indented by four after an empty line."""
    lines = iter(["", *text.splitlines(), ""])
    for line in lines:
        if line.startswith("```"):
            yield Block(line[3:].strip(), list(iter(lambda: next(lines), "```")))
        elif line.startswith("    "):  # what goes on in a list is no block: it begins at its own margin
            yield Block("", [line, *iter(lambda: next(lines, ""), "")])


class Typed(NamedTuple):
    words: tuple[str, ...]

    def __str__(self) -> str:
        return " ".join(self.words)


def typed() -> list[Typed]:
    """Every command `paddlebar VERB ...` of README and the pages, without those that only show a form (NAME, KEY)."""
    found: dict[Typed, None] = {}
    for text in map(read, TEXTS):
        for block in blocks_of(text):
            whole = "\n".join(line.strip() for line in block.lines).replace("\\\n", "")
            for line in whole.replace(".venv/bin/", "").splitlines():
                for command in line.partition(" > ")[0].split("&&"):  # into a file is the shell's business
                    if command.strip().startswith("paddlebar "):
                        found[Typed(tuple(shlex.split(command, comments=True)[1:]))] = None
    return list(found)


NUMBERS = ("--x", "--y", "--vary", "--key", "--unknown")


@pytest.mark.parametrize("command", typed(), ids=str)
def test_every_command_is_one(command, monkeypatch):
    """Its verb and options exist and take these words; files in scenarios/ and models/ are there, and every key is one of theirs."""
    monkeypatch.chdir(ROOT)
    verb, *words = command.words
    with main.commands[verb].make_context(verb, words, parent=click.Context(main)) as ctx:
        given = ctx.params
    shipped = [word for word in words if word.startswith(("scenarios/", "models/"))]
    assert [word for word in shipped if not Path(word).is_file()] == []
    if not shipped:
        return
    load = load_craft if shipped[0].startswith("models/") else load_scenario
    description = load(Path(shipped[0]), given.get("changes", {}))
    for option, value in zip(words, words[1:], strict=False):
        if option in NUMBERS:
            number_at(description, value.split("=")[0], option)


def python_blocks() -> list[str]:
    return [
        "\n".join(block.lines) for page in MANUAL.values() for block in blocks_of(page.text) if block.kind == "python"
    ]


@pytest.mark.parametrize("code", python_blocks(), ids=range(len(python_blocks())))
def test_python_of_the_pages_uses_what_exists(code):
    tree = ast.parse(code)
    uses = [n for n in ast.walk(tree) if isinstance(n, ast.Attribute) and getattr(n.value, "id", "") == "paddlebar"]
    assert uses or "dask" in code
    assert [node.attr for node in uses if node.attr not in paddlebar.__all__] == []
    texts = [n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)]
    assert [text for text in texts if text.endswith(".toml") and not (ROOT / text).is_file()] == []


def test_every_public_function_stands_on_the_page_for_python():
    names = [name for name in paddlebar.__all__ if name.islower() and not name.startswith("_")]
    assert [name for name in names if f"`{name}(" not in page("python")] == []

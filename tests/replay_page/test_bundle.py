"""The script of the page is built from src/ and a locked library, kept in the tree so that nobody needs node to install."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from paddlebar import replay_page

PAGE = Path(replay_page.__file__).parent / "page"
SOURCES = sorted((PAGE / "src").rglob("*.js"))
LONGEST = 300  # lines, as for modules in Python


def test_the_library_s_licence_goes_with_it():
    lock = json.loads((PAGE / "package-lock.json").read_text("utf-8"))
    version = lock["packages"]["node_modules/three"]["version"]
    licence = (PAGE / "bundle" / "LICENSE-three.txt").read_text("utf-8")
    head = (PAGE / "bundle" / "replay.js").read_text("utf-8")[:2000]
    for text in (licence, head):
        assert f"three.js {version}" in text
        assert "The MIT License" in text
        assert "three.js authors" in text


def test_sources_are_small_and_each_says_what_it_is_for():
    assert SOURCES
    for path in SOURCES:
        text = path.read_text("utf-8")
        assert text.startswith("// "), path.name
        assert len(text.splitlines()) <= LONGEST, path.name


def test_sources_ask_nothing_of_a_network():
    """Nothing but the server that gave the page: one module asks, by addresses without a host, and only where there is a bench."""
    calls = re.compile(r"\bfetch\(|XMLHttpRequest|WebSocket|https?://|\bimport\(")
    types = re.compile(r"/\*\*.*?\*/", re.DOTALL)  # a type may name the library that it is of
    name = '"http://www.w3.org/2000/svg"'  # the name of a kind of element; nothing is asked of it
    texts = {path.name: types.sub("", path.read_text("utf-8")).replace(name, "") for path in SOURCES}
    assert [file for file, text in texts.items() if calls.search(text)] == ["talk.js"]
    asks = re.findall(r"\bfetch\((..)", texts["talk.js"])
    assert asks == ["`/", '"/']
    assert not calls.search(texts["talk.js"].replace("fetch(", ""))


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("npm") is None, reason="no node with npm: what is in the tree is what is shipped")
def test_the_same_sources_and_lock_file_give_the_same_script(tmp_path: Path):
    """A build from the lock file, byte for byte; and the sources' types hold."""
    at = tmp_path / "page"
    shutil.copytree(PAGE, at, ignore=shutil.ignore_patterns("node_modules", "bundle"))
    installed = subprocess.run(["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"], cwd=at, capture_output=True, text=True, check=False)  # fmt: skip
    if installed.returncode != 0:
        pytest.skip(f"npm ci did not get the library: {installed.stderr.strip().splitlines()[-1:]}")
    subprocess.run(["npm", "run", "check"], cwd=at, check=True, capture_output=True)
    subprocess.run(["node", "build.mjs", "built"], cwd=at, check=True, capture_output=True)
    for name in ("replay.js", "LICENSE-three.txt"):
        assert (at / "built" / name).read_bytes() == (PAGE / "bundle" / name).read_bytes(), f"{name}: npm run build"

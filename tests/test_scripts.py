"""Scripts of the manual, each run as it stands there, in a folder with scenarios and craft in it and nothing else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from paddlebar.cli.manual import pages
from test_manual import ROOT, blocks_of

LONGEST = 20
SCRIPTS = [
    pytest.param(block.lines, id=f"{topic} {n}")
    for topic in ("scripts", "many", "forces", "linear")
    for n, block in enumerate(each for each in blocks_of(pages()[topic].text) if each.kind == "python")
]
SAYS = {"forces 1": "tipped over | still flying", "linear 0": "(14, 14) (14, 11)", "linear 1": "-> -"}
EXTRAS = ("control", "dask", "xarray")  # that a reader may lack


@pytest.mark.slow
@pytest.mark.parametrize("lines", SCRIPTS)
def test_a_script_runs(lines: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys, request) -> None:
    code = "\n".join(lines)
    for extra in EXTRAS:
        if extra in code:
            pytest.importorskip(extra)
    for folder in ("scenarios", "models"):
        (tmp_path / folder).symlink_to(ROOT / folder)
    monkeypatch.chdir(tmp_path)
    assert len([line for line in lines if line.strip()]) <= LONGEST
    exec(compile(code, "script", "exec"), {"__name__": "__main__"})
    said = capsys.readouterr().out
    assert not re.search(r"\bnan\b", said)
    assert said or len(list(tmp_path.iterdir())) > 2
    assert SAYS.get(request.node.callspec.id, "") in said


def test_each_task_says_what_it_is() -> None:
    text = pages()["scripts"].text
    assert len(re.findall(r"^\*\*.+", text, re.MULTILINE)) == text.count("```python")
